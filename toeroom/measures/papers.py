"""Papers of the US benefit against the calendar: what is in order, what lapses when, on which days
the shoes may be handed over with all of them in time.

Months are calendar months, clamped (dates.py); the payer's texts define none, so a margin of three
days is warned about (ours). Dated policy, read 2026-11: the current text counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from toeroom.measures.dates import (
    CERTIFICATION_MONTHS,
    EXAM_MONTHS,
    VISIT_MONTHS,
    first_of_next_year,
    plus_months,
)

MARGIN = timedelta(days=3)
VISIT, EXAM, CERTIFICATION, ORDER = "physician_visit", "foot_exam", "certification_signed", "order_signed"
LABELS = {
    VISIT: "physician visit",
    EXAM: "foot examination",
    CERTIFICATION: "certifying statement",
    ORDER: "order",
}
MONTHS = {VISIT: VISIT_MONTHS, EXAM: EXAM_MONTHS, CERTIFICATION: CERTIFICATION_MONTHS, ORDER: None}
NOT_BEFORE = {CERTIFICATION: VISIT, ORDER: EXAM}
"""The statement is signed on or after the visit, the order on or after the examination (review
reports Jan-Mar 2024, reasons 2 and 4)."""
SOURCE = "DME MAC documentation lists; Policy Article A52501; review reports Jan-Mar 2024"


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper; it counts for hand-over from `day` to `until` (None: no end). fault: "" where it is good."""

    id: str
    label: str
    day: date | None
    until: date | None
    fault: str


@dataclass(frozen=True, slots=True)
class PapersReport:
    """The papers together, as of a day.

    earliest, latest: first and last hand-over day on which all hold at once; None where there is none.
    planned: the planned hand-over; planned_holds: whether it lies between them, None without a plan.
    mend: what has to be got again or brought; warnings: margins and days to come.
    """

    as_of: date
    papers: tuple[Paper, ...]
    earliest: date | None
    latest: date | None
    planned: date | None
    planned_holds: bool | None
    next_pair_from: date | None
    mend: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def in_order(self) -> bool:
        """Whether there is a day, from the day of the report on, that satisfies all."""
        return self.earliest is not None


def papers_report(dates: Mapping[str, date], as_of: date) -> PapersReport:
    """All papers of `dates` (by vocabulary id) as of a day."""
    papers = tuple(_paper(paper, dates) for paper in LABELS)
    pair = dates.get("previous_pair")
    next_pair = None if pair is None else first_of_next_year(pair)
    mend = [f"{p.label}: {p.fault}" for p in papers if p.fault]
    earliest, latest = _window(papers, as_of, next_pair)
    if earliest is None and not mend:
        mend = _lapsed(papers, as_of, next_pair)
    planned = dates.get("planned_delivery")
    holds = None if planned is None else bool(earliest and latest and earliest <= planned <= latest)
    return PapersReport(
        as_of,
        papers,
        earliest,
        latest,
        planned,
        holds,
        next_pair,
        tuple(mend),
        tuple(_warnings(papers, as_of, earliest, latest, planned)),
    )


def _paper(paper: str, dates: Mapping[str, date]) -> Paper:
    day, months = dates.get(paper), MONTHS[paper]
    if day is None:
        return Paper(paper, LABELS[paper], None, None, "not there")
    first = NOT_BEFORE.get(paper, "")
    before = dates.get(first)
    fault = ""
    if before is not None and day < before:
        fault = f"dated {day}, before the {LABELS[first]} of {before}: have it signed again"
    return Paper(paper, LABELS[paper], day, plus_months(day, months) if months else None, fault)


def _window(
    papers: tuple[Paper, ...], as_of: date, next_pair: date | None
) -> tuple[date, date] | tuple[None, None]:
    if any(paper.fault for paper in papers):
        return None, None
    starts = [paper.day for paper in papers if paper.day] + [as_of] + ([next_pair] if next_pair else [])
    ends = [paper.until for paper in papers if paper.until]
    earliest, latest = max(starts), min(ends)
    return (earliest, latest) if earliest <= latest else (None, None)


def _lapsed(papers: tuple[Paper, ...], as_of: date, next_pair: date | None) -> list[str]:
    """The papers that end before the first day the others, the calendar year and today allow."""
    start = max([paper.day for paper in papers if paper.day] + [as_of] + ([next_pair] if next_pair else []))
    return [
        f"{paper.label}: counts until {paper.until}, and the first day possible is {start}: get a new one"
        for paper in papers
        if paper.until and paper.until < start
    ]


def _warnings(
    papers: tuple[Paper, ...], as_of: date, earliest: date | None, latest: date | None, planned: date | None
) -> list[str]:
    found = [
        f"the {p.label} is dated {p.day}, after {as_of}: check" for p in papers if p.day and p.day > as_of
    ]
    if earliest is None or latest is None:
        return found + _lapses_before(papers, planned)
    if planned is not None and planned < as_of:
        found.append(f"the planned hand-over {planned} is past")
    elif planned is not None and not earliest <= planned <= latest:
        found.append(f"the planned hand-over {planned} is not between {earliest} and {latest}")
    elif latest - (planned or as_of) <= MARGIN:
        days = (latest - (planned or as_of)).days
        found.append(
            f"{days} days to spare: the payer's texts do not say how months are counted; stay clear by three"
        )
    return found


def _lapses_before(papers: tuple[Paper, ...], planned: date | None) -> list[str]:
    """Papers good today that will not be on the planned day: got again, one fault does not hide them."""
    return [
        f"the {paper.label} counts until {paper.until}, before the planned hand-over {planned}"
        for paper in papers
        if planned is not None and paper.until is not None and paper.until < planned
    ]


def renewal(kind: str, *, order: date, certification: date, provided: date) -> tuple[bool, bool]:
    """Whether a replacement needs a new order, and a new certifying statement.

    A shoe always needs an order; an insert or modification needs one after a year. All need a new
    statement more than a year after the last. `kind`: shoe, insert or modification. Source: retired DME
    MAC notices (order); LCD L33369 as quoted (statement).
    """
    if kind not in ("shoe", "insert", "modification"):
        raise ValueError(f"'{kind}' is not a shoe, an insert or a modification")
    new_order = kind == "shoe" or provided > plus_months(order, 12)
    return new_order, provided > plus_months(certification, 12)
