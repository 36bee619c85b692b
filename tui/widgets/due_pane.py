"""A pane of what falls due: stops, what is overdue, then week by week; each entry can be chosen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message

from toeroom.due import Due
from toeroom.due.entries import STOP
from toeroom.due.gathering import NOT_LISTED, Gathered
from toeroom.due.weeks import Group, day_of, words_of
from toeroom.wording import printable
from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block, space, title

INDENT = 2
ROOMY = 100
"""From this width on the cases stand in a column of their own."""
LONGEST_CASE = 32


class DuePane(BlockPane):
    """Shows what was gathered, as far ahead as is asked."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "act", "open the case"),
        Binding("p,ctrl+p", "page_of", "page"),
        Binding("c", "copy", show=False),
    ]

    class Opened(Message):
        """The case of an entry is to be opened."""

        def __init__(self, due: Due) -> None:
            super().__init__()
            self.due = due

    class PageWanted(Message):
        """The page of an entry is to be shown."""

        def __init__(self, due: Due) -> None:
            super().__init__()
            self.due = due

    def __init__(self, deferral: str, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.deferral = deferral
        self.gathered: Gathered | None = None
        self.weeks = 0
        self.entries: dict[str, Due] = {}
        self._listed: list[Due] = []

    def show(self, gathered: Gathered, weeks: int) -> None:
        """Shows what is open within so many weeks."""
        self.gathered, self.weeks = gathered, weeks
        self.lay_out()

    def clear(self) -> None:
        """Shows that it is being looked for."""
        self.gathered = None
        self.lay_out()

    @property
    def due(self) -> Due | None:
        """The chosen entry."""
        return self.entries.get(self.chosen)

    def make_blocks(self, width: int) -> list[Block]:
        """Faults first: what falls due there nobody knows."""
        self.entries = {}
        if self.gathered is None:
            return [Block(((1, Text("looking …", "quiet")),))]
        blocks = [Block(((1, Text(fault, "fault")),)) for fault in self.gathered.faults]
        if blocks:
            blocks.append(space())
        groups = self.gathered.groups(self.weeks)
        self._listed = [due for group in groups for due in group.entries]
        for group in groups:
            blocks += self._group(group, width)
        return [*blocks, *self._at_the_end(self.gathered, empty=not groups)]

    def _group(self, group: Group, width: int) -> Iterator[Block]:
        stops = group.entries[0].id == STOP
        if stops:
            yield Block(((1, Text(group.title)),), band="stop")
        else:
            yield title(group.title)
        for due in group.entries:
            yield self._entry(due, width)

    def _entry(self, due: Due, width: int) -> Block:
        """An entry, days in a column of their own; the cases too, where there is room."""
        day, case = f"{day_of(due)}  ", printable(due.case)
        column = min(LONGEST_CASE, max(len(printable(one.case)) for one in self._listed))
        words = Text.assemble(
            day, (case, "head"), " " * (max(0, column - len(case)) if width >= ROOMY else 0)
        )
        words.append(f"  {printable(words_of(due))}")
        hang = len(day) + (column + 2 if width >= ROOMY else 0)
        return Block(((INDENT, words),), key=self._key(due), hang=hang)

    def _key(self, due: Due) -> str:
        """The same for the same entry when all is gathered anew."""
        key = f"{due.case}|{due.id}|{due.side}"
        while key in self.entries:  # Two files hold the case.
            key += "|"
        self.entries[key] = due
        return key

    def _at_the_end(self, gathered: Gathered, *, empty: bool) -> Iterator[Block]:
        if gathered.said:
            yield Block(((1, Text(gathered.said, "quiet")),))
        if not gathered.cases:
            yield Block(((1, Text("No case was looked at. o: a folder of case files.")),))
        elif empty:
            last = gathered.last_day(self.weeks)
            yield Block(((1, Text(f"Nothing is known to fall due by {last}.")),))
        yield space()
        yield Block(((1, Text(NOT_LISTED, "quiet")),))
        yield Block(((1, Text(self.deferral, "say")),))

    def copied(self) -> tuple[str, str]:
        """All of it."""
        lines = (str(line) for block in self.blocks for _, line in block.lines)
        return "\n".join(lines), "what falls due"

    def act(self) -> None:
        if self.due is not None:
            self.post_message(self.Opened(self.due))

    def action_act(self) -> None:
        self.act()

    def action_page_of(self) -> None:
        if self.due is not None:
            self.post_message(self.PageWanted(self.due))
