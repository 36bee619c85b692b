"""What is worked out of a case when it is saved: its plan as both engines have it, and what falls due."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from toeroom.book import Book, open_book
from toeroom.case import Case, parse_case
from toeroom.due import Due, due_entries, opened
from toeroom.records.version import compact
from toeroom.rules.asking import with_questions


@dataclass(frozen=True, slots=True)
class Planned:
    """A case, the version of the rules that planned it, and what they say. plan: JSON of the contract."""

    case: Case
    book: str
    stop: bool
    plan: str
    due: tuple[Due, ...]


class Planning(Protocol):
    """Plans a case file; `BadInput` where it cannot be read. `name`: the file as faults call it."""

    def __call__(self, text: str, name: str) -> Planned: ...


class BookPlanning:
    """Plans by a book; without one, by the shipped book, opened when first wanted."""

    def __init__(self, book: Book | None = None) -> None:
        self._given = book

    @cached_property
    def book(self) -> Book:
        """The book it plans by."""
        return self._given or open_book()

    def __call__(self, text: str, name: str) -> Planned:
        """Raises `EnginesDiffer` too: then there is no plan, and nothing to save."""
        planner = self.book.planner
        case = parse_case(text, self.book.vocabulary, name=name)
        plan = with_questions(planner, case, planner.plan(case))
        due = tuple(due_entries([opened(case, plan)]))
        return Planned(case, plan.book_version, plan.stop, compact(plan.as_json()), due)
