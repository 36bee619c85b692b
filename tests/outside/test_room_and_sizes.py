"""Room in the shoe, unequal feet and how they are measured.

Sources: van Netten et al., J Foot Ankle Res 2018;11:2, Table 3 (10 to 20 mm, heel to longest toe,
standing); Jones et al., J Foot Ankle Res 2020;13:70, Table 2 (10 to 15 mm in some studies); Williams
& Nester 2010, ch. 6 (barleycorn, Paris point); AOFAS fit advice (both feet, the larger decides).
Mismatched from one full size on is from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.measures.lengths import FULL_SIZE, difference_in_sizes

Look = Callable[[str], Any]

ROOM = [
    # foot, inside length, change, in the band some studies end at 15 mm
    (262, 275, None, False),
    (262, 270, "longer_size", False),
    (262, 280, None, True),
    (262, 284, "shorter_size", False),
    (265, 275, None, False),
    (265, 285, None, True),
    (265, 272, "longer_size", False),
    (265, 290, "shorter_size", False),
    (248, 258, None, False),
    (248, 268, None, True),
    (248, 255, "longer_size", False),
    (250, 249, "longer_size", False),
    (250, 265, None, False),
]


@pytest.mark.parametrize(("foot", "inside", "change", "between"), ROOM)
def test_room_in_front_of_the_longest_toe(
    foot: int, inside: int, change: str | None, between: bool, plan: Look
) -> None:
    seen = plan(f"measures: {{left: {{foot_length_mm: {foot}, shoe_inner_length_mm: {inside}}}}}\n")
    for item in ("longer_size", "shorter_size"):
        assert (f"{item}@left" in seen.advised) is (item == change)
    assert ("15 mm" in seen.cautions) is between


@given(foot=st.integers(1500, 3500), inside=st.integers(1500, 3800))
def test_the_band_holds_at_every_tenth_of_a_millimetre(foot: int, inside: int, book: Book) -> None:
    text = (
        "case: a\nmeasures: {right: {foot_length_mm: "
        f"{Decimal(foot) / 10}, shoe_inner_length_mm: {Decimal(inside) / 10}}}}}\n"
    )
    found = book.planner.plain_plan(parse_case(text, book.vocabulary))
    assert (found.line("longer_size", "right") is not None) is (inside - foot < 100)
    assert (found.line("shorter_size", "right") is not None) is (inside - foot > 200)


def test_one_full_size() -> None:
    """Barleycorn 25.4/3 = 8.4667 mm, Paris point 20/3 = 6.6667 mm (Williams & Nester 2010)."""
    assert round(float(FULL_SIZE["uk"]), 4) == 8.4667
    assert round(float(FULL_SIZE["us_men"]), 4) == round(float(FULL_SIZE["us_women"]), 4) == 8.4667
    assert round(float(FULL_SIZE["eu"]), 4) == 6.6667
    assert FULL_SIZE["uk"] * 3 == Fraction(254, 10)


UNEQUAL = [
    # left, right, system, pair of two sizes
    ("262", "266", "", False),
    ("250", "258.4", "", False),
    ("250", "258.5", "", True),
    ("250", "256.6", "eu", False),
    ("250", "256.7", "eu", True),
    ("258", "250", "uk", False),
    ("259", "250", "uk", True),
    ("259", "250", "us_women", True),
    ("258", "250", "mondopoint", False),
]


@pytest.mark.parametrize(("left", "right", "system", "two"), UNEQUAL)
def test_unequal_feet(left: str, right: str, system: str, two: bool, plan: Look) -> None:
    """From one full size on a pair of two sizes (from memory); below it the larger foot decides."""
    choice = f"choices: {{size_system: {system}}}\n" if system else ""
    seen = plan(
        f"{choice}measures: {{left: {{foot_length_mm: {left}}}, right: {{foot_length_mm: {right}}}}}\n"
    )
    assert ("pair_of_two_sizes@person" in seen.advised) is two
    assert ("size_to_larger_foot@person" in seen.advised) is not two
    assert (seen.state("mismatched_feet@person") == "yes") is two


def test_a_pair_of_two_sizes_carries_what_each_foot_needs(plan: Look) -> None:
    """250 and 259 mm: inside 10 to 20 mm more; EU 39.5 and 41 (40.85), UK 6.5 and 7.5 (rules 1.8 to 1.13)."""
    seen = plan("measures: {left: {foot_length_mm: 250}, right: {foot_length_mm: 259}}\n")
    assert seen.line("pair_of_two_sizes@person").detail == {
        "difference_mm": 9,
        "left_inside_from_mm": 260, "left_inside_to_mm": 270,
        "right_inside_from_mm": 269, "right_inside_to_mm": 279,
        "left_eu": 39.5, "right_eu": 41, "left_uk": 6.5, "right_uk": 7.5,
        "left_us_men": 7.5, "right_us_men": 8.5, "left_us_women": 9, "right_us_women": 10,
    }  # fmt: skip


def test_no_adult_size_is_made_up_for_a_child_s_foot(plan: Look) -> None:
    """Children's formulas are from memory (fitting 1.18): UK and US sizes begin at 1."""
    detail = (
        plan("measures: {left: {foot_length_mm: 190}, right: {foot_length_mm: 259}}\n")
        .line("pair_of_two_sizes@person")
        .detail
    )
    assert {name for name in detail if name.startswith("left")} == {
        "left_inside_from_mm", "left_inside_to_mm", "left_eu", "left_us_women",
    }  # fmt: skip
    assert detail["left_us_women"] == 2


