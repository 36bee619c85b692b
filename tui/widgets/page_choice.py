"""A few pages of the handbook to choose from, by their titles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from toeroom.errors import BadInput
from toeroom.wording import printable
from tui.library import Library


class PageChoice(OptionList):
    """Pages; where the title of one cannot be read, its id stands for it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "select", "open")]

    def __init__(self, library: Library, pages: Sequence[str], *, look_id: str) -> None:
        super().__init__(
            *(Option(Content(_title(library, page)), id=page) for page in dict.fromkeys(pages)),
            id=look_id,
            classes="page-choice",
        )


def _title(library: Library, page: str) -> str:
    try:
        return printable(library.handbook.page(page).title)
    except BadInput:
        return page
