"""The sizes of both feet, as `toeroom size` tells them, following the case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.measured_feet import feet_from_case
from toeroom.measures.populations import LASTS
from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block

MOST_CLEARANCE = 10
"""Millimetres above the toes up to which the key goes."""


class SizePane(BlockPane):
    """Shows the size report of a case; whose last and the room above the toes can be chosen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("l", "last", "whose last"),
        Binding("plus", "clearance(1)", "room above"),
        Binding("minus", "clearance(-1)", show=False),
        Binding("m", "inches", "inches"),
    ]

    def __init__(self, case: Case, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.case = case
        self.stopped: Sequence[str] = ()
        self.last: str | None = None
        self.clearance, self.inches = 0, False

    def show_case(self, case: Case, stopped: Sequence[str]) -> None:
        """Shows the sizes of `case`; `stopped` are the feet that are not fitted today."""
        self.case, self.stopped = case, stopped
        if self.display:
            self.lay_out()

    def make_blocks(self, width: int) -> list[Block]:
        """The report, a block each for what stops, what was chosen, and what it comes to."""
        if not self.display:
            return []
        stops = [
            Block(((1, Text(f"STOP  the {side} foot is not fitted today: its sizes wait")),), band="stop")
            for side in self.stopped
        ]
        return [*stops, *(Block((line,), hang=2) for line in self._told_lines(width))]

    def _told_lines(self, width: int) -> Iterator[tuple[int, Text]]:
        # The arithmetic of sizes comes along when sizes are first wanted: the first screen need not wait.
        from toeroom.pictures.size_rule import size_rule_lines
        from toeroom.size_text import size_lines
        from toeroom.sizing import size_report

        feet = feet_from_case(self.case, last=self.last, clearance=Fraction(self.clearance))
        yield 1, Text("Sizes", "title")
        told = f"last: {feet.last or 'not said'}; room above the toes: {self.clearance} mm"
        yield 1, Text(told, "quiet")
        yield 0, Text("")
        try:
            report = size_report(feet)
        except BadInput as fault:
            yield 1, Text(f"No size yet: {fault.what}.", "head")
            yield 1, Text(f"{fault.mend}.".capitalize(), "quiet")
            return
        for line in [*size_rule_lines(report, width=max(44, min(width - 2, 100))), ""]:
            yield 1, Text(line)
        for line in size_lines(report, inches=self.inches):
            text = line.lstrip(" ")
            indent = 1 + len(line) - len(text)
            if text.startswith("! "):
                yield indent, Text.assemble(("! ", "caution"), text[2:])
            else:
                yield indent, Text(text, "head" if indent == 1 else "")

    # --- keys ----------------------------------------------------------------------------------------
    def action_last(self) -> None:
        """Whose last: not said, then each there is."""
        choices = (None, *LASTS)
        self.last = choices[(choices.index(self.last) + 1) % len(choices)]
        self.lay_out()

    def action_clearance(self, step: int) -> None:
        """A millimetre more or less above the toes."""
        self.clearance = min(MOST_CLEARANCE, max(0, self.clearance + step))
        self.lay_out()

    def action_inches(self) -> None:
        """Inches beside millimetres, or not."""
        self.inches = not self.inches
        self.lay_out()
