"""The plan beside the form: drawn anew with every answer, its items to be chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message

from toeroom.printing import sheet_text
from toeroom.sheet import Asked, Entry, Sheet
from tui.widgets.block_pane import BlockPane
from tui.widgets.plan_rows import PlanBlock, plan_blocks


class PlanPane(BlockPane):
    """Shows a sheet, or in its place why there is none."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w,ctrl+w,enter", "why", "why"),
    ]

    class WhyWanted(Message):
        """Why does `entry` stand in the plan?"""

        def __init__(self, entry: Entry) -> None:
            super().__init__()
            self.entry = entry

    class Answering(Message):
        """The question with this number is to be answered."""

        def __init__(self, number: int) -> None:
            super().__init__()
            self.number = number

    def __init__(self, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.sheet: Sheet | None = None
        self.asked: Sequence[Asked] = ()
        self.full, self.anew = False, False
        self.fault = ""

    def show_sheet(self, sheet: Sheet, *, asked: Sequence[Asked] | None) -> None:
        """Shows a sheet. `asked` is None while the questions are being worked out: the old ones stay, dim."""
        self.sheet, self.fault = sheet, ""
        self.anew = asked is None
        self.asked = self.asked if asked is None else asked
        self.lay_out()

    def show_fault(self, text: str) -> None:
        """Says why there is no plan; an old plan is not left standing."""
        self.sheet, self.fault, self.asked = None, text, ()
        self.lay_out()

    def unfold(self) -> None:
        """Opens what is folded, or folds it again."""
        self.full = not self.full
        self.lay_out()

    def make_blocks(self, width: int) -> list[PlanBlock]:
        """The sheet in blocks."""
        if self.sheet is not None:
            blocks = list(plan_blocks(self.sheet, self.asked, full=self.full, asked_anew=self.anew))
            return [_without_space_above(blocks[0]), *blocks[1:]]
        if self.fault:
            told = (1, Text(f"NO PLAN  {self.fault}", "fault"))
            kept = (1, Text("What you have stated is kept. Go on, or save it and try again."))
            return [PlanBlock((told, (0, Text("")), kept))]
        return [PlanBlock(((1, Text("working out the plan", "quiet")),))]

    def copied(self) -> tuple[str, str]:
        """The plan as it is printed, with what is asked next; opened as it is here."""
        if self.sheet is None:
            return "", "the plan"
        return sheet_text(replace(self.sheet, asked=tuple(self.asked)), full=self.full), "the plan"

    @property
    def entry(self) -> Entry | None:
        """The entry chosen, where one is."""
        block = self.block
        return block.entry if isinstance(block, PlanBlock) else None

    def act(self) -> None:
        """A second click is as the key."""
        self.action_why()

    def action_why(self) -> None:
        block = self.block
        if not isinstance(block, PlanBlock):
            return
        if block.entry is not None:
            self.post_message(self.WhyWanted(block.entry))
        elif block.question is not None and not self.anew:
            self.post_message(self.Answering(block.question))


def _without_space_above(block: PlanBlock) -> PlanBlock:
    return replace(block, lines=block.lines[1:]) if not block.lines[0][1].plain else block
