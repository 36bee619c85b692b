"""What falls due, entry by entry; the days themselves are checked in tests/outside/."""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cases import cases
from toeroom.book import Book, open_book
from toeroom.case import Case, parse_case
from toeroom.due import Opened, due_entries, due_lines, due_report, in_order, opened, within
from toeroom.due.weeks import by_week, week_lines, week_name

BOOK = open_book()
AS_OF = date(2026, 11, 25)
PAPERS = (
    "case: a\nas_of: 2026-11-25\nperson: {us_medicare: yes}\nmeasures: {left: {insert_age_months: 7}}\n"
    "dates: {physician_visit: 2026-09-01, foot_exam: 2026-09-02, certification_signed: 2026-09-20, "
    "order_signed: 2026-09-03, inserts_changed: 2026-07-31, delivered: 2025-11-30}\n"
)


def days(one: Opened, on: date | None = None) -> dict[tuple[str, str], tuple[date, date, str]]:
    return {(due.id, due.side): (due.first, due.last, due.standing) for due in due_entries([one], on)}


def test_what_falls_due(book: Book) -> None:
    report = due_report(Opened(parse_case(PAPERS, book.vocabulary), "3"))
    lapse = {date(2027, 3, 1), date(2027, 3, 2), date(2026, 12, 20)}
    assert {due.last for due in report.due if due.category == "papers"} == lapse
    assert {
        due.id: (due.first, due.last, due.standing) for due in report.due if due.category != "papers"
    } == {
        "replace_inserts": (date(2026, 11, 30), date(2026, 11, 30), "coming"),
        "footwear_review": (date(2026, 2, 28), date(2026, 2, 28), "overdue"),
        "review_by_risk": (date(2026, 10, 2), date(2026, 12, 2), "due"),
        "next_pair": (date(2026, 1, 1), date(2026, 12, 31), "due"),
    }
    assert report.papers is not None
    assert (report.papers.earliest, report.papers.latest) == (date(2026, 11, 25), date(2026, 12, 20))
    assert json.loads(json.dumps(report.as_json()))["papers"]["latest_delivery"] == "2026-12-20"
    assert any("hand over from 2026-11-25 to 2026-12-20" in line for line in due_lines(report))
    assert any(line.strip().startswith("! left insert, 7 months old") for line in due_lines(report))


def test_outside_the_benefit_there_are_no_papers(book: Book) -> None:
    report = due_report(Opened(parse_case("case: a\nas_of: 2026-11-25\n", book.vocabulary)))
    assert report.papers is None
    assert due_lines(report) == ["no date of this case makes anything fall due"]


def test_without_a_risk_category_no_screening_is_made_up(book: Book) -> None:
    case = parse_case(PAPERS, book.vocabulary)
    assert ("review_by_risk", "person") not in days(Opened(case))


@pytest.mark.parametrize(
    ("age", "day"),
    [("0", (2027, 3, 25)), ("3.5", (2026, 11, 25)), ("4", (2026, 11, 25)), ("9", (2026, 6, 25))],
)
def test_the_age_of_an_insert_counts_where_no_change_is_dated(age: str, day: tuple[int, int, int]) -> None:
    case = Case("a", AS_OF, measures={("insert_age_months", "left"): Decimal(age)})
    assert days(Opened(case)) == {
        ("replace_inserts", "left"): (date(*day), date(*day), "overdue" if date(*day) < AS_OF else "due")
        if date(*day) <= AS_OF
        else (date(*day), date(*day), "coming")
    }


def test_papers_that_served_their_pair_lapse_no_more(book: Book) -> None:
    handed_over = parse_case(PAPERS.replace("2025-11-30", "2026-10-01"), book.vocabulary)
    assert not [due for due in due_entries([Opened(handed_over)]) if due.category == "papers"]


def test_a_paper_not_in_order_is_wanted_before_the_planned_hand_over(book: Book) -> None:
    text = PAPERS.replace("order_signed: 2026-09-03", "planned_delivery: 2026-12-08")
    found = days(Opened(parse_case(text, book.vocabulary)))
    assert found["order_signed_wanted", "person"] == (AS_OF, date(2026, 12, 8), "due")
    assert found["hand_over", "person"] == (date(2026, 12, 8), date(2026, 12, 8), "coming")


def test_a_stop_comes_first_and_marks_all_of_its_case(book: Book) -> None:
    text = "case: w\nas_of: 2026-11-25\nleft: {open_wound: yes}\ndates: {inserts_changed: 2026-01-01}\n"
    case = parse_case(text, book.vocabulary)
    late = Opened(Case("b", AS_OF, dates={"inserts_changed": date(2025, 1, 1)}))
    found = in_order(due_entries([late, opened(case, book.planner.plan(case))]))
    assert [(due.case, due.id, due.stopped) for due in found] == [
        ("w", "stop", True),
        ("w", "replace_inserts", True),
        ("b", "replace_inserts", False),
    ]
    assert any("refer first · inserts changed" in line for line in week_lines(by_week(found, AS_OF)))


def test_every_page_named_is_in_the_handbook(book: Book) -> None:
    text = PAPERS.replace("order_signed: 2026-09-03", "planned_delivery: 2026-12-08")
    one = Opened(parse_case(text, book.vocabulary), "2", ("left", "person"))
    pages = {due.page for due in due_entries([one])}
    assert pages <= {path.stem for path in (book.folder / "kb").glob("*/*.md")}
    assert len(pages) == 8


# --- by week -------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("day", "name"),
    [
        (date(2026, 11, 25), "2026-W48"),
        (date(2026, 12, 31), "2026-W53"),
        (date(2027, 1, 3), "2026-W53"),
        (date(2027, 1, 4), "2027-W01"),
        (date(2024, 12, 30), "2025-W01"),
    ],
)
def test_weeks_are_those_of_iso_8601(day: date, name: str) -> None:
    assert week_name(day) == name


def test_n_weeks_end_on_a_sunday() -> None:
    sunday, monday = (
        Opened(Case(name, AS_OF, dates={"planned_delivery": day}))
        for name, day in (("s", date(2026, 11, 29)), ("m", date(2026, 11, 30)))
    )
    entries = list(due_entries([sunday, monday], AS_OF))
    assert [due.case for due in within(entries, AS_OF, 1)] == ["s"]
    assert [due.case for due in within(entries, AS_OF, 2)] == ["s", "m"]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(cases(BOOK.vocabulary), st.sampled_from(["", "0", "1", "2", "3"]), st.booleans()),
        max_size=4,
    ),
    st.integers(-200, 200),
    st.randoms(use_true_random=False),
)
def test_groups_hold_every_entry_once_in_order_whatever_the_order_of_cases(
    drawn: list[tuple[Case, str, bool]], shift: int, random: object
) -> None:
    on = AS_OF + timedelta(days=shift)
    many = [Opened(case, risk, ("left",) if stop else ()) for case, risk, stop in drawn]
    entries = list(due_entries(many, on))
    groups = by_week(entries, on)
    flat = [due for group in groups for due in group.entries]
    assert sorted(map(repr, flat)) == sorted(map(repr, entries))
    random.shuffle(entries)  # type: ignore[attr-defined]
    assert by_week(entries, on) == groups
    weeks = [group.week for group in groups if group.week]
    assert weeks == sorted(set(weeks))
    assert all(
        due.standing == "overdue" for group in groups if group.title == "Overdue" for due in group.entries
    )
    assert all(due.first <= due.last for due in flat)
