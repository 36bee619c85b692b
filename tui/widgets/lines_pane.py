"""A pane of plain lines, to be read."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block

Line = tuple[str, str]
"""A line and its look: '' plain, or `title`, `head`, `quiet`, `fault`, `caution`."""


class LinesPane(BlockPane):
    """Shows lines as they are; what is longer than the pane goes on below, under its own beginning."""

    READING = True

    def __init__(self, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.lines: list[Line] = []

    def show(self, lines: Sequence[Line]) -> None:
        """Shows these lines from the top."""
        self.lines = list(lines)
        self.lay_out()
        self.scroll_home(animate=False)

    def add(self, text: str, look: str = "") -> None:
        """Adds a line below; who reads is not moved."""
        self.lines.append((text, look))
        self.lay_out()

    def make_blocks(self, width: int) -> list[Block]:
        """A block for each line."""
        found = []
        for text, look in self.lines:
            body = text.lstrip(" ")
            found.append(Block(((1 + len(text) - len(body), Text(body, look)),)))
        return found

    @property
    def text(self) -> str:
        """What is shown, as text."""
        return "\n".join(text for text, _ in self.lines)
