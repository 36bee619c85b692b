"""Ankle/arm index, its bands and rounding, and the pressures that stop a fitting.

Sources: 2016 AHA/ACC guideline on peripheral artery disease (index, two decimals, bands); 2024
ACC/AHA guideline (toe pressure over 1.40); Medicina 2024;60:1179, Table 2 (severe ischaemia). That
severe ischaemia sends the wearer on at once is from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.measures.pressures import ankle_arm_index, index_band

Look = Callable[[str], Any]

WORKED = [
    # ankle, arm, index, band
    (92, 140, "0.66", "reduced"),
    (118, 128, "0.92", "borderline"),
    (130, 132, "0.98", "borderline"),
    (150, 128, "1.17", "normal"),
    (196, 136, "1.44", "stiff"),
    (112, 124, "0.90", "reduced"),
    (45, 130, "0.35", "reduced"),
]

EDGES = [
    ("0.00", "reduced"),
    ("0.90", "reduced"),
    ("0.91", "borderline"),
    ("0.99", "borderline"),
    ("1.00", "normal"),
    ("1.40", "normal"),
    ("1.41", "stiff"),
]


@pytest.mark.parametrize(("ankle", "arm", "index", "band"), WORKED)
def test_worked_indices(ankle: int, arm: int, index: str, band: str) -> None:
    found = ankle_arm_index(Decimal(ankle), Decimal(arm))
    assert (str(found), index_band(found)) == (index, band)


@pytest.mark.parametrize(("index", "band"), EDGES)
def test_edges_of_the_bands(index: str, band: str) -> None:
    assert index_band(Decimal(index)) == band


@given(ankle=st.integers(0, 300), arm=st.integers(50, 300))
def test_the_index_is_rounded_half_up_to_two_decimals(ankle: int, arm: int) -> None:
    """Against whole-number arithmetic: half a hundredth goes up."""
    hundredths = (200 * ankle + arm) // (2 * arm)
    assert ankle_arm_index(Decimal(ankle), Decimal(arm)) == Decimal(hundredths) / 100


@given(ankle=st.integers(0, 3000), arm=st.integers(500, 3000))
def test_the_rounded_index_lies_within_half_a_hundredth(ankle: int, arm: int) -> None:
    exact = Fraction(ankle, arm)
    found = Fraction(ankle_arm_index(Decimal(ankle) / 10, Decimal(arm) / 10))
    assert -Fraction(1, 200) < found - exact <= Fraction(1, 200)


@pytest.mark.parametrize(("ankle", "arm"), [(181, 200), (113, 125), (57, 63)])
def test_the_rounded_value_is_the_one_judged(ankle: int, arm: int, plan: Look) -> None:
    """0.905 rounds up and is borderline; 0.904 and 0.9048 round down and are reduced."""
    reduced = (ankle, arm) != (181, 200)
    seen = plan(
        f"measures: {{person: {{arm_pressure_mmhg: {arm}}}, left: {{ankle_pressure_mmhg: {ankle}}}}}\n"
    )
    assert (seen.state("circulation_doubt@left") == "yes") is reduced


INDICES = [
    # ankle/arm, other measures, in doubt, referred, stopped
    ("84/140", "", True, True, False),
    ("126/140", "", True, True, False),
    ("128/140", "", False, False, False),
    ("140/140", "", False, False, False),
    ("196/140", "", False, False, False),
    ("198/140", "", True, True, False),
    ("198/140", ", toe_pressure_mmhg: 62", False, False, False),
    ("56/140", "", True, True, False),
    ("54/140", "", True, True, True),
]
"""0.60, 0.90, 0.91, 1.00, 1.40, 1.41 without and with a toe pressure, 0.40, 0.39."""


@pytest.mark.parametrize(("pressures", "other", "doubt", "referred", "stopped"), INDICES)
def test_what_the_bands_bring(
    pressures: str, other: str, doubt: bool, referred: bool, stopped: bool, plan: Look
) -> None:
    ankle, _, arm = pressures.partition("/")
    seen = plan(
        f"measures:\n  person: {{arm_pressure_mmhg: {arm}}}\n"
        f"  right: {{ankle_pressure_mmhg: {ankle}{other}}}\n"
    )
    assert (seen.state("circulation_doubt@right") == "yes") is doubt
    assert ("refer_vascular@right" in seen.advised) is referred
    assert seen.stop is stopped
    assert not seen.mentions("refer_vascular@left")


SEVERE = [
    ("ankle_pressure_mmhg", "50", "49.9"),
    ("toe_pressure_mmhg", "30", "29.9"),
]


@pytest.mark.parametrize(("measure", "spared", "severe"), SEVERE)
def test_severe_ischaemia_stops_and_goes_on_at_once(
    measure: str, spared: str, severe: str, plan: Look
) -> None:
    """Ankle under 50 mmHg, toe under 30 mmHg (Medicina 2024, last rows). The act: from memory."""
    assert not plan(f"measures: {{left: {{{measure}: {spared}}}}}\n").stop
    seen = plan(f"measures: {{left: {{{measure}: {severe}}}}}\n")
    assert seen.stop
    assert seen.state("no_fitting_today@left") == "yes"
    assert seen.state("urgent_referral@person") == "yes"
    assert seen.advises("stop_and_refer_now@left", "refer_vascular@left", "limit_walking@left")
    assert "well_fitting_shoe@left" in seen.held_back
    assert "well_fitting_shoe@right" in seen.advised


def test_a_good_index_does_not_outweigh_a_bad_toe(plan: Look) -> None:
    """SVS WIfI notes 2014: in diabetes the toe pressure counts, the index being often too high."""
    seen = plan(
        "person: {diabetes: yes}\nmeasures:\n  person: {arm_pressure_mmhg: 120}\n"
        "  left: {ankle_pressure_mmhg: 126, toe_pressure_mmhg: 28}\n"
    )
    assert seen.advises("stop_and_refer_now@left", "refer_vascular@left")


def test_known_disease_stays_in_doubt_and_is_not_referred_anew(plan: Look) -> None:
    """Common practice."""
    seen = plan("left: {arterial_disease: yes, pulses_absent: yes}\n")
    assert seen.state("circulation_doubt@left") == "yes"
    assert not seen.mentions("refer_vascular@left")


def test_the_guidelines_differ_from_13_to_140_and_the_plan_says_so(plan: Look) -> None:
    """1.3 in the international diabetic-foot texts of 2015 and 2019, 1.40 in the American ones."""
    text = "measures: {{person: {{arm_pressure_mmhg: 100}}, left: {{ankle_pressure_mmhg: {}}}}}\n"
    assert "1.3" in plan(text.format(135)).cautions
    assert "1.3" not in plan(text.format(130)).cautions
