"""What falls due for a case: papers, hand-over, inserts, reviews, the next pair, by day.

Shown for the day of the case; nothing here decides whether a fitting may go on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from toeroom.case import Case
from toeroom.measures import papers, reviews
from toeroom.measures.calculated import delivery_day
from toeroom.measures.dates import INSERT_MONTHS, first_of_next_year
from toeroom.measures.inserts import reviews_reached
from toeroom.measures.papers import PapersReport, papers_report, renewal
from toeroom.vocabulary import PERSON, SIDES

REPLACING_SOURCE = "retired DME MAC notices (orders); LCD L33369 as quoted (statement)"


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to do. first, last: from when and until when; standing: coming, due or overdue."""

    id: str
    label: str
    first: date
    last: date
    standing: str
    source: str


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
            "due": [
                {
                    "id": item.id,
                    "label": item.label,
                    "from": item.first.isoformat(),
                    "until": item.last.isoformat(),
                    "standing": item.standing,
                    "source": item.source,
                }
                for item in self.due
            ],
            "papers": None if self.papers is None else _papers_json(self.papers),
            "notes": list(self.notes),
            "replacing": [
                {
                    "kind": item.kind,
                    "day": item.day.isoformat(),
                    "new_order": item.new_order,
                    "new_statement": item.new_statement,
                    "source": REPLACING_SOURCE,
                }
                for item in self.replacing
            ],
        }


def due_report(case: Case, risk: str | None = None) -> DueReport:
    """What falls due for `case`. `risk`: its ulcer-risk category 0 to 3, None where it is not known.

    The category is the plan's (`plan.state("ulcer_risk", "person")`). Screening counts from the foot
    examination; where that is not stated it is left out.
    """
    found = [*_inserts(case), *_reviews(case, risk), *_next_pair(case)]
    benefit = case.finding("us_medicare", PERSON) == "yes"
    report = papers_report(case.dates, case.as_of) if benefit else None
    return DueReport(
        case.id,
        case.as_of,
        tuple(sorted(found, key=lambda item: (item.first, item.last, item.id))),
        report,
        tuple(_notes(case)),
        () if report is None else tuple(_replacing(case, report)),
    )


def _due(term: str, label: str, window: reviews.Window, on: date, source: str) -> Due:
    return Due(term, label, window.first, window.last, window.standing(on), source)


def _inserts(case: Case) -> Iterable[Due]:
    changed = case.dates.get("inserts_changed")
    if changed is not None:
        day = reviews.insert_change(changed)
        label = f"inserts, {INSERT_MONTHS} months after the change of {changed}"
        yield _due("replace_inserts", label, reviews.Window(day, day), case.as_of, "common practice")


def _reviews(case: Case, risk: str | None) -> Iterable[Due]:
    delivered, exam = case.dates.get("delivered"), case.dates.get("foot_exam")
    if delivered is not None:
        day = reviews.footwear_review(delivered)
        source = "van Netten et al. 2018, rec. 9"
        yield _due("footwear_review", "footwear looked at", reviews.Window(day, day), case.as_of, source)
    window = reviews.screening_window(exam, risk) if exam is not None and risk is not None else None
    if window is not None:
        label = f"feet screened, risk category {risk}, after the examination of {exam}"
        source = "IWGDF 2019, Table 1 (expert opinion)"
        yield _due("review_by_risk", label, window, case.as_of, source)


def _next_pair(case: Case) -> Iterable[Due]:
    last = max((case.dates[day] for day in ("previous_pair", "delivered") if day in case.dates), default=None)
    if last is not None and case.finding("us_medicare", PERSON) == "yes":
        day = first_of_next_year(last)
        window = reviews.Window(day, date(day.year, 12, 31))
        source = "Medicare Benefit Policy Manual ch. 15 §140.B.1"
        yield _due(
            "next_pair", f"next pair, one a calendar year, after that of {last}", window, case.as_of, source
        )


def _replacing(case: Case, report: PapersReport) -> Iterable[Replacing]:
    """What a replacement needs, where something was handed over before on papers that are in order."""
    good = {paper.id: paper.day for paper in report.papers if not paper.fault}
    order, statement = good.get(papers.ORDER), good.get(papers.CERTIFICATION)
    before = any(day in case.dates for day in ("previous_pair", "delivered", "inserts_changed"))
    if not before or order is None or statement is None:
        return
    day = delivery_day(case)
    for kind in ("shoe", "insert", "modification"):
        yield Replacing(kind, day, *renewal(kind, order=order, certification=statement, provided=day))


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
    """The report in plain text: papers first, then what falls due, by day."""
    from toeroom.pictures.paper_timeline import paper_timeline_lines

    lines = []
    if report.papers is not None:
        lines += ["Papers", *(f"  {text}" for text in paper_timeline_lines(report.papers))]
        lines += [f"  ! {text}" for text in (*report.papers.mend, *report.papers.warnings)]
    if report.due:
        lines += ["", "Due"] if lines else ["Due"]
        lines += [f"  {_item(item)}" for item in report.due]
    if report.replacing:
        lines += ["", f"Replacing on {report.replacing[0].day} [{REPLACING_SOURCE}]"]
        lines += [f"  {item.kind}: {item.words}" for item in report.replacing]
    lines += [f"  ! {text}" for text in report.notes]
    return lines or ["no date of this case makes anything fall due"]


def _item(item: Due) -> str:
    span = f"from {item.first}" if item.first == item.last else f"{item.first} to {item.last}"
    return f"{item.standing:8} {span}: {item.label}"
