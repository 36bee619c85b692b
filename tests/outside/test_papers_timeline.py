"""Papers of the US benefit on the calendar: what holds, what lapses, when the shoes may be handed over.

Sources: DME MAC documentation lists (visit and examination within six months, statement within three);
review reports Jan-Mar 2024 (statement before visit, order before examination); Medicare Benefit Policy
Manual ch. 15 §140.B.1 (one pair a calendar year); retired DME MAC notices and LCD L33369 as quoted
(renewals); IWGDF 2019, Table 1 (screening); van Netten et al. 2018, rec. 9 (footwear every three
months). Policy is dated: read 2026-11. Months are checked against dateutil, the hand-over window
against trying every day.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.due import Opened, due_report
from toeroom.measures.papers import PapersReport, papers_report, renewal
from toeroom.measures.reviews import REVIEW_MONTHS, footwear_review, insert_change, screening_window

AS_OF = date(2026, 6, 1)
GOOD = {
    "physician_visit": date(2026, 5, 10),
    "foot_exam": date(2026, 5, 12),
    "certification_signed": date(2026, 5, 20),
    "order_signed": date(2026, 5, 20),
}


def report(as_of: date = AS_OF, **dates: date) -> PapersReport:
    return papers_report({**GOOD, **dates}, as_of)


def test_all_in_order() -> None:
    found = report()
    assert found.in_order
    assert (found.earliest, found.latest) == (AS_OF, date(2026, 8, 20))
    assert {paper.id: paper.until for paper in found.papers} == {
        "physician_visit": date(2026, 11, 10),
        "foot_exam": date(2026, 11, 12),
        "certification_signed": date(2026, 8, 20),
        "order_signed": None,
    }
    assert found.mend == found.warnings == ()


WINDOWS = [
    ("physician_visit", date(2025, 12, 30), True),
    ("physician_visit", date(2025, 12, 29), False),
    ("certification_signed", date(2026, 3, 30), True),
    ("certification_signed", date(2026, 3, 29), False),
    ("foot_exam", date(2025, 12, 30), True),
    ("foot_exam", date(2025, 12, 29), False),
]


@pytest.mark.parametrize(("paper", "day", "holds"), WINDOWS)
def test_a_hand_over_on_30_june(paper: str, day: date, holds: bool) -> None:
    """Medicare, worked check 3; on the last day the margin is warned about."""
    march = date(2026, 3, 1)
    others = {**dict.fromkeys(GOOD, march), "certification_signed": date(2026, 4, 1)}
    found = papers_report({**others, paper: day, "planned_delivery": date(2026, 6, 30)}, date(2026, 6, 1))
    assert found.planned_holds is holds
    assert any("stay clear" in text for text in found.warnings) is holds


def test_a_statement_before_the_visit() -> None:
    """Medicare, worked check 4: visit 10 May, statement 8 May."""
    found = report(certification_signed=date(2026, 5, 8))
    assert not found.in_order
    assert found.mend == (
        "certifying statement: dated 2026-05-08, before the physician visit of 2026-05-10: "
        "have it signed again",
    )
    assert report(certification_signed=date(2026, 5, 10)).in_order


def test_an_order_before_the_examination() -> None:
    assert not report(order_signed=date(2026, 5, 11)).in_order
    assert report(order_signed=date(2026, 5, 12)).in_order


@pytest.mark.parametrize("paper", list(GOOD))
def test_a_paper_that_is_missing(paper: str) -> None:
    found = papers_report({key: day for key, day in GOOD.items() if key != paper}, AS_OF)
    assert found.earliest is found.latest is None
    assert any("not there" in text for text in found.mend)


def test_the_next_pair_waits_for_the_year() -> None:
    """Medicare Benefit Policy Manual ch. 15 §140.B.1: the statement lapses before January."""
    found = report(previous_pair=date(2026, 2, 3))
    assert found.next_pair_from == date(2027, 1, 1)
    assert not found.in_order
    assert any(text.startswith("certifying statement: counts until 2026-08-20") for text in found.mend)
    assert report(previous_pair=date(2025, 12, 31)).in_order


paper_days = st.dates(date(2025, 10, 1), date(2026, 8, 1))


@given(
    dates=st.fixed_dictionaries(
        {},
        optional={
            **dict.fromkeys(GOOD, paper_days),
            "previous_pair": st.dates(date(2024, 6, 1), date(2026, 6, 1)),
        },
    ),
    as_of=st.dates(date(2026, 1, 1), date(2026, 8, 1)),
)
def test_the_window_is_what_trying_every_day_finds(dates: dict[str, date], as_of: date) -> None:
    def holds(day: date) -> bool:
        if set(GOOD) - set(dates):
            return False
        spans = {"physician_visit": 6, "foot_exam": 6, "certification_signed": 3}
        in_time = all(dates[p] <= day <= dates[p] + relativedelta(months=m) for p, m in spans.items())
        in_turn = (
            dates["certification_signed"] >= dates["physician_visit"]
            and dates["order_signed"] >= dates["foot_exam"]
        )
        fresh = "previous_pair" not in dates or dates["previous_pair"].year < day.year
        return in_time and in_turn and fresh and dates["order_signed"] <= day

    good = [day for n in range(400) if holds(day := as_of + timedelta(days=n))]
    found = papers_report(dates, as_of)
    assert (found.earliest, found.latest) == ((good[0], good[-1]) if good else (None, None))
    assert bool(found.mend) is not bool(good)


def test_a_planned_day_outside_is_said() -> None:
    found = report(planned_delivery=date(2026, 8, 21))
    assert found.planned_holds is False
    assert found.warnings == ("the planned hand-over 2026-08-21 is not between 2026-06-01 and 2026-08-20",)
    assert report(planned_delivery=date(2026, 8, 18)).warnings[0].startswith("2 days to spare")
    assert report(planned_delivery=date(2026, 8, 16)).warnings == ()


RENEWALS = [
    # kind, months after order and statement, (new order, new statement)
    ("insert", 8, (False, False)),
    ("modification", 12, (False, False)),
    ("insert", 13, (True, True)),
    ("shoe", 8, (True, False)),
]


@pytest.mark.parametrize(("kind", "months", "needed"), RENEWALS)
def test_replacements(kind: str, months: int, needed: tuple[bool, bool]) -> None:
    """Medicare, worked check 13 (orders: retired notice)."""
    start = date(2026, 1, 31)
    then = start + relativedelta(months=months)
    assert renewal(kind, order=start, certification=start, provided=then) == needed


def test_a_replacement_on_papers_in_order_says_what_it_needs(book: Book) -> None:
    """Medicare, worked check 13, from a case: 8 and 13 months after order and statement."""
    text = (
        "case: a\nas_of: {day}\nperson: {{us_medicare: yes, diabetes: yes}}\n"
        "dates: {{physician_visit: 2026-01-10, foot_exam: 2026-01-10, "
        "certification_signed: 2026-01-12, order_signed: 2026-01-12{more}}}\n"
    )

    def needs(day: str, more: str) -> dict[str, tuple[bool, bool]]:
        report = due_report(Opened(parse_case(text.format(day=day, more=more), book.vocabulary)))
        return {item.kind: (item.new_order, item.new_statement) for item in report.replacing}

    handed = ", delivered: 2026-02-01"
    assert needs("2026-09-12", handed) == {
        "shoe": (True, False), "insert": (False, False), "modification": (False, False),
    }  # fmt: skip
    assert needs("2027-02-12", handed)["insert"] == (True, True)
    assert needs("2026-09-12", "") == {}
    assert needs("2026-03-01", f"{handed}, planned_delivery: 2027-02-12")["insert"] == (True, True)


def test_an_order_that_is_at_fault_serves_no_replacement(book: Book) -> None:
    case = parse_case(
        "case: a\nas_of: 2026-09-12\nperson: {us_medicare: yes}\ndates: {foot_exam: 2026-01-10, "
        "certification_signed: 2026-01-12, order_signed: 2026-01-09, delivered: 2026-02-01}\n",
        book.vocabulary,
    )
    assert due_report(Opened(case)).replacing == ()


def test_a_lapse_before_the_planned_day_is_said_beside_another_fault() -> None:
    found = report(order_signed=date(2026, 5, 1), planned_delivery=date(2026, 8, 21))
    assert not found.in_order
    assert found.warnings == (
        "the certifying statement counts until 2026-08-20, before the planned hand-over 2026-08-21",
    )


def test_reviews() -> None:
    """Australian guideline, worked check 3: issued 1 March, looked at by 1 June."""
    assert footwear_review(date(2026, 3, 1)) == date(2026, 6, 1)
    assert insert_change(date(2026, 10, 31)) == date(2027, 2, 28)


@given(seen=st.dates(date(2000, 1, 1), date(2100, 1, 1)), category=st.sampled_from(sorted(REVIEW_MONTHS)))
def test_screening_by_risk(seen: date, category: str) -> None:
    """IWGDF 2019, Table 1: 12; 6 to 12; 3 to 6; 1 to 3 months."""
    months = {"0": (12, 12), "1": (6, 12), "2": (3, 6), "3": (1, 3)}[category]
    window = screening_window(seen, category)
    assert window is not None
    assert (window.first, window.last) == tuple(seen + relativedelta(months=count) for count in months)
    assert window.standing(window.first) == window.standing(window.last) == "due"
    assert window.standing(window.last + timedelta(days=1)) == "overdue"
    assert window.standing(window.first - timedelta(days=1)) == "coming"


def test_an_unknown_category_has_no_interval() -> None:
    assert screening_window(date(2026, 1, 1), "unknown") is None
