"""What was understood, as a numbered list in which each entry can be corrected."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.message import Message

from toeroom.answers.answering import UNSAID
from toeroom.answers.understand import Understood
from toeroom.vocabulary import PERSON, Vocabulary
from toeroom.wording import number_in_words
from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block


class StatedPane(BlockPane):
    """The list; its number is that by which a line of the conversation corrects it too."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,ctrl+y", "correct('yes')", "yes"),
        Binding("n,ctrl+n", "correct('no')", "no"),
        Binding("u,ctrl+u,question_mark", "correct('unknown')", "unknown"),
        Binding("l,left", "correct('left')", "left"),
        Binding("r,right", "correct('right')", "right"),
        Binding("b", "correct('both')", "both"),
        Binding("delete,backspace,x", "correct('drop')", "drop"),
    ]

    class Corrected(Message):
        """An entry is to be corrected."""

        def __init__(self, one: Understood, what: str) -> None:
            super().__init__()
            self.one, self.what = one, what

    def __init__(self, vocabulary: Vocabulary, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.vocabulary = vocabulary
        self.stated: Sequence[Understood] = ()
        self.about = ""

    def show(self, stated: Sequence[Understood], about: str) -> None:
        """Shows what is understood; `about` is the id of the case it adds to, where there is one."""
        self.stated, self.about = stated, about
        self.lay_out()

    def make_blocks(self, width: int) -> list[Block]:
        """A block an entry."""
        blocks = [Block(((1, Text("Understood", "title")),))]
        if self.about:
            told = f"added to the case {self.about}; what is stated there counts too"
            blocks.append(Block(((1, Text(told, "quiet")),)))
        if not self.stated:
            blocks.append(Block(((1, Text("nothing yet", "quiet")),)))
        for number, one in enumerate(self.stated, 1):
            marker = f"{number} ".rjust(4)
            lines = [(len(marker) + 1, self._told(one)), (len(marker) + 1, Text(f"“{one.text}”", "quiet"))]
            blocks.append(Block(tuple(lines), key=str(number), marker=marker))
        return blocks

    def _told(self, one: Understood) -> Text:
        term = self.vocabulary.by_id[one.id]
        side = {PERSON: "", UNSAID: " (which foot?)"}.get(one.side, f", {one.side}")
        unit = getattr(term, "unit", "")
        value = one.state if one.value is None else f"{number_in_words(one.value)} {unit}".strip()
        return Text.assemble(f"{term.label}{side}: ", (value, "head"))

    def action_correct(self, what: str) -> None:
        """Asks for a correction of the entry chosen."""
        if self.chosen.isdigit() and int(self.chosen) <= len(self.stated):
            self.post_message(self.Corrected(self.stated[int(self.chosen) - 1], what))
