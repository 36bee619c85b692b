"""The ulcer-risk category and its screening interval.

Source: IWGDF 2023 prevention guideline and IWGDF practical guidelines 2019, Table 1; the same table
in World J Diabetes 2022;13(1):27, Table 1. The intervals are expert opinion (Table 1, footnote).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from itertools import product
from typing import Any

import pytest

from toeroom.book import Book
from toeroom.case import Case

Look = Callable[[str], Any]

INTERVALS = {"0": (12, 12), "1": (6, 12), "2": (3, 6), "3": (1, 3)}
"""Months between screenings: IWGDF 2019, Table 1; repeated in the 2023 recommendations."""

TABLE = [
    # LOPS, PAD, deformity, history, category
    (False, False, False, False, "0"),
    (False, False, True, False, "0"),
    (False, False, False, True, "0"),
    (False, False, True, True, "0"),
    (True, False, False, False, "1"),
    (False, True, False, False, "1"),
    (True, True, False, False, "2"),
    (True, False, True, False, "2"),
    (False, True, True, False, "2"),
    (True, True, True, False, "2"),
    (True, False, False, True, "3"),
    (False, True, False, True, "3"),
    (True, True, False, True, "3"),
    (True, False, True, True, "3"),
    (False, True, True, True, "3"),
    (True, True, True, True, "3"),
]
"""Every combination. Rows of history without LOPS and PAD are our reading of the letter of the
table (class 3 asks for LOPS or PAD), and carry a caution."""

DEFORMITIES = (
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
HISTORIES = ("past_ulcer", "open_wound", "toe_amputated", "partial_foot_amputated", "leg_amputated")
SUPPLY = ("pulses_absent", "arterial_disease")
SIDES = ("left", "right")


def case_with(*findings: tuple[str, str]) -> Case:
    """Diabetes, both feet tested for feeling and supply and found in order, but for `findings`."""
    kept = {(i, side): "no" for i in ("sensation_lost", "pulses_absent") for side in SIDES}
    stated = {**kept, ("diabetes", "person"): "yes", **dict.fromkeys(findings, "yes")}
    return Case(id="check", as_of=date(2026, 11, 25), findings=stated)


@pytest.mark.parametrize(("lops", "pad", "deformity", "history", "category"), TABLE)
def test_every_row_of_the_table(
    lops: bool, pad: bool, deformity: bool, history: bool, category: str, book: Book
) -> None:
    wanted = {
        ("sensation_lost", "left"): lops,
        ("pulses_absent", "right"): pad,
        ("bunion", "right"): deformity,
        ("past_ulcer", "left"): history,
    }
    plan = book.planner.plan(case_with(*(place for place, holds in wanted.items() if holds)))
    assert plan.state("ulcer_risk", "person") == category
    line = plan.line("review_by_risk", "person")
    assert line is not None
    assert (line.detail["months_min"], line.detail["months_max"]) == INTERVALS[category]


def test_every_way_to_say_a_row_gives_the_same_category(book: Book) -> None:
    """Any side, any sign of poor supply, any deformity, any history."""
    lops_ways: list[tuple[tuple[str, str], ...]] = [(), *((("sensation_lost", s),) for s in SIDES)]
    pad_ways: list[tuple[tuple[str, str], ...]] = [(), *(((i, s),) for i in SUPPLY for s in SIDES)]
    shape_ways: list[tuple[tuple[str, str], ...]] = [(), *(((i, "left"),) for i in DEFORMITIES)]
    past_ways: list[tuple[tuple[str, str], ...]] = [
        (),
        *(((i, s),) for i in HISTORIES for s in SIDES if (i, s) != ("leg_amputated", "left")),
        (("kidney_failure", "person"),),
    ]
    rows = {row[:4]: row[4] for row in TABLE}
    wrong = []
    for lops, pad, shape, past in product(lops_ways, pad_ways, shape_ways, past_ways):
        if past == (("leg_amputated", "right"),):
            # Nothing of the missing foot counts: what is said there is said of nothing.
            lops, pad = (tuple(p for p in way if p[1] != "right") for way in (lops, pad))
        amputated = bool(past) and past[0][0] in ("toe_amputated", "partial_foot_amputated")
        category = rows[bool(lops), bool(pad), bool(shape) or amputated, bool(past)]
        case = case_with(*lops, *pad, *shape, *past)
        found = book.planner.plain_plan(case).state("ulcer_risk", "person")
        if found != category:
            wrong.append((lops, pad, shape, past, found, category))
    assert wrong == []


def test_an_index_of_090_or_less_is_reduced_supply(book: Book) -> None:
    """2016 AHA/ACC guideline on peripheral artery disease: 0.90 and less is abnormal. 113/125 is 0.904."""
    for ankle, category in ((Decimal(113), "1"), (Decimal(114), "0")):
        measures = {("ankle_pressure_mmhg", "left"): ankle, ("arm_pressure_mmhg", "person"): Decimal(125)}
        plan = book.planner.plan(replace(case_with(), measures=measures))
        assert plan.state("ulcer_risk", "person") == category


@pytest.mark.parametrize("shape", ["flat_foot", "stiff_big_toe", "stiff_ankle", "narrow_heel"])
def test_these_are_not_counted_as_deformity(shape: str, book: Book) -> None:
    """Common practice: the guideline's examples are prominences and bent toes."""
    plan = book.planner.plan(case_with(("sensation_lost", "left"), (shape, "left")))
    assert plan.state("ulcer_risk", "person") == "1"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "left: {sensation_lost: no, pulses_absent: no}",
        "left: {sensation_lost: no}\nright: {sensation_lost: no}",
        "left: {sensation_lost: no, pulses_absent: no}\nright: {sensation_lost: no}",
        "left: {sensation_lost: no, pulses_absent: no}\nright: {pulses_absent: no}",
    ],
)
def test_what_was_never_tested_is_never_category_0(text: str, plan: Look) -> None:
    """IWGDF 2023, recommendations 1 and 2: the category rests on tests done."""
    seen = plan(f"person: {{diabetes: yes}}\n{text}\n")
    assert seen.state("ulcer_risk@person") == "unknown"
    assert seen.advises("refer_physician_screen@person")


