"""Angles of a clinician's letter: what they are called and which shoe goes with a stiff big toe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from toeroom.bedside.figures import Figure, FigureSheet
from toeroom.measures import joint_angles as angles
from toeroom.vocabulary import SIDES

BUNION_RULE = "big toe to its metatarsal: under 15 normal, to 20 mild, to 39 moderate, from 40 severe"
BETWEEN_RULE = "first to second metatarsal: under 9 normal, to 11 mild, to 17 moderate, from 18 severe"
BIG_TOE_RULE = (
    "over 40 stage 0, over 30 1, from 10 2, under 10 3, with pain in mid-range 4; 40 and 30 take the graver"
)
ANKLE_RULE = "under 0 the ankle does not reach a right angle"


@dataclass(frozen=True, slots=True)
class FootAngles:
    """Degrees, None where not stated. big_toe_up, ankle_up: how far they bend up."""

    bunion: Decimal | None = None
    between: Decimal | None = None
    big_toe_up: Decimal | None = None
    ankle_up: Decimal | None = None
    mid_range_pain: bool | None = None


def joints_sheet(feet: Mapping[str, FootAngles]) -> FigureSheet:
    """The sheet of the angles stated of each foot."""
    made = [
        make(side, feet[side])
        for make in (_bunion, _between, _big_toe, _ankle)
        for side in SIDES
        if side in feet
    ]
    pain = [
        f"{side}: whether the big toe hurts in mid-range"
        for side in SIDES
        if side in feet and len(_stages(feet[side])) > 1
    ]
    return FigureSheet("Joints", tuple(figure for figure in made if figure), (), tuple(pain))


def _stages(foot: FootAngles) -> tuple[int, ...]:
    if foot.big_toe_up is None:
        return ()
    return angles.big_toe_stage(foot.big_toe_up, mid_range_pain=foot.mid_range_pain)


def _bunion(side: str, foot: FootAngles) -> Figure | None:
    if foot.bunion is None:
        return None
    says = angles.bunion_band(foot.bunion)
    return Figure(
        "bunion_angle", side, "bunion angle", foot.bunion, says, BUNION_RULE, angles.BUNION_SOURCE, "", "°"
    )


def _between(side: str, foot: FootAngles) -> Figure | None:
    if foot.between is None:
        return None
    says = angles.between_band(foot.between)
    return Figure(
        "between_metatarsals", side, "angle between metatarsals", foot.between, says, BETWEEN_RULE,
        angles.BETWEEN_SOURCE, "", "°",
    )  # fmt: skip


def _big_toe(side: str, foot: FootAngles) -> Figure | None:
    stages = _stages(foot)
    if not stages:
        return None
    shoe = angles.BIG_TOE_SHOES[stages[0]]
    says = f"stage {' or '.join(map(str, stages))}: {shoe}; the prescriber decides"
    return Figure(
        "big_toe_up",
        side,
        "big toe bends up",
        foot.big_toe_up,
        says,
        BIG_TOE_RULE,
        angles.BIG_TOE_SOURCE,
        "",
        "°",
    )


def _ankle(side: str, foot: FootAngles) -> Figure | None:
    if foot.ankle_up is None:
        return None
    says = "short of a right angle (equinus)" if angles.is_equinus(foot.ankle_up) else "reaches a right angle"
    return Figure(
        "ankle_up", side, "ankle bends up", foot.ankle_up, says, ANKLE_RULE, angles.EQUINUS_SOURCE, "", "°"
    )
