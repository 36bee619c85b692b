"""Which papers a replacement needs anew."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from toeroom.case import Case
from toeroom.measures import papers
from toeroom.measures.calculated import delivery_day
from toeroom.measures.papers import PapersReport, renewal

REPLACING_SOURCE = "retired DME MAC notices (orders); LCD L33369 as quoted (statement)"


@dataclass(frozen=True, slots=True)
class Replacing:
    """Which papers a replacement on a day needs anew. kind: shoe, insert or modification."""

    kind: str
    day: date
    new_order: bool
    new_statement: bool

    @property
    def words(self) -> str:
        """`a new order and a new statement`, or that the papers on file serve."""
        wanted = [
            words
            for holds, words in ((self.new_order, "a new order"), (self.new_statement, "a new statement"))
            if holds
        ]
        return " and ".join(wanted) or "the order and statement on file serve; note why it is replaced"

    def as_json(self) -> dict[str, Any]:
        """As plain values; the day as an ISO date."""
        return {
            "kind": self.kind,
            "day": self.day.isoformat(),
            "new_order": self.new_order,
            "new_statement": self.new_statement,
            "source": REPLACING_SOURCE,
        }


def replacing(case: Case, report: PapersReport) -> Iterable[Replacing]:
    """What a replacement needs, where something was handed over before on papers that are in order."""
    good = {paper.id: paper.day for paper in report.papers if not paper.fault}
    order, statement = good.get(papers.ORDER), good.get(papers.CERTIFICATION)
    before = any(day in case.dates for day in ("previous_pair", "delivered", "inserts_changed"))
    if not before or order is None or statement is None:
        return
    day = delivery_day(case)
    for kind in ("shoe", "insert", "modification"):
        yield Replacing(kind, day, *renewal(kind, order=order, certification=statement, provided=day))


def replacing_lines(found: Sequence[Replacing]) -> list[str]:
    """The same in plain text; none where nothing is replaced."""
    if not found:
        return []
    head = ["", f"Replacing on {found[0].day} [{REPLACING_SOURCE}]"]
    return [*head, *(f"  {one.kind}: {one.words}" for one in found)]
