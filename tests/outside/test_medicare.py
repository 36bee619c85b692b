"""Papers under the US Medicare benefit for therapeutic shoes.

Sources: DME MAC documentation lists (qualifying findings, visit within six and statement within
three months before delivery, foot examination within six); Policy Article A52501 (order); review
reports of Jan-Mar 2024 (statement before visit, order before examination); Medicare Benefit Policy
Manual ch. 15 §140 (pair, yearly quantities). Policy is dated: read 2026-11, the current text counts.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.case import Case

Look = Callable[[str], Any]

BENEFIT = "person: {us_medicare: yes, diabetes: yes}\n"

SHAPES = (
    "bunion",
    "tailors_bunion",
    "hammertoe",
    "claw_toes",
    "overlapping_toe",
    "prominent_met_heads",
    "midfoot_prominence",
    "charcot_inactive",
    "high_arch",
)

QUALIFYING = [
    ("toe_amputated: yes", "M3 a"),
    ("partial_foot_amputated: yes", "M3 a"),
    ("leg_amputated: yes", "M3 a, the other foot"),
    ("past_ulcer: yes", "M3 b"),
    ("ulcer_healed_recently: yes", "M3 b"),
    ("callus_with_bleeding: yes", "M3 c, the callus that comes before an ulcer"),
    ("sensation_lost: yes, callus: yes", "M3 d, worked check 2"),
    ("sensation_lost: yes, toe_tip_callus: yes", "M3 d"),
    *((f"{shape}: yes", "M3 e") for shape in SHAPES),
    ("pulses_absent: yes", "M3 f"),
    ("arterial_disease: yes", "M3 f"),
]

NOT_QUALIFYING = [
    ("left: {sensation_lost: yes}", "worked check 1: feeling lost without callus"),
    ("left: {callus: yes}", "M4: callus alone"),
    ("left: {sensation_lost: yes}\nright: {callus: yes}", "M3 d wants both; on one foot is our reading"),
    ("left: {flat_foot: yes, narrow_heel: yes}", "not counted as a deformity: common practice"),
    ("left: {bunion: unknown}", "unknown is not yes"),
    ("left: {swelling: yes, thick_nails: yes}", "none of the six"),
]


@pytest.mark.parametrize(("finding", "source"), QUALIFYING)
@pytest.mark.parametrize("side", ["left", "right"])
def test_each_finding_qualifies_on_either_foot(finding: str, source: str, side: str, plan: Look) -> None:
    seen = plan(f"{BENEFIT}{side}: {{{finding}}}\n")
    assert seen.state("benefit_qualifies@person") == "yes"
    assert not seen.mentions("benefit_not_met@person")


@pytest.mark.parametrize(("finding", "source"), QUALIFYING)
@pytest.mark.parametrize("diabetes", ["no", "unknown"])
def test_no_finding_qualifies_without_diabetes(finding: str, source: str, diabetes: str, plan: Look) -> None:
    """M3, M5: diabetes itself, and nothing short of it."""
    seen = plan(f"person: {{us_medicare: yes, diabetes: {diabetes}}}\nleft: {{{finding}}}\n")
    assert seen.state("benefit_qualifies@person") == ""
    assert seen.mentions("benefit_not_met@person") is (diabetes == "no")


@pytest.mark.parametrize(("text", "source"), NOT_QUALIFYING)
def test_what_does_not_qualify(text: str, source: str, plan: Look) -> None:
    seen = plan(f"{BENEFIT}{text}\n")
    assert seen.state("benefit_qualifies@person") == ""
    assert "condition" in seen.cautions


def all_no(*but: str) -> str:
    """Every finding that could qualify is known to be absent, save `but`."""
    findings = (
        *SHAPES,
        "toe_amputated",
        "partial_foot_amputated",
        "leg_amputated",
        "past_ulcer",
        "callus_with_bleeding",
        "sensation_lost",
        "pulses_absent",
        "arterial_disease",
    )
    return "{" + ", ".join(f"{i}: no" for i in findings if i not in but) + "}"


def test_all_known_to_be_absent_is_not_met(plan: Look) -> None:
    assert plan(f"{BENEFIT}left: {all_no()}\nright: {all_no()}\n").advises("benefit_not_met@person")


@pytest.mark.parametrize("open_question", [*SHAPES, "leg_amputated", "past_ulcer", "callus_with_bleeding"])
def test_one_open_question_leaves_it_open(open_question: str, plan: Look) -> None:
    """Silence is not "no"."""
    seen = plan(f"{BENEFIT}left: {all_no(open_question)}\nright: {all_no()}\n")
    assert not seen.mentions("benefit_not_met@person")


def test_both_shoes_are_alike_where_one_foot_qualifies(plan: Look) -> None:
    """MBPM ch. 15 §140, opening: a full pair, both equipped alike."""
    seen = plan(f"{BENEFIT}left: {{sensation_lost: yes, hammertoe: yes}}\n")
    for shoe in ("therapeutic_shoe", "extra_depth_shoe"):
        assert seen.advises(f"{shoe}@left", f"{shoe}@right")


WINDOWS = [
    # dates, items that must be open, source
    ("physician_visit: 2025-12-30", {"complete_visit": False}, "worked check 3, M14"),
    ("physician_visit: 2025-12-29", {"complete_visit": True}, "worked check 3, M14"),
    ("certification_signed: 2026-03-30", {"complete_certification": False}, "worked check 3, M15"),
    ("certification_signed: 2026-03-29", {"complete_certification": True}, "worked check 3, M15"),
    (
        "physician_visit: 2026-05-10, certification_signed: 2026-05-08",
        {"complete_visit": False, "complete_certification": True},
        "worked check 4, M15",
    ),
    (
        "physician_visit: 2026-05-10, certification_signed: 2026-05-10",
        {"complete_visit": False, "complete_certification": False},
        "M15: on the day of the visit counts",
    ),
    ("foot_exam: 2025-12-30", {"complete_foot_exam": False}, "M16"),
    ("foot_exam: 2025-12-29", {"complete_foot_exam": True}, "M16"),
    ("order_signed: 2026-06-30", {"complete_order": False}, "M18"),
    ("order_signed: 2026-05-09, foot_exam: 2026-05-10", {"complete_order": True}, "M19"),
    ("order_signed: 2026-05-10, foot_exam: 2026-05-10", {"complete_order": False}, "M19"),
    (
        "physician_visit: 2026-07-01, foot_exam: 2026-07-01, order_signed: 2026-07-01",
        {"complete_visit": True, "complete_foot_exam": True, "complete_order": True},
        "a date after delivery is no paper yet: common practice",
    ),
    (
        "",
        {
            "complete_visit": True,
            "complete_certification": True,
            "complete_foot_exam": True,
            "complete_order": True,
        },
        "M14 to M18: all missing",
    ),
]


@pytest.mark.parametrize(("dates", "items", "source"), WINDOWS)
@pytest.mark.parametrize("by", ["as_of", "planned_delivery"])
def test_windows_before_delivery(
    dates: str, items: dict[str, bool], source: str, by: str, plan: Look
) -> None:
    """Delivery is 2026-06-30: planned for it, or today's date where no delivery is planned."""
    delivery = "as_of: 2026-06-30\n" if by == "as_of" else "as_of: 2026-05-20\n"
    planned = "" if by == "as_of" else "planned_delivery: 2026-06-30"
    stated = ", ".join(d for d in (dates, planned) if d)
    seen = plan(f"{delivery}{BENEFIT}left: {{bunion: yes}}\ndates: {{{stated}}}\n")
    for item, is_open in items.items():
        assert (f"{item}@person" in seen.advised) is is_open, item


