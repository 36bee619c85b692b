"""Compression hosiery and the blood supply.

Sources: Rabe et al., consensus, Phlebology 2020;35(7):447 (any one: index under 0.6, ankle under 60,
toe under 30 mmHg; severe neuropathy with lost feeling); SVS/AVF venous ulcer guideline 2014 (a high
index in diabetes does not clear; 0.90 and less goes to a vascular service).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

Look = Callable[[str], Any]

FELT = "sensation_lost: no, pulses_absent: no, arterial_disease: no"
LIMIT = "compression-and-low-pressure"

CONTRAINDICATED = [
    # arm, left measures, against the limits of the consensus
    (100, "ankle_pressure_mmhg: 55", "worked check 1: index 0.55"),
    (80, "ankle_pressure_mmhg: 58", "worked check 2: index above 0.60, ankle 58"),
    (100, "ankle_pressure_mmhg: 110, toe_pressure_mmhg: 27", "worked check 4: index 1.10, toe 27"),
    (160, "ankle_pressure_mmhg: 88", "index 0.55, ankle well above 60"),
    (150, "ankle_pressure_mmhg: 88", "index 0.59 by rounding, ankle well above 60"),
    (50, "ankle_pressure_mmhg: 59.9", "ankle just under 60"),
]

NOT_BY_PRESSURE = [
    (140, "ankle_pressure_mmhg: 84, toe_pressure_mmhg: 45", "worked check 5: index 0.60"),
    (100, "ankle_pressure_mmhg: 60", "ankle 60, index 0.60"),
    (200, "ankle_pressure_mmhg: 119", "index 0.595 rounds up to 0.60"),
    (100, "ankle_pressure_mmhg: 110, toe_pressure_mmhg: 30", "toe 30"),
]


def worn(arm: int, left: str, foot: str = FELT, person: str = "compression_worn: yes") -> str:
    return (
        f"person: {{{person}}}\nleft: {{{foot}}}\nright: {{{FELT}}}\n"
        f"measures: {{person: {{arm_pressure_mmhg: {arm}}}, left: {{{left}}}}}\n"
    )


@pytest.mark.parametrize(("arm", "left", "check"), CONTRAINDICATED)
@pytest.mark.parametrize("said", ["compression_worn: yes", "compression_ordered: yes"])
def test_under_the_limits(arm: int, left: str, check: str, said: str, plan: Look) -> None:
    seen = plan(worn(arm, left, person=said))
    assert LIMIT in seen.rules_for("compression_only_if_cleared@person")


@pytest.mark.parametrize(("arm", "left", "check"), NOT_BY_PRESSURE)
def test_at_the_limits_pressure_alone_does_not_rule_it_out(
    arm: int, left: str, check: str, plan: Look
) -> None:
    seen = plan(worn(arm, left))
    if seen.mentions("compression_only_if_cleared@person"):
        assert LIMIT not in seen.rules_for("compression_only_if_cleared@person")


def test_from_060_to_090_the_prescriber_decides(plan: Look) -> None:
    """Worked check 5, second half; 0.90 and less goes to a vascular service (SVS/AVF 2014)."""
    seen = plan(worn(140, "ankle_pressure_mmhg: 84, toe_pressure_mmhg: 45"))
    assert seen.advises("compression_only_if_cleared@person")
    assert "prescriber" in seen.cautions_on("compression_only_if_cleared@person")
    assert seen.line("compression_only_if_cleared@person").by == "clinician"


def test_a_high_index_without_toe_pressure_does_not_clear(plan: Look) -> None:
    """Worked check 3: 1.45."""
    seen = plan(worn(100, "ankle_pressure_mmhg: 145"))
    assert seen.advises("compression_only_if_cleared@person", "refer_vascular@left")
    cleared = plan(worn(100, "ankle_pressure_mmhg: 145, toe_pressure_mmhg: 70"))
    assert not cleared.mentions("compression_only_if_cleared@person")


def test_lost_feeling_alone_rules_it_out_without_a_prescriber(plan: Look) -> None:
    """Worked check 6. That it may be eased for some systems is from memory, and not done here."""
    seen = plan(
        worn(
            100,
            "ankle_pressure_mmhg: 110, toe_pressure_mmhg: 80",
            foot="sensation_lost: yes, pulses_absent: no",
        )
    )
    assert seen.advises("compression_only_if_cleared@person")


def test_good_pressures_and_feeling_leave_it_alone(plan: Look) -> None:
    seen = plan(worn(100, "ankle_pressure_mmhg: 110, toe_pressure_mmhg: 80"))
    assert not seen.mentions("compression_only_if_cleared@person")


def test_never_looked_at_is_not_clear(plan: Look) -> None:
    """Common practice."""
    assert plan("person: {compression_ordered: yes}\n").advises("compression_only_if_cleared@person")


def test_nothing_ever_recommends_compression(plan: Look) -> None:
    """Where none is worn or ordered the word does not come up."""
    seen = plan("person: {diabetes: yes}\nleft: {swelling: yes}\nright: {swelling: yes}\n")
    assert not seen.mentions("compression_only_if_cleared@person")
