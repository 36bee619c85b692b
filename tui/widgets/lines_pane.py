"""A pane of lines that are only read."""

from __future__ import annotations

from collections.abc import Iterable

from rich.text import Text

from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block


class LinesPane(BlockPane):
    """Shows lines as they are; what is longer than the pane goes on below, under its own beginning.

    The styles of a line are names of looks: `title`, `head`, `quiet`, `fault`, `caution`.
    """

    READING = True

    def __init__(self, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.lines: list[Text] = []

    def show(self, lines: Iterable[Text]) -> None:
        """Shows these lines from the top."""
        self.lines = list(lines)
        self.lay_out()
        self.scroll_home(animate=False)

    def add(self, line: Text) -> None:
        """Adds a line below; who reads is not moved."""
        self.lines.append(line)
        self.lay_out()

    def make_blocks(self, width: int) -> list[Block]:
        """A block for each line; the spaces it begins with are its indent."""
        found = []
        for line in self.lines:
            indent = len(line.plain) - len(line.plain.lstrip(" "))
            found.append(Block(((1 + indent, line[indent:] if indent else line),)))
        return found

    @property
    def text(self) -> str:
        """What is shown, as text."""
        return "\n".join(line.plain for line in self.lines)