def test_history_or_deformity_beside_category_0_asks_the_clinician(book: Book) -> None:
    """Our reading of Table 1 (class 3 asks for LOPS or PAD)."""
    for place in (("past_ulcer", "left"), ("kidney_failure", "person"), ("bunion", "right")):
        plan = book.planner.plan(case_with(place))
        texts = [*plan.cautions, *(c for line in plan.lines for c in line.cautions)]
        assert any("category 0" in text and "clinician" in text for text in texts), place


def test_without_diabetes_there_is_no_category(plan: Look) -> None:
    """The table is for people with diabetes."""
    seen = plan("person: {diabetes: no}\nleft: {sensation_lost: yes, past_ulcer: yes}\n")
    assert seen.state("ulcer_risk@person") == ""
    assert not seen.mentions("review_by_risk@person")


KEPT = "{sensation_lost: no, pulses_absent: no}"
NUMB = "{sensation_lost: yes, pulses_absent: no}"


@pytest.mark.parametrize(
    ("left", "item", "wanted"),
    [
        (KEPT, "never_barefoot@person", False),
        (NUMB, "never_barefoot@person", True),
        ("{sensation_lost: no, pulses_absent: no, bunion: yes}", "never_barefoot@person", False),
        (KEPT, "therapeutic_shoe@left", False),
        (NUMB, "therapeutic_shoe@left", False),
        ("{sensation_lost: yes, pulses_absent: no, bunion: yes}", "therapeutic_shoe@left", True),
        ("{sensation_lost: no, pulses_absent: yes, bunion: yes}", "therapeutic_shoe@left", True),
        ("{sensation_lost: no, pulses_absent: yes, past_ulcer: yes}", "therapeutic_shoe@right", True),
    ],
)
def test_what_the_category_brings(left: str, item: str, wanted: bool, plan: Look) -> None:
    """IWGDF 2023: no barefoot walking in classes 1 to 3, footwear that fits the foot in classes 2 and 3."""
    seen = plan(f"person: {{diabetes: yes}}\nleft: {left}\nright: {KEPT}\n")
    assert (item in seen.advised) is wanted
