"""Headings in a list of things to choose."""

from __future__ import annotations

from textual.content import Content
from textual.widgets.option_list import Option

from toeroom.wording import printable


def heading(text: str) -> Option:
    """A line that cannot be chosen, above those that belong to it."""
    return Option(Content.styled(f"╌ {printable(text)}", "bold $primary"), disabled=True)
