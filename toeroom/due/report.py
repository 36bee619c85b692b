"""What falls due for one case, with its papers: as plain values and as text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from toeroom.case import Case
from toeroom.due.entries import PAPERS, STOP, Due, Opened, due_entries, in_order
from toeroom.due.replacing import Replacing, replacing, replacing_lines
from toeroom.due.weeks import week_name
from toeroom.measures import papers
from toeroom.measures.inserts import reviews_reached
from toeroom.measures.papers import PapersReport, papers_report
from toeroom.vocabulary import PERSON, SIDES


@dataclass(frozen=True, slots=True)
class DueReport:
    """All of a case, by day. papers: None where the footwear is not supplied under the US benefit.

    replacing: empty where nothing was handed over before, or order and statement are not both in order.
    """

    case: str
    as_of: date
    due: tuple[Due, ...]
    papers: PapersReport | None
    notes: tuple[str, ...]
    replacing: tuple[Replacing, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The report as plain values; days as ISO dates."""
        return {
            "case": self.case,
            "as_of": self.as_of.isoformat(),
            "due": [_due_json(due) for due in self.due],
            "papers": None if self.papers is None else _papers_json(self.papers),
            "notes": list(self.notes),
            "replacing": [one.as_json() for one in self.replacing],
        }


def due_report(one: Opened, on: date | None = None) -> DueReport:
    """What falls due for an opened case; standings for the day `on`, or the day of the case."""
    case = one.case
    benefit = case.finding("us_medicare", PERSON) == "yes"
    report = papers_report(case.dates, case.as_of) if benefit else None
    return DueReport(
        case.id,
        case.as_of,
        tuple(in_order(due_entries([one], on))),
        report,
        tuple(_notes(case)),
        () if report is None else tuple(replacing(case, report)),
    )


def _due_json(due: Due) -> dict[str, Any]:
    return {
        "id": due.id,
        "label": due.label,
        "from": due.first.isoformat(),
        "until": due.last.isoformat(),
        "standing": due.standing,
        "source": due.source,
        "side": due.side,
        "what": due.what,
        "why": due.why,
        "page": due.page,
        "category": due.category,
        "week": week_name(due.first),
        "stopped": due.stopped,
    }


def _notes(case: Case) -> Iterable[str]:
    for side in SIDES:
        age = case.measures.get(("insert_age_months", side))
        for text in reviews_reached(age) if age is not None else ():
            yield f"{side} insert, {age:g} months old: {text}"


def _papers_json(report: PapersReport) -> dict[str, Any]:
    return {
        "papers": [
            {
                "id": paper.id,
                "day": _day(paper.day),
                "until": _day(paper.until),
                "in_order": not paper.fault,
                "fault": paper.fault or None,
            }
            for paper in report.papers
        ],
        "in_order": report.in_order,
        "earliest_delivery": _day(report.earliest),
        "latest_delivery": _day(report.latest),
        "planned_delivery": _day(report.planned),
        "planned_holds": report.planned_holds,
        "next_pair_from": _day(report.next_pair_from),
        "mend": list(report.mend),
        "warnings": list(report.warnings),
        "source": papers.SOURCE,
    }


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def due_lines(report: DueReport) -> list[str]:
    """The report in plain text: a stop, the papers, then what falls due, by day."""
    from toeroom.pictures.paper_timeline import paper_timeline_lines

    lines = [f"STOP  {due.why}: refer first" for due in report.due if due.id == STOP]
    if report.papers is not None:
        lines += ["Papers", *(f"  {text}" for text in paper_timeline_lines(report.papers))]
        lines += [f"  ! {text}" for text in (*report.papers.mend, *report.papers.warnings)]
    # The days of the papers stand in the drawing above.
    dated = [due for due in report.due if due.id != STOP and due.category != PAPERS]
    if dated:
        lines += ["", "Due"] if lines else ["Due"]
        lines += [f"  {_item(due)}" for due in dated]
    lines += replacing_lines(report.replacing)
    lines += [f"  ! {text}" for text in report.notes]
    return lines or ["no date of this case makes anything fall due"]


def _item(due: Due) -> str:
    side = "" if due.side == PERSON else f"{due.side}: "
    span = f"from {due.first}" if due.first == due.last else f"{due.first} to {due.last}"
    return f"{due.standing:8} {span}: {side}{due.label}"
