"""What falls due for opened cases, entry by entry, with its days, its reason, its source and its page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from toeroom.case import Case
from toeroom.measures import reviews
from toeroom.measures.dates import INSERT_MONTHS, first_of_next_year, plus_months
from toeroom.measures.papers import CERTIFICATION, SOURCE, Paper, papers_report
from toeroom.measures.reviews import FOOTWEAR_MONTHS, Window
from toeroom.plan import Plan
from toeroom.vocabulary import PERSON, SIDES

STOP = "stop"
STANDINGS = ("overdue", "due", "coming")


@dataclass(frozen=True, slots=True)
class Opened:
    """A case, and the little of its plan that what falls due rests on.

    risk: its ulcer-risk category 0 to 3, '' where it is not known: the interval of screening hangs on it.
    stopped: the feet not to be fitted, and `person` where a clinician comes before everything else.
    """

    case: Case
    risk: str = ""
    stopped: tuple[str, ...] = ()


def opened(case: Case, plan: Plan) -> Opened:
    """A case with its plan, made ready. A record store may keep the two values instead of planning anew."""
    stopped = [side for side in SIDES if plan.state("no_fitting_today", side)]
    if plan.state("urgent_referral", PERSON):
        stopped.append(PERSON)
    return Opened(case, plan.state("ulcer_risk", PERSON), tuple(stopped))


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to do for a case.

    first, last: the earliest day, and the day by which; standing: overdue, due or coming on the day asked.
    what: says nothing about the person; why: how the days come about. stopped: the case may not be fitted
    today, so a referral comes before this. page: of the handbook.
    """

    case: str
    id: str
    what: str
    side: str
    first: date
    last: date
    standing: str
    why: str
    source: str
    page: str
    category: str
    stopped: bool = False

    @property
    def label(self) -> str:
        """What, and why on these days."""
        return f"{self.what}, {self.why}" if self.why else self.what


@dataclass(frozen=True, slots=True)
class _Kind:
    what: str
    category: str
    source: str
    page: str


_POLICY = "Medicare Benefit Policy Manual ch. 15 §140.B.1"
_KINDS = {
    STOP: _Kind("refer", "stop", "the plan of the case", "when-to-stop-fitting"),
    "replace_inserts": _Kind("inserts changed", "inserts", "common practice", "wear-and-change"),
    "footwear_review": _Kind("footwear looked at", "review", "van Netten et al. 2018, rec. 9", "follow-up"),
    "review_by_risk": _Kind(
        "feet screened", "review", "IWGDF 2019, Table 1 (expert opinion)", "ulcer-risk-category"
    ),
    "next_pair": _Kind("next pair", "next pair", _POLICY, "per-year"),
    "hand_over": _Kind("hand-over", "hand-over", "stated on the case", "fit-check"),
}
PAPERS = "papers"
"""The category of papers lapsing and papers wanted."""


def due_entries(cases: Iterable[Opened], on: date | None = None) -> Iterator[Due]:
    """All that falls due for `cases`, case by case, in no particular order within one.

    on: the day of the standings; the day of each case where it is left out. Screening counts from the foot
    examination and needs a risk category; what has no date is not due.
    """
    for one in cases:
        yield from _Entries(one, on or one.case.as_of).all()


def in_order(entries: Iterable[Due]) -> list[Due]:
    """Stops first, then what is overdue, what is open, what comes, by calendar week; the same order always.

    Of a week, the cases that are stopped come first.
    """
    return sorted(entries, key=_rank)


def _rank(due: Due) -> tuple[bool, int, date, bool, date, date, str, str, str]:
    standing = STANDINGS.index(due.standing)
    week = monday_of(due.first) if due.standing == "coming" else date.min
    return due.id != STOP, standing, week, not due.stopped, due.first, due.last, due.case, due.id, due.side


def monday_of(day: date) -> date:
    """The first day of the calendar week of `day`."""
    return day - timedelta(days=day.weekday())


def within(entries: Iterable[Due], on: date, weeks: int) -> Iterator[Due]:
    """The entries open by the Sunday that ends `weeks` calendar weeks, the week of `on` being the first."""
    end = monday_of(on) + timedelta(weeks=weeks)
    return (due for due in entries if due.first < end)


