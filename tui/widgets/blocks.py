"""A block of lines to be shown and chosen."""

from __future__ import annotations

from dataclasses import dataclass

from rich.text import Text

LINK = "@"
"""A style of this and a key makes the words under it a link: a thing that can be chosen by itself."""


@dataclass(frozen=True, slots=True)
class Block:
    """Some lines with their indent. A style in a line is a name that the pane gives a look to.

    A block with a key can be chosen; the key stays the same for the same thing when all is laid out
    anew. `band` names a ground that goes across the pane. `marker` stands before the first line, in
    its indent. `hang`: how much deeper a line goes on that is longer than the pane.
    """

    lines: tuple[tuple[int, Text], ...]
    key: str = ""
    band: str = ""
    marker: str = ""
    hang: int = 0


def space() -> Block:
    """An empty line."""
    return Block(((0, Text("")),))


def title(text: str) -> Block:
    """A heading, an empty line above it."""
    return Block(((0, Text("")), (1, Text(text, "title"))))
