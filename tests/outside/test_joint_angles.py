"""Angles of a clinician's letter, and the shoe that goes with a shape, against published tables.

Sources: J Foot Ankle Res 2009;2:15, Table 1 (bunion bands); Current Pedorthics 51(2), 2019, p. 59 (stiff
big toe); Lavery et al. 2002 (equinus); van Netten et al., J Foot Ankle Res 2018;11:2, Table 4 (shoe by
deformity). Angles that two bands share take the graver one.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.conftest import ROOT
from toeroom.measures import joint_angles as angles

BUNIONS = [
    (14, "normal"), (15, "mild"), (20, "mild"), (21, "moderate"), (39, "moderate"), (40, "severe"),
]  # fmt: skip
BETWEEN = [
    (8, "normal"), (9, "mild"), (11, "mild"), (12, "moderate"), (17, "moderate"), (18, "severe"),
]  # fmt: skip


@pytest.mark.parametrize(("angle", "band"), BUNIONS)
def test_bunion_bands(angle: int, band: str) -> None:
    """Worked check 1."""
    assert angles.bunion_band(Decimal(angle)) == band


@pytest.mark.parametrize(("angle", "band"), BETWEEN)
def test_bands_between_the_metatarsals(angle: int, band: str) -> None:
    """Worked check 2."""
    assert angles.between_band(Decimal(angle)) == band


STAGES = [
    (50, None, (0,)), (35, None, (1,)), (20, None, (2,)), (5, None, (3, 4)), (5, True, (4,)),
    (5, False, (3,)), (40, None, (1,)), (30, None, (2,)), (10, None, (2,)),
]  # fmt: skip


@pytest.mark.parametrize(("up", "pain", "stages"), STAGES)
def test_stages_of_a_stiff_big_toe(up: int, pain: bool | None, stages: tuple[int, ...]) -> None:
    """Worked check 3; 40° and 30° stand in two stages and take the graver, stage 3 is under 10°."""
    assert angles.big_toe_stage(Decimal(up), mid_range_pain=pain) == stages


@given(up=st.integers(-30, 109))
def test_a_toe_that_bends_less_is_never_of_a_lower_stage(up: int) -> None:
    assert angles.big_toe_stage(Decimal(up + 1))[-1] <= angles.big_toe_stage(Decimal(up))[-1]
    assert len(angles.BIG_TOE_SHOES) == 5


def test_equinus() -> None:
    """Worked check 6: -2° is, 0° is not."""
    assert angles.is_equinus(Decimal(-2))
    assert not angles.is_equinus(Decimal(0))


SHOES = [
    ("charcot-quiet", "| Shaft | high [@van-netten-2018, Table 4]", "worked check 4: high"),
    ("charcot-quiet", "| Outsole | stiff [@van-netten-2018, Table 4]", "worked check 4: stiff"),
    ("stiff-ankle", "ankle-high or high if the ankle is the stiff joint", "worked check 5: not low"),
    ("flat-foot", "| Rigid | ankle-high | toughened | strong support on the inner side |", "worked check 7"),
]


@pytest.mark.parametrize(("page", "said", "check"), SHOES)
def test_the_shoe_by_deformity_is_that_of_the_table(page: str, said: str, check: str) -> None:
    """van Netten et al. 2018, Table 4, as the handbook carries it."""
    text = (ROOT / "kb" / "feet" / f"{page}.md").read_text(encoding="utf-8")
    assert said in text, check
