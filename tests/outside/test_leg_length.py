"""Leg-length difference and lifts.

Source: common practice throughout (podiatric trade articles and a teaching blog: up to about 10 mm
inside, more on the sole; full height at the heel, half at the ball, thinning at the toes). The
evidence for lifts is of very low quality: Campbell et al., Arch Phys Med Rehabil 2018;99:981.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.measures.lifts import ball_height

Look = Callable[[str], Any]

LIFTS = [
    ("8", "in_shoe_lift", {"heel_mm": 8}),
    ("10", "in_shoe_lift", {"heel_mm": 10}),
    ("10.1", "sole_build_up", {"heel_mm": 10.1, "ball_mm": 5.05, "toe_mm": 0}),
    ("15", "sole_build_up", {"heel_mm": 15, "ball_mm": 7.5, "toe_mm": 0}),
    ("120", "sole_build_up", {"heel_mm": 120, "ball_mm": 60, "toe_mm": 0}),
]


@pytest.mark.parametrize(("difference", "item", "detail"), LIFTS)
@pytest.mark.parametrize(("short", "long"), [("left", "right"), ("right", "left")])
def test_inside_up_to_10_mm_and_on_the_sole_above(
    difference: str, item: str, detail: dict[str, float], short: str, long: str, plan: Look
) -> None:
    seen = plan(
        f"choices: {{short_leg: {short}}}\nmeasures: {{person: {{leg_difference_mm: {difference}}}}}\n"
    )
    assert seen.line(f"{item}@{short}").detail == detail
    other = "sole_build_up" if item == "in_shoe_lift" else "in_shoe_lift"
    assert not seen.mentions(f"{other}@{short}")
    assert not any(seen.mentions(f"{lift}@{long}") for lift in (item, other))


def test_no_difference_and_no_side_place_nothing(plan: Look) -> None:
    for text in (
        "choices: {short_leg: left}\nmeasures: {person: {leg_difference_mm: 0}}\n",
        "measures: {person: {leg_difference_mm: 8}}\n",
        "measures: {person: {leg_difference_mm: 30}}\n",
        "choices: {short_leg: left}\n",
    ):
        seen = plan(text)
        assert not any(
            seen.mentions(f"{i}@{s}") for i in ("in_shoe_lift", "sole_build_up") for s in ("left", "right")
        )


@given(tenths=st.integers(0, 1200))
def test_half_at_the_ball(tenths: int) -> None:
    heel = Decimal(tenths) / 10
    assert ball_height(heel) * 2 == heel


def test_a_functional_difference_is_not_made_up(plan: Look) -> None:
    """Brady et al., J Orthop Sports Phys Ther 2003;33:221."""
    for difference, item in ((9, "in_shoe_lift"), (14, "sole_build_up")):
        seen = plan(
            f"choices: {{short_leg: left}}\nmeasures: {{person: {{leg_difference_mm: {difference}}}}}\n"
        )
        assert "functional" in seen.cautions_on(f"{item}@left")


def test_over_20_mm_goes_back_to_the_prescriber(plan: Look) -> None:
    """Applebaum et al., Clin Orthop Surg 2021;13:127: over 20 mm loading changes."""
    text = "choices: {{short_leg: left}}\nmeasures: {{person: {{leg_difference_mm: {}}}}}\n"
    assert "20 mm" in plan(text.format("20.5")).cautions_on("sole_build_up@left")
    assert "20 mm" not in plan(text.format(20)).cautions_on("sole_build_up@left")


def test_a_lift_inside_asks_for_depth(plan: Look) -> None:
    """Trade articles (common practice): a lift takes heel room."""
    seen = plan("choices: {short_leg: left}\nmeasures: {person: {leg_difference_mm: 8}}\n")
    assert seen.advises("extra_depth_shoe@left")


def test_lifts_are_shown_as_custom_of_the_trade(plan: Look) -> None:
    """Where the rule rests on practice and not on trials its sources say so."""
    seen = plan("choices: {short_leg: left}\nmeasures: {person: {leg_difference_mm: 14}}\n")
    assert any("trade" in source for source in seen.line("sole_build_up@left").sources)