class _Entries:
    """The entries of one case."""

    def __init__(self, one: Opened, on: date) -> None:
        self.case, self.risk, self.stopped, self.on = one.case, one.risk, one.stopped, on
        self.dates = one.case.dates
        self.benefit = one.case.finding("us_medicare", PERSON) == "yes"

    def all(self) -> Iterator[Due]:
        for parts in (self.stops, self.inserts, self.reviews, self.hand_over, self.papers, self.next_pair):
            yield from parts()

    def due(self, kind: str, first: date, last: date, why: str, side: str = PERSON) -> Due:
        return self.made(kind, _KINDS[kind], Window(first, last), why, side)

    def made(self, entry: str, kind: _Kind, window: Window, why: str, side: str = PERSON) -> Due:
        return Due(
            case=self.case.id,
            id=entry,
            what=kind.what,
            side=side,
            first=window.first,
            last=window.last,
            standing=window.standing(self.on),
            why=why,
            source=kind.source,
            page=kind.page,
            category=kind.category,
            stopped=bool(self.stopped),
        )

    def stops(self) -> Iterator[Due]:
        day = self.case.as_of
        for side in self.stopped:
            why = "a clinician before everything else" if side == PERSON else f"{side} foot not fitted"
            yield self.due(STOP, day, day, f"{why}, by the plan of {day}", side)

    def inserts(self) -> Iterator[Due]:
        changed = self.dates.get("inserts_changed")
        if changed is not None:
            day = reviews.insert_change(changed)
            yield self.due(
                "replace_inserts", day, day, f"{INSERT_MONTHS} months after the change of {changed}"
            )
            return
        for side in SIDES:
            age = self.case.measures.get(("insert_age_months", side))
            if age is not None:
                # A broken month counts as a whole one: rather early than late.
                day = plus_months(self.case.as_of, INSERT_MONTHS - ceil(age))
                why = f"{age:f} months old on {self.case.as_of}, due at {INSERT_MONTHS}"
                yield self.due("replace_inserts", day, day, why, side)

    def reviews(self) -> Iterator[Due]:
        delivered, exam = self.dates.get("delivered"), self.dates.get("foot_exam")
        if delivered is not None:
            day = reviews.footwear_review(delivered)
            why = f"{FOOTWEAR_MONTHS} months after the hand-over of {delivered}"
            yield self.due("footwear_review", day, day, why)
        window = reviews.screening_window(exam, self.risk) if exam is not None else None
        if window is not None:
            why = f"risk category {self.risk}, after the examination of {exam}"
            yield self.due("review_by_risk", window.first, window.last, why)

    def hand_over(self) -> Iterator[Due]:
        planned, delivered = self.dates.get("planned_delivery"), self.dates.get("delivered")
        if planned is not None and (delivered is None or delivered < planned):
            yield self.due("hand_over", planned, planned, "as planned")

    def papers(self) -> Iterator[Due]:
        """Each paper on its last day; one not in order, before the planned hand-over."""
        if not self.benefit:
            return
        delivered, planned = self.dates.get("delivered"), self.dates.get("planned_delivery")
        for paper in papers_report(self.dates, self.case.as_of).papers:
            if delivered is not None and paper.day is not None and paper.day <= delivered:
                continue  # It has served its pair.
            if paper.fault and planned is not None:
                first = min(self.case.as_of, planned)
                yield self._paper(paper, "wanted", Window(first, planned), paper.fault)
            elif paper.until is not None and not paper.fault:
                yield self._paper(paper, "lapses", Window(paper.until, paper.until), f"dated {paper.day}")

    def _paper(self, paper: Paper, verb: str, window: Window, why: str) -> Due:
        page = "certifying-statement" if paper.id == CERTIFICATION else "visits-and-orders"
        kind = _Kind(f"{paper.label} {verb}", PAPERS, SOURCE, page)
        return self.made(f"{paper.id}_{verb}", kind, window, why)

    def next_pair(self) -> Iterator[Due]:
        last = max((self.dates[d] for d in ("previous_pair", "delivered") if d in self.dates), default=None)
        if last is not None and self.benefit:
            day = first_of_next_year(last)
            why = f"one a calendar year, after that of {last}"
            yield self.due("next_pair", day, date(day.year, 12, 31), why)
