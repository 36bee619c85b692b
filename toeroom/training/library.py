"""The cases that come with a book, as a trainer orders them."""

from __future__ import annotations

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.errors import BadInput
from toeroom.lesson import GRADES


def demo_cases(book: Book) -> tuple[Case, ...]:
    """The training cases beside the book, simple ones first; a file that cannot be read is left out."""
    found = []
    for path in sorted(book.cases_demo.glob("*.yaml")):
        try:
            case = read_case(path, book.vocabulary)
        except BadInput:
            continue
        if case.grade:
            found.append(case)
    return tuple(sorted(found, key=lambda case: (GRADES.index(case.grade), case.id)))
