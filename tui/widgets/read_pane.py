"""A pane of lines that are only read."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block


class ReadPane(BlockPane):
    """Shows lines, each with its indent; up and down scroll."""

    def __init__(self, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.told: Sequence[tuple[int, Text]] = ()

    def show_lines(self, lines: Sequence[tuple[int, Text]]) -> None:
        """Shows `lines` in place of what stands there."""
        self.told = lines
        self.lay_out()

    def make_blocks(self, width: int) -> list[Block]:
        """All lines in one block that nothing is chosen of."""
        return [Block(tuple(self.told))]
