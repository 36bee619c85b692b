"""The history of a conversation, its passages to be opened and copied."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message

from toeroom.answers.answering import Answer
from toeroom.answers.quoting import Rows
from tui.talk import Said
from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block
from tui.widgets.table_lines import table_lines
from tui.widgets.talk_rows import QUOTED, copied, talk_blocks

EMPTY = (
    "Say what you see, as you would tell it to a colleague, or ask a question. What is understood of it"
    " stands in the list; correct it there. Nothing is made up: what is answered stands in the handbook,"
    " with its page, or follows from the rules."
)


class TalkPane(BlockPane):
    """Shows what was said."""

    READING = True
    WIDEST = 100
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "open", "open")]

    class PageWanted(Message):
        """A citation is to be looked up."""

        def __init__(self, page: str, heading: str) -> None:
            super().__init__()
            self.page, self.heading = page, heading

    def __init__(self, deferral: str, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.deferral = deferral
        self.history: Sequence[Said] = ()

    def show(self, history: Sequence[Said], *, newest: bool) -> None:
        """Shows the history; with `newest` from its last line on."""
        self.history = history
        self.lay_out()
        if newest and history:
            last = [
                i for i, (number, _, _, _) in enumerate(self.wrapped) if self.blocks[number].marker == "› "
            ][-1]
            self.scroll_to(y=last, animate=False, force=True)
            self.call_after_refresh(self.scroll_to, y=last, animate=False, force=True)
            self.chosen = next((key for key, rows in self.rows.items() if rows[0] >= last), self.chosen)
            self.moved = True

    def make_blocks(self, width: int) -> list[Block]:
        """The history in blocks."""
        if not self.history:
            return [Block(((1, Text(EMPTY, "quiet")),))]
        room = min(width or 80, self.WIDEST) - QUOTED - 1

        def laid(table: Rows) -> list[Text]:
            rows = [[Text(cell) for cell in row] for row in (table.head, *table.rows)]
            return table_lines(rows, room, self.app.console)

        return list(talk_blocks(self.history, self.deferral, laid))

    @property
    def answer(self) -> Answer | None:
        """The passage chosen, where one is."""
        at, _, _ = self.chosen.partition(":")
        number, _, place = at.partition(".")
        if not (number.isdigit() and place.isdigit()):
            return None
        turn = self.history[int(number)].turn
        return turn.reply.answers[int(place)] if turn and turn.reply else None

    def copied(self) -> tuple[str, str]:
        """The passage chosen, with its page and cautions."""
        return (copied(self.answer) if self.answer else ""), "a passage, with its page and cautions"

    def act(self) -> None:
        """A second click is as the key."""
        self.action_open()

    def action_open(self) -> None:
        if self.chosen:
            page, _, heading = self.chosen.partition(":page:")[2].partition("#")
            self.post_message(self.PageWanted(page, heading))
