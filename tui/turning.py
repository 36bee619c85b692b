"""Turning to another version of the book while the app is open."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from toeroom.book import Book
from toeroom.case import case_as_yaml, parse_case
from toeroom.errors import BadInput

if TYPE_CHECKING:
    from tui.screens.desk import DeskScreen


@runtime_checkable
class TurnsToBook(Protocol):
    """A screen that shows something of the book, and can show it by another version."""

    async def turn_to_book(self) -> None:
        """Shows what is open by the book that the library has now."""


def held_up_by(desks: Iterable[DeskScreen], book: Book) -> str:
    """The first open case that states what `book` has no word for, and why; '' where there is none."""
    for desk in desks:
        case = desk.open.case
        try:
            parse_case(case_as_yaml(case, desk.book.vocabulary), book.vocabulary)
        except BadInput as fault:
            return f"{case.id}: {fault.what}"
    return ""