def test_equal_feet_need_neither(plan: Look) -> None:
    seen = plan("measures: {left: {foot_length_mm: 262}, right: {foot_length_mm: 262.0}}\n")
    assert not seen.mentions("pair_of_two_sizes@person")
    assert not seen.mentions("size_to_larger_foot@person")


@given(
    left=st.integers(1500, 3500),
    right=st.integers(1500, 3500),
    system=st.sampled_from(["eu", "uk", "us_men", "us_women", "mondopoint", None]),
)
def test_difference_in_sizes_is_exact(left: int, right: int, system: str | None) -> None:
    """In whole numbers: tenths of a millimetre times three, over 200 (EU) or 254 (barleycorn)."""
    found = difference_in_sizes(Decimal(left) / 10, Decimal(right) / 10, system)
    assert found == Fraction(abs(left - right) * 3, 200 if system == "eu" else 254)


def test_length_is_taken_standing(plan: Look) -> None:
    """Encyclopaedic definition (barefoot, standing, weight on both feet); Zhang et al., PLoS ONE
    2022;17:e0264233: under load the forefoot widens by a tenth."""
    assert plan("person: {measured_sitting: yes}\n").advises("remeasure_standing@person")
    assert not plan("person: {measured_sitting: no}\n").mentions("remeasure_standing@person")


def test_feet_are_measured_late_in_the_day(plan: Look) -> None:
    """Bergin et al., J Foot Ankle Res 2013;6:6; advice of three US bodies."""
    assert plan("person: {measured_morning: yes}\n").advises("remeasure_later_in_day@person")


def test_both_feet_are_measured(plan: Look) -> None:
    """AOFAS fit advice."""
    assert plan("measures: {left: {foot_length_mm: 262}}\n").advises("measure_both_feet@person")


WIDTH = [(106, 100, True), (100.1, 100, True), (100, 100, False), (98, 100, False)]


@pytest.mark.parametrize(("foot", "liner", "wider"), WIDTH)
def test_width_equals_the_foot(foot: float, liner: float, wider: bool, plan: Look) -> None:
    """van Netten et al. 2018, Table 3; studies count 4 to 7 mm too narrow as a misfit."""
    seen = plan(f"measures: {{left: {{ball_width_mm: {foot}, shoe_inner_width_mm: {liner}}}}}\n")
    assert ("extra_width@left" in seen.advised) is wider


DEPTH = [(24, 6, 30, False), (24, 6.1, 30, True), (22, 3, 30, False)]


@pytest.mark.parametrize(("toe", "insert", "box", "deeper"), DEPTH)
def test_toe_and_insert_within_the_box(
    toe: float, insert: float, box: float, deeper: bool, plan: Look
) -> None:
    """van Netten et al. 2018, Table 3: no contact pressure from above."""
    seen = plan(
        f"measures:\n  left: {{toe_height_mm: {toe}, insert_thickness_mm: {insert}, "
        f"shoe_toe_depth_mm: {box}}}\n"
    )
    assert ("extra_depth_shoe@left" in seen.advised) is deeper
    assert ("deep_toe_box@left" in seen.advised) is deeper
