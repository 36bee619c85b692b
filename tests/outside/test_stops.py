"""What ends a fitting, and how fast the wearer goes on.

Sources: NICE NG19 as quoted by NHS pages (N5, N6: at once; within one working day); van Netten et
al., J Foot Ankle Res 2018;11:2, rec. 10 and IWGDF 2015 footwear guidance, rec. 7 (footwear does not
treat an open sole ulcer); IWGDF 2023 offloading guideline; IWGDF 2023 Charcot guideline (the
words "at once" are from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

Look = Callable[[str], Any]

TO_SELL = ("therapeutic_shoe", "extra_depth_shoe", "well_fitting_shoe", "custom_moulded_shoe")

URGENT = [
    ("left: {open_wound: yes, infection_signs: yes}", "stop_and_refer_now@left", "NG19, N5"),
    ("left: {open_wound: yes, pulses_absent: yes}", "stop_and_refer_now@left", "NG19, N5"),
    ("left: {open_wound: yes, arterial_disease: yes}", "stop_and_refer_now@left", "NG19, N5"),
    ("left: {black_tissue: yes}", "stop_and_refer_now@left", "NG19, N5"),
    ("left: {infection_signs: yes}", "stop_and_refer_now@left", "NG19, N5"),
    ("left: {rest_pain: yes}", "stop_and_refer_now@left", "common practice"),
    ("left: {cold_or_blue_foot: yes}", "stop_and_refer_now@left", "common practice"),
    (
        "left: {hot_swollen_foot: yes}",
        "refer_suspected_charcot@left",
        "IWGDF 2023 Charcot, I27 (in part from memory)",
    ),
]


@pytest.mark.parametrize(("text", "item", "source"), URGENT)
def test_urgent_signs(text: str, item: str, source: str, plan: Look) -> None:
    seen = plan(f"person: {{diabetes: yes}}\n{text}\n")
    assert seen.stop
    assert seen.state("urgent_referral@person") == "yes"
    assert seen.state("no_fitting_today@left") == "yes"
    assert seen.advises(item, "limit_walking@left")
    assert not {f"{shoe}@left" for shoe in TO_SELL} & seen.advised


def test_a_clean_wound_is_referred_within_a_working_day_and_is_not_urgent(plan: Look) -> None:
    """NICE NG19, N6: another active foot problem, referral within one working day."""
    seen = plan("person: {diabetes: yes}\nleft: {open_wound: yes, infection_signs: no, pulses_absent: no}\n")
    assert seen.stop
    assert seen.state("urgent_referral@person") == ""
    assert seen.advises("refer_wound_care@left")
    assert "one working day" in seen.line("refer_wound_care@left").act


def test_depth_shoes_are_no_treatment_for_an_open_sole_ulcer(plan: Look) -> None:
    """van Netten et al. 2018, rec. 10 (and not 7 or 8); IWGDF 2023 offloading, rec. 1 to 3."""
    seen = plan(
        "person: {diabetes: yes, has_referral: yes}\n"
        "left: {open_wound: yes, wound_on_sole: yes, past_ulcer: yes, sensation_lost: yes, claw_toes: yes}\n"
    )
    assert seen.advises("offloading_device@left", "refer_wound_care@left")
    assert seen.line("offloading_device@left").by == "clinician"
    assert {"therapeutic_shoe@left", "extra_depth_shoe@left", "custom_insert@left"} <= seen.held_back
    assert not seen.mentions("post_op_shoe@left")


def test_infection_speaks_against_a_device_that_stays_on(plan: Look) -> None:
    """Australian offloading guideline 2022, Table 5: falls, infection, ischaemia."""
    text = "person: {{diabetes: yes{}}}\nleft: {{open_wound: yes, wound_on_sole: yes{}}}\n"
    for person, foot in (
        (", fall_history: yes", ""),
        ("", ", infection_signs: yes"),
        ("", ", arterial_disease: yes"),
    ):
        seen = plan(text.format(person, foot))
        assert "cannot be taken off" in seen.cautions_on("offloading_device@left")


def test_a_hot_foot_is_not_fitted_with_whole_skin_and_without_pain(plan: Look) -> None:
    """IWGDF 2023 Charcot guideline, as reviewed in Wounds 2024;36(6):206."""
    seen = plan(
        "person: {diabetes: yes}\n"
        "left: {hot_swollen_foot: yes, open_wound: no, sensation_lost: yes}\nright: {sensation_lost: yes}\n"
    )
    assert seen.advises("refer_suspected_charcot@left", "offloading_device@left")
    assert not seen.mentions("post_op_shoe@left")
    assert "well_fitting_shoe@left" in seen.held_back
    assert "well_fitting_shoe@right" in seen.advised


def test_a_bent_toe_that_nearly_ulcerated_gets_a_surgical_opinion(plan: Look) -> None:
    """IWGDF 2023 prevention: flexor tenotomy is considered, so the fitter refers."""
    assert plan("left: {hammertoe: yes, callus_with_bleeding: yes}\n").advises("refer_surgical_opinion@left")
    assert not plan("left: {hammertoe: yes, callus: yes}\n").mentions("refer_surgical_opinion@left")


def test_relief_after_a_healed_ulcer_is_given_in_figures(plan: Look) -> None:
    """van Netten et al. 2018, rec. 8: over 30 % less, or under 200 kPa."""
    seen = plan("person: {diabetes: yes}\nleft: {past_ulcer: yes}\n")
    assert seen.line("custom_insert@left").detail == {
        "pressure_less_percent": 30,
        "or_pressure_under_kpa": 200,
    }
    assert seen.advises("therapeutic_shoe@left", "review_after_two_weeks@left")


def test_prescribed_footwear_is_seen_every_three_months(plan: Look) -> None:
    """van Netten et al. 2018, rec. 9."""
    seen = plan("person: {diabetes: yes}\nleft: {sensation_lost: yes, past_ulcer: yes}\n")
    assert "three months" in seen.cautions_on("review_after_two_weeks@person")
