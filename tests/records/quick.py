"""Planning that costs nothing, for tests of the writing itself; the case is read as always."""

from __future__ import annotations

from datetime import date
from functools import cache

from toeroom.book import open_book, shipped_folder
from toeroom.case import parse_case
from toeroom.due import Due
from toeroom.records.planning import Planned
from toeroom.records.version import compact
from toeroom.vocabulary import Vocabulary, read_vocabulary


@cache
def vocabulary() -> Vocabulary:
    """The words of the shipped book."""
    return read_vocabulary(shipped_folder() / "rules" / "vocabulary.yaml")


@cache
def _plan() -> str:
    """A plan of ordinary size: that of a demo case."""
    book = open_book()
    text = (book.cases_demo / "bunion-and-numb-feet.yaml").read_text(encoding="utf-8")
    return compact(book.planner.plain_plan(parse_case(text, book.vocabulary)).as_json())


class QuickPlanning:
    """Gives every case the same plan and one thing that falls due."""

    def __call__(self, text: str, name: str) -> Planned:
        case = parse_case(text, vocabulary(), name=name)
        due = Due(
            case=case.id,
            id="replace_inserts",
            what="inserts changed",
            side="person",
            first=date(2027, 1, 1),
            last=date(2027, 1, 1),
            standing="coming",
            why="",
            source="",
            page="",
            category="inserts",
        )
        return Planned(case, "quick", False, _plan(), (due,))
