"""A page of the handbook, to be read, its links to be followed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message

from toeroom.handbook.pages import Page
from toeroom.handbook.pointing import Pointing
from toeroom.handbook.render import plain_text
from tui.widgets.block_pane import BlockPane
from tui.widgets.page_rows import PageBlock, PageWriter, target_of


@dataclass(frozen=True, slots=True)
class Shown:
    """A page with what is shown beside its text: its sources in words, what points at it, files of cases."""

    page: Page
    cited: Sequence[str]
    pointing: Pointing | None
    files: Mapping[str, str]


class PagePane(BlockPane):
    """Shows a page, or in its place why there is none."""

    READING = True
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "follow", "follow")]

    class Followed(Message):
        """A link was followed: `page:id` or `case:file`."""

        def __init__(self, target: str) -> None:
            super().__init__()
            self.target = target

    class Focused(Message):
        """The person turned to the page."""

    def __init__(self, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.shown: Shown | None = None
        self.said, self.fault = "", False
        self.heading = ""

    def show(self, shown: Shown, heading: str = "", row: int | None = None) -> None:
        """Shows a page from `heading` on, or from `row` on; from its top where neither is given."""
        self.shown, self.chosen, self.moved, self.heading = shown, "", False, heading
        self.lay_out()
        self._turn_to(heading, row)
        # The first time there is no height yet to scroll in.
        self.call_after_refresh(self._turn_to, heading, row)

    def _turn_to(self, heading: str, row: int | None) -> None:
        at = self._row_of(heading) if row is None else row
        self.scroll_to(y=at, animate=False, force=True)
        self.chosen = next((key for key, rows in self.rows.items() if rows[0] >= at), self.chosen)
        self.moved = True
        self.refresh()

    def say(self, text: str, *, fault: bool = False) -> None:
        """Shows a line in place of a page."""
        self.shown, self.said, self.fault = None, text, fault
        self.lay_out()

    def make_blocks(self, width: int) -> list[PageBlock]:
        """The page in blocks."""
        if self.shown is None:
            return [PageBlock(((1, Text(self.said, "fault" if self.fault else "quiet")),))]
        shown = self.shown
        writer = PageWriter(shown.page, shown.cited, width or 80, self.app.console)
        return list(writer.blocks(shown.pointing, shown.files))

    def _row_of(self, heading: str) -> int:
        if heading:
            for row, (number, _, _, _) in enumerate(self.wrapped):
                block = self.blocks[number]
                if isinstance(block, PageBlock) and block.heading == heading:
                    return row
        return 0

    def on_focus(self) -> None:
        super().on_focus()
        self.post_message(self.Focused())

    def act(self) -> None:
        """A click on a link is as the key."""
        self.action_follow()

    def action_follow(self) -> None:
        if self.chosen:
            self.post_message(self.Followed(target_of(self.chosen)))

    def on_resize(self) -> None:
        """What stood at the top stands there again."""
        top = self.scroll_offset.y
        number = self.wrapped[top][0] if top < len(self.wrapped) else 0
        self.lay_out()
        row = next((i for i, (n, _, _, _) in enumerate(self.wrapped) if n == number), 0)
        self.scroll_to(y=row if top else 0, animate=False, force=True)

    def copied(self) -> tuple[str, str]:
        """The page as text."""
        return (plain_text(self.shown.page) if self.shown else ""), "the page"
