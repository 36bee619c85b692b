"""What an angle in a clinician's letter is called, in degrees. The fitter measures none of them.

Angles that two published bands share are placed in the graver one, which asks for the stiffer shoe.
"""

from __future__ import annotations

from decimal import Decimal

BUNION_SOURCE = "J Foot Ankle Res 2009;2:15, Table 1; another page draws the lines at 20 and 40"
BETWEEN_SOURCE = "J Foot Ankle Res 2009;2:15, Table 1; another page draws the lines at 12 and 15"
BUNION_WORDS = ("normal", "mild", "moderate", "severe")
BUNION_FROM = (Decimal(15), Decimal(21), Decimal(40))
BETWEEN_FROM = (Decimal(9), Decimal(12), Decimal(18))

BIG_TOE_SOURCE = "Current Pedorthics 51(2), 2019, p. 59, table 1"
BIG_TOE_SHOES = (
    "ordinary shoe, room cut out under the first ray",
    "wider, higher toe box and a rocker",
    "rigid rocker, with or without a rigid shank",
    "rigid rocker, apex just behind the toe joints",
    "as stage 3; pain in mid-range, a brace may be added",
)
"""Shoe by stage of a stiff big toe. The rocker itself is the prescriber's."""

EQUINUS_SOURCE = "Lavery et al. 2002 (10.3 % of 1,666 with diabetes; near 3 times the risk of high pressure)"


def bunion_band(angle: Decimal) -> str:
    """Normal under 15°, mild to 20°, moderate to 39°, severe from 40°: the big toe against its metatarsal.

    The table counts whole degrees; between 20 and 21 the lower band holds.
    """
    return BUNION_WORDS[sum(angle >= start for start in BUNION_FROM)]


def between_band(angle: Decimal) -> str:
    """Normal under 9°, mild to 11°, moderate to 17°, severe from 18°: first and second metatarsal."""
    return BUNION_WORDS[sum(angle >= start for start in BETWEEN_FROM)]


def big_toe_stage(up: Decimal, *, mid_range_pain: bool | None = None) -> tuple[int, ...]:
    """The stage of a stiff big toe by how far it bends up: 0 over 40°, 1 over 30°, 2 over 10°, then 3 or 4.

    10° itself stands in stage 2 only (stage 3 is under 10°); 40° and 30° stand in two stages and take
    the graver. 3 and 4 part by pain in mid-range; where that is not known both are given.
    """
    if up < 10:
        return {True: (4,), False: (3,), None: (3, 4)}[mid_range_pain]
    return (2,) if up <= 30 else (1,) if up <= 40 else (0,)


def is_equinus(up: Decimal) -> bool:
    """Whether the ankle stops short of a right angle: under 0°. (The vocabulary's stiff ankle: under 10°.)"""
    return up < 0