def months_ago(delivery: date, months: int) -> date:
    """The first day whose window still reaches `delivery`, found by walking back day by day."""
    day = delivery
    while reaches(day - timedelta(days=1), months) >= delivery:
        day -= timedelta(days=1)
    return day


def reaches(day: date, months: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    for last in (day.day, 30, 29, 28):
        try:
            return date(year, month + 1, min(day.day, last))
        except ValueError:
            continue
    raise AssertionError


@given(
    delivery=st.dates(date(2020, 1, 1), date(2035, 12, 31)),
    paper=st.sampled_from(
        [
            ("physician_visit", 6, "complete_visit"),
            ("foot_exam", 6, "complete_foot_exam"),
            ("certification_signed", 3, "complete_certification"),
        ]
    ),
)
def test_the_first_good_day_and_the_last_bad_one(
    delivery: date, paper: tuple[str, int, str], book: Book
) -> None:
    term, months, item = paper
    first = months_ago(delivery, months)
    for day, is_open in ((first, False), (first - timedelta(days=1), True)):
        case = Case(
            id="check",
            as_of=delivery,
            findings={("us_medicare", "person"): "yes", ("diabetes", "person"): "yes"},
            dates={term: day},
        )
        assert (book.planner.plain_plan(case).line(item, "person") is not None) is is_open


def test_no_plan_of_care_leaves_nothing_to_certify(plan: Look) -> None:
    """M3: the physician treats the diabetes under a comprehensive plan."""
    papers = "dates: {physician_visit: 2026-10-01, certification_signed: 2026-10-02}\n"
    person = "person: {us_medicare: yes, diabetes: yes, care_plan_for_diabetes: "
    assert plan(person + "no}\n" + papers).advises("complete_certification@person")
    assert not plan(person + "yes}\n" + papers).mentions("complete_certification@person")


PAIRS = [
    ("2026-01-01", "2026-11-25", True),
    ("2025-12-31", "2026-11-25", False),
    ("2025-12-31", "2026-01-01", False),
    ("2026-11-25", "2026-11-25", True),
    ("2026-11-26", "2026-11-25", False),
]


@pytest.mark.parametrize(("previous", "delivery", "warned"), PAIRS)
def test_one_pair_a_calendar_year(previous: str, delivery: str, warned: bool, plan: Look) -> None:
    """MBPM ch. 15 §140.B.1: a calendar year, not twelve months."""
    seen = plan(f"as_of: {delivery}\n{BENEFIT}dates: {{previous_pair: {previous}}}\n")
    assert ("2027-01-01" in seen.cautions) is warned


def test_the_papers_are_not_for_an_ordinary_shoe(plan: Look) -> None:
    """MBPM ch. 15 §140.A: depth or custom-moulded shoes."""
    assert "ordinary shoe" in plan(f"{BENEFIT}left: {{bunion: yes}}\n").cautions


def test_nothing_of_it_speaks_outside_the_benefit(plan: Look) -> None:
    for said in ("no", "unknown"):
        seen = plan(f"person: {{us_medicare: {said}, diabetes: yes}}\nleft: {{past_ulcer: yes}}\n")
        assert seen.state("benefit_qualifies@person") == ""
        assert not any(place.startswith(("complete_", "benefit_")) for place in seen.advised)


DUE = [
    ("2026-07-25", "2026-11-24", False),
    ("2026-07-25", "2026-11-25", True),
    ("2026-07-26", "2026-11-25", False),
    ("2026-10-31", "2027-02-27", False),
    ("2026-10-31", "2027-02-28", True),
]


@pytest.mark.parametrize(("changed", "today", "due"), DUE)
def test_inserts_are_due_after_four_months(changed: str, today: str, due: bool, plan: Look) -> None:
    """Common practice, after three pairs a year (MBPM ch. 15 §140.B.1). Other groups use six months."""
    seen = plan(f"as_of: {today}\ndates: {{inserts_changed: {changed}}}\n")
    assert ("replace_inserts@person" in seen.advised) is due


def test_items_that_turn_on_a_day_carry_it(plan: Look) -> None:
    """M14 to M16 in calendar months, and inserts after four; a paper that is missing has no day."""
    stated = (
        "physician_visit: 2026-01-31, certification_signed: 2026-02-01, foot_exam: 2026-02-28, "
        "inserts_changed: 2026-03-31"
    )
    seen = plan(f"{BENEFIT}left: {{bunion: yes}}\ndates: {{{stated}}}\n")
    days = {item: seen.line(f"{item}@person").detail for item in (
        "complete_visit", "complete_certification", "complete_foot_exam", "replace_inserts",
    )}  # fmt: skip
    assert days == {
        "complete_visit": {"counts_until": "2026-07-31"},
        "complete_certification": {"counts_until": "2026-05-01"},
        "complete_foot_exam": {"counts_until": "2026-08-28"},
        "replace_inserts": {"due_from": "2026-07-31"},
    }
    assert plan(f"{BENEFIT}left: {{bunion: yes}}\n").line("complete_visit@person").detail == {}


PAGES = [
    ("certifying-statement", "| Podiatrist (DPM) | no", "worked check 5: a podiatrist signs"),
    ("certifying-statement", 'only "incident to" a physician', "worked check 5: a nurse practitioner signs"),
    ("certifying-statement", "marks as agreed, initials and dates", "worked check 6: the podiatrist's note"),
    ("certifying-statement", "The form by itself proves no foot finding", "worked check 6: a form, no note"),
    ("visits-and-orders", '"patient says comfortable" is not objective', "worked check 12"),
]


@pytest.mark.parametrize(("page", "said", "check"), PAGES)
def test_what_no_figure_decides_stands_in_the_handbook(page: str, said: str, check: str) -> None:
    """M6, M8, M9, M27: who signs and what is written are the handbook's, not a calculation's."""
    assert said in (ROOT / "kb" / "paperwork" / f"{page}.md").read_text(encoding="utf-8"), check


def test_the_fit_at_delivery_is_judged_by_what_is_seen(plan: Look) -> None:
    """Worked check 12 (M27): the wearer's word alone does not count."""
    act = plan(f"{BENEFIT}left: {{bunion: yes}}\n").line("fit_check_at_delivery@person").act
    assert "write down" in act
    assert "in figures" in act
