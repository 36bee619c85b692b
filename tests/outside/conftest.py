"""Cases are written here as in a case file, and looked at through the whole planner, both engines.

Every check names its source. `from memory` and `common practice` in a source mark what was not
confirmed in published text, or is custom of the trade.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.plan import Line, Plan


class Seen:
    """A plan, looked at by `item@side`."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.stop = plan.stop
        self.advised = {f"{line.id}@{line.side}" for line in plan.lines if line.advised}
        self.held_back = {f"{line.id}@{line.side}" for line in plan.lines if not line.advised}
        self.cautions = " ".join(plan.cautions)

    def line(self, place: str) -> Line:
        item, _, side = place.partition("@")
        found = self.plan.line(item, side)
        assert found is not None, f"{place} is not in the plan"
        return found

    def cautions_on(self, place: str) -> str:
        return " ".join(self.line(place).cautions)

    def rules_for(self, place: str) -> set[str]:
        return {reason.rule for reason in self.line(place).reasons}

    def state(self, place: str) -> str:
        term, _, side = place.partition("@")
        return self.plan.state(term, side)

    def advises(self, *places: str) -> bool:
        return set(places) <= self.advised

    def mentions(self, place: str) -> bool:
        return place in self.advised | self.held_back


@pytest.fixture(scope="session")
def plan(book: Book) -> Callable[[str], Seen]:
    """The plan of a case text (its id and day may be left out), by both engines."""

    def look(text: str) -> Seen:
        head = "case: check\n" if "as_of:" in text else "case: check\nas_of: 2026-11-25\n"
        return Seen(book.planner.plan(parse_case(head + text, book.vocabulary)))

    return look
