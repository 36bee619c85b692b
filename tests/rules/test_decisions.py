"""The rules against the oracle: two readings of the decisions, made apart, must give the same plan."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cases import cases, places
from tests.conftest import ROOT
from tests.rules.oracle import STATES, Expected, expected, months_after
from toeroom.book import open_book
from toeroom.case import Case, Place, case_as_yaml
from toeroom.plan import Plan
from toeroom.vocabulary import PERSON, SIDES

BOOK = open_book(ROOT)
WORDS = BOOK.vocabulary
PLACES = places(WORDS)

BEYOND: frozenset[Place] = frozenset()
"""Items and sides that the rules give where the decisions say nothing; name one here when it is added."""

JUDGED_TOGETHER: tuple[dict[str, tuple[str, ...]], ...] = (
    {"ankle_pressure_mmhg": ("0", "39.4", "39.5", "49.9", "50"), "arm_pressure_mmhg": ("100",)},
    {"ankle_pressure_mmhg": ("59.4", "59.5", "59.9", "60"), "arm_pressure_mmhg": ("100",)},
    {"ankle_pressure_mmhg": ("90.4", "90.5", "140.4", "140.5"), "arm_pressure_mmhg": ("100",)},
    {"ankle_pressure_mmhg": ("55", "59.9", "60", "60.4"), "arm_pressure_mmhg": ("50", "60", "100", "150")},
    {"toe_pressure_mmhg": ("29.9", "30", "80")},
    {"skin_temp_c": ("30", "32.1", "32.2", "32.3")},
    {"foot_length_mm": ("260", "260.1", "266.6", "266.666666666", "266.666666667")},
    {"foot_length_mm": ("260", "268.4", "268.466666666", "268.466666667")},
    {"foot_length_mm": ("260",), "shoe_inner_length_mm": ("269.9", "270", "280", "280.1")},
    {"ball_width_mm": ("99.9", "100", "100.1"), "shoe_inner_width_mm": ("100",)},
    {
        "toe_height_mm": ("20", "20.1"),
        "insert_thickness_mm": ("3", "3.1"),
        "shoe_toe_depth_mm": ("23", "23.1"),
    },
    {"filament_sites_missed": ("0", "1", "3")},
    {"leg_difference_mm": ("0", "0.1", "10", "10.1", "25")},
    {"insert_age_months": ("3.9", "4")},
)
"""Numbers that one line judges, at its limit or next to it."""

WEIGHTY = (
    *(("us_medicare", PERSON), ("care_plan_for_diabetes", PERSON), ("has_referral", PERSON)),
    *(("kidney_failure", PERSON), ("fall_history", PERSON)),
    *((i, s) for i in ("leg_amputated", "open_wound", "blister", "sensation_lost") for s in SIDES),
    *((i, s) for i in ("pulses_absent", "arterial_disease", "wound_on_sole", "callus") for s in SIDES),
    *(("compression_worn", PERSON), ("length_doubt", PERSON), ("walks_a_lot", PERSON)),
)
PLAN_DAYS = (date(2026, 11, 25), date(2026, 5, 31), date(2027, 2, 28), date(2028, 2, 29))

TOGETHER: tuple[tuple[str, ...], ...] = (
    ("high_arch", "weak_ankle"),
    ("charcot_inactive", "midfoot_prominence"),
    ("bunion", "seam_on_prominence"),
    ("tailors_bunion", "shoe_narrow"),
    ("prominent_met_heads", "callus"),
    ("prominent_met_heads", "ulcer_healed_recently"),
    ("hammertoe", "past_ulcer"),
    ("claw_toes", "callus_with_bleeding"),
    ("sensation_lost", "toe_tip_callus"),
    ("blood_under_nail", "nail_loose"),
    ("heel_blister_rub", "blister"),
    ("blister", "wound_on_sole"),
    ("open_wound", "arterial_disease"),
    ("open_wound", "hot_swollen_foot"),
    ("wears_ankle_brace", "hammertoe"),
    ("seam_on_prominence", "sensation_lost"),
    ("fall_history", "weak_ankle"),
    ("walks_a_lot", "red_marks_stay"),
    ("barefoot_indoors", "black_tissue"),
    ("cannot_tie_laces", "infection_signs"),
    ("poor_sight", "length_doubt"),
    ("measured_sitting", "rest_pain"),
    ("compression_worn", "pulses_absent"),
    ("us_medicare", "callus"),
    ("us_medicare", "toe_amputated"),
)
"""Findings that one line, or a line and what holds it back, asks of one foot or of the person."""

ALL_NO_BUT_ASKED = {
    **dict.fromkeys(PLACES, "no"),
    **{(i, PERSON): "yes" for i in ("us_medicare", "compression_worn")},
}
"""Nothing is wrong, and both the papers and the stockings are asked about."""


def clusters(draw: st.DrawFn) -> dict[Place, str]:
    """Up to three groups of findings that count together, each on one foot, mostly yes."""
    found = {}
    values = st.sampled_from(["yes", "yes", "yes", "yes", "no", "unknown"])
    for group in draw(st.lists(st.sampled_from(TOGETHER), max_size=3)):
        side = draw(st.sampled_from(SIDES))
        for term_id in group:
            where = side if WORDS.findings[term_id].scope == "foot" else PERSON
            found[term_id, where] = draw(values)
    return found


def near_limits(draw: st.DrawFn) -> dict[Place, Decimal]:
    """Up to four groups of numbers at a limit, each on one foot or on both."""
    found = {}
    for group in draw(st.lists(st.sampled_from(JUDGED_TOGETHER), max_size=4)):
        feet = draw(st.sampled_from([("left",), ("right",), SIDES, SIDES]))
        for term_id, values in group.items():
            for side in feet if WORDS.measures[term_id].scope == "foot" else (PERSON,):
                found[term_id, side] = Decimal(draw(st.sampled_from(values)))
    return found


def near_windows(draw: st.DrawFn, as_of: date) -> dict[str, date]:
    """Dates a day about the ends of the windows of 3, 4 and 6 months, and about delivery."""
    dates = {}
    if draw(st.booleans()):
        dates["planned_delivery"] = as_of + timedelta(days=draw(st.sampled_from([-1, 0, 1, 3, 30])))
    due = dates.get("planned_delivery", as_of)
    names = ("physician_visit", "foot_exam", "certification_signed", "order_signed", "inserts_changed")
    for name in draw(st.sets(st.sampled_from(names))):
        months = draw(st.sampled_from([0, -3, -4, -6]))
        dates[name] = months_after(due, months) + timedelta(days=draw(st.integers(-2, 2)))
    return dates


@st.composite
def narrow_cases(draw: st.DrawFn) -> Case:
    """A few findings on a ground of nothing stated or of "no" throughout, with numbers at the limits."""
    ground = draw(st.sampled_from(["unknown", "unknown", "no"]))
    findings = dict.fromkeys(PLACES, "no") if ground == "no" else {}
    findings["diabetes", PERSON] = draw(st.sampled_from(["yes", "unknown", "no"]))
    values = st.sampled_from(["yes", "yes", "yes", "no", "unknown"])
    findings |= draw(st.dictionaries(st.sampled_from(PLACES), values, max_size=6))
    findings |= clusters(draw)
    findings |= draw(st.dictionaries(st.sampled_from(WEIGHTY), values, max_size=4))
    return at_limits(draw, findings)


@st.composite
def lone_cause_cases(draw: st.DrawFn) -> Case:
    """All is "no" but what is asked about (papers or compression) and at most two causes."""
    findings = dict.fromkeys(PLACES, "no")
    asked = draw(st.sampled_from(["us_medicare", "compression_worn", "compression_ordered"]))
    findings[asked, PERSON] = "yes"
    findings["diabetes", PERSON] = draw(st.sampled_from(["yes", "yes", "unknown", "no"]))
    for term_id in ("care_plan_for_diabetes", "has_referral"):
        findings[term_id, PERSON] = draw(st.sampled_from(["yes", "no", "unknown"]))
    causes = st.sampled_from([p for p in PLACES if p[1] != PERSON])
    findings |= draw(st.dictionaries(causes, st.sampled_from(["yes", "unknown"]), max_size=2))
    return at_limits(draw, findings)


def at_limits(draw: st.DrawFn, findings: dict[Place, str]) -> Case:
    choices = {}
    if draw(st.booleans()):
        choices["short_leg"] = draw(st.sampled_from(SIDES))
    if draw(st.booleans()):
        choices["size_system"] = draw(st.sampled_from(["eu", *WORDS.choices["size_system"].one_of]))
    as_of = draw(st.sampled_from(PLAN_DAYS))
    measures, dates = near_limits(draw), near_windows(draw, as_of)
    return Case("narrow", as_of, findings=findings, measures=measures, choices=choices, dates=dates)


often = settings(
    max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)


def differences(plan: Plan, wanted: Expected) -> list[str]:
    """Each point on which `plan` departs from what the decisions want of it."""
    standing = {place: line.standing for place, line in plan.by_place.items()}
    found = [f"not advised: {p} is {standing.get(p)}" for p in wanted.must if standing.get(p) != "advised"]
    found += [
        f"not held back: {p} is {standing.get(p)}" for p in wanted.held if standing.get(p) != "held_back"
    ]
    found += [f"may not be advised: {p}" for p in wanted.may_not if standing.get(p) == "advised"]
    if wanted.stop is not None and plan.stop != wanted.stop:
        found.append(f"stop is {plan.stop}")
    found += state_differences(plan, wanted)
    for (item, side), detail in wanted.detail.items():
        line = plan.line(item, side)
        shown = {} if line is None else {k: Fraction(str(v)) for k, v in line.detail.items() if k in detail}
        if shown != detail:
            found.append(f"detail of {item} {side}: {shown}, not {detail}")
    return sorted(found)


def state_differences(plan: Plan, wanted: Expected) -> list[str]:
    found = []
    for place in [(i, s) for i in STATES for s in WORDS.sides_of(i)]:
        value, right = plan.state(*place), wanted.derived.get(place, "")
        if value != right and place not in wanted.unsure:
            found.append(f"state {place} is {value!r}, not {right!r}")
    provisional = any(s.provisional for s in plan.states if s.id == "ulcer_risk")
    if provisional != wanted.provisional:
        found.append(f"the category is marked provisional: {provisional}")
    return found


def beyond(plan: Plan, wanted: Expected) -> list[Place]:
    """What stands in `plan`, advised or held back, and no line of the decisions gives."""
    given_by_decisions = wanted.must | wanted.held | wanted.unsure
    return sorted(set(plan.by_place) - given_by_decisions - BEYOND)


def told(case: Case) -> str:
    return case_as_yaml(case, WORDS)


def holds_to_the_decisions(case: Case) -> None:
    plan, wanted = BOOK.planner.plain_plan(case), expected(case)
    assert not differences(plan, wanted), told(case)
    assert not beyond(plan, wanted), told(case)


@often
@given(cases(WORDS))
def test_any_case_is_planned_as_the_decisions_say(case):
    holds_to_the_decisions(case)


@often
@given(narrow_cases())
def test_a_case_at_the_limits_is_planned_as_the_decisions_say(case):
    holds_to_the_decisions(case)


@often
@given(lone_cause_cases())
def test_papers_and_compression_are_planned_as_the_decisions_say(case):
    holds_to_the_decisions(case)


@pytest.mark.parametrize("diabetes", ["yes", "unknown", "no"])
@pytest.mark.parametrize("ground", [{}, ALL_NO_BUT_ASKED])
def test_every_single_finding_is_planned_as_the_decisions_say(diabetes, ground):
    for place in PLACES:
        for value in ("yes", "unknown"):
            findings = {**ground, ("diabetes", PERSON): diabetes, place: value}
            holds_to_the_decisions(Case("single", PLAN_DAYS[0], findings=findings))


@pytest.mark.parametrize("system", ["", "eu", "uk"])
def test_every_limit_is_drawn_where_the_decisions_draw_it(system):
    choices = {"short_leg": "left", **({"size_system": system} if system else {})}
    findings = {**ALL_NO_BUT_ASKED, ("diabetes", PERSON): "yes"}
    for group in JUDGED_TOGETHER:
        homes = {i: "left" if WORDS.measures[i].scope == "foot" else PERSON for i in group}
        other = {(i, "right"): Decimal(group[i][0]) for i in group if homes[i] == "left"}
        for values in product(*group.values()):
            numbers = {(i, homes[i]): Decimal(v) for i, v in zip(group, values, strict=True)}
            measures = {**other, **numbers}
            holds_to_the_decisions(
                Case("limit", PLAN_DAYS[0], findings=findings, measures=measures, choices=choices)
            )


def test_the_book_has_every_state_of_the_decisions():
    assert set(STATES) <= set(WORDS.derived)


@often
@given(narrow_cases())
def test_the_oracle_does_not_contradict_itself(case):
    wanted = expected(case)
    assert not wanted.must & wanted.may_not
    assert not wanted.must & wanted.held
    assert wanted.held <= wanted.may_not
