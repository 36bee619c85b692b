"""Feeling on the filament: what a count means.

Source: IWGDF consensus addendum on sensory examination (a site answered wrongly two times of three
is not felt); the vibration-threshold study in Int Wound J used one such site as the limit. Which
sites are tested is from memory and not the program's concern.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.conftest import ROOT

Look = Callable[[str], Any]


@pytest.mark.parametrize(
    ("missed", "word", "lost"),
    [
        (0, "", False),
        (1, "", True),
        (3, "", True),
        (1, "sensation_lost: no", True),
        (0, "sensation_lost: yes", True),
        (10, "sensation_lost: unknown", True),
    ],
)
def test_one_site_not_felt_is_lost_feeling(missed: int, word: str, lost: bool, plan: Look) -> None:
    seen = plan(f"left: {{{word}}}\nmeasures: {{left: {{filament_sites_missed: {missed}}}}}\n")
    assert ("trust_measure_not_feel@left" in seen.advised) is lost
    assert not seen.mentions("trust_measure_not_feel@right")


def test_a_count_against_the_word_is_said(plan: Look) -> None:
    """Common practice: where the two disagree the safer holds, and the clinician tests again."""
    seen = plan("left: {sensation_lost: no}\nmeasures: {left: {filament_sites_missed: 1}}\n")
    assert "disagree" in seen.cautions


def test_a_foot_with_a_past_is_looked_at_every_visit() -> None:
    """Clinical 4, worked check 6 (ADA): feeling lost, past ulcer or amputation."""
    page = (ROOT / "kb/feeling-and-blood/filament-test.md").read_text(encoding="utf-8")
    assert "at every visit where feeling is lost or an ulcer or amputation is in the past" in page


def test_feeling_never_tested_is_sent_to_be_tested(plan: Look) -> None:
    """IWGDF 2023, recommendation 1; ADA Standards of Care 2024, foot care: at least yearly."""
    tested = "{sensation_lost: no, pulses_absent: no}"
    assert plan("person: {diabetes: yes}\n").advises("refer_physician_screen@person")
    seen = plan(f"person: {{diabetes: yes}}\nleft: {tested}\nright: {{pulses_absent: no}}\n")
    assert seen.advises("refer_physician_screen@person")
    seen = plan(f"person: {{diabetes: yes}}\nleft: {tested}\nright: {tested}\n")
    assert not seen.mentions("refer_physician_screen@person")
