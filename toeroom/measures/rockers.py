"""Rocker soles: where the apex goes, in millimetres from the back of the heel, and what sources say.

The published positions do not agree; a percentage alone is no order. The prescriber decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from toeroom.measures.sizes import Length

FIRST_HEAD, HEADS_2_TO_4, BIG_TOE = "first_head", "heads_2_to_4", "big_toe"
TARGETS = (FIRST_HEAD, HEADS_2_TO_4, BIG_TOE)
TARGET_WORDS = {
    FIRST_HEAD: "first metatarsal head",
    HEADS_2_TO_4: "metatarsal heads 2 to 4",
    BIG_TOE: "big toe",
}
ANGLES = (15, 20)
PREECE = "Preece et al., J Foot Ankle Res 2017, Table 2 (102 people with diabetes; apex angle 95°)"
CHAPMAN = "Chapman et al., Clin Biomech 2013 (12 rockers, 24 people with diabetes)"
PAYER = "US payer's definition of a rigid rocker (from memory)"
VAN_SCHIE = "van Schie et al. 2000 (from memory)"

BEST_FOR = {
    (FIRST_HEAD, 15): {52: 42, 57: 30, 62: 20, 67: 8},
    (FIRST_HEAD, 20): {52: 46, 57: 26, 62: 23, 67: 5},
    (HEADS_2_TO_4, 15): {52: 75, 57: 19, 62: 2, 67: 5},
    (HEADS_2_TO_4, 20): {52: 87, 57: 13, 62: 0, 67: 0},
    (BIG_TOE, 15): {52: 25, 57: 38, 62: 30, 67: 7},
    (BIG_TOE, 20): {52: 45, 57: 25, 62: 21, 67: 9},
}
"""Of 100 people with diabetes, for how many each apex (per cent of shoe length) was best, by target and
rocker angle. Source: `PREECE`; one cell (big toe, 15°, 67 %) is badly printed, 7 makes up the 100."""

CUT_HEADS_2_TO_4 = {15: 30, 20: 37}
"""Per cent by which the pressure under heads 2 to 4 fell, by angle. Source: `PREECE`."""


@dataclass(frozen=True, slots=True)
class Position:
    """An apex that a source names: per cent of shoe length, from and to, and in mm from the heel."""

    least: int
    most: int
    mm_least: Fraction
    mm_most: Fraction
    said: str
    source: str


@dataclass(frozen=True, slots=True)
class RockerAdvice:
    """Where to start, what else is published, and what speaks against the asked-for position.

    fell: per cent by which the pressure at the target fell at that angle, None where it is not published.
    """

    target: str
    shoe_length: Fraction
    angle: int
    percent: Fraction
    apex: Fraction
    published: tuple[Position, ...]
    warnings: tuple[str, ...]
    fell: int | None


def apex_mm(shoe_length: Length, percent: Length) -> Fraction:
    """The apex in mm from the back of the heel, at `percent` of the shoe's length; exact."""
    return Fraction(shoe_length) * Fraction(percent) / 100


def best_apex(target: str, angle: int) -> int:
    """The apex, in per cent, that was best for most. Source: `PREECE`."""
    shares = BEST_FOR[target, angle]
    return max(shares, key=lambda percent: shares[percent])


def rocker_advice(
    shoe_length: Length,
    target: str,
    angle: int = 20,
    percent: Length | None = None,
    first_head: Length | None = None,
) -> RockerAdvice:
    """The apex for a shoe of `shoe_length` mm and a target, with all that is published beside it.

    `percent` is the position asked for; without it the one that was best for most. `first_head` is
    where the big-toe joint lies, in mm from the back of the sole, if known.
    """
    length = Fraction(shoe_length)
    chosen = Fraction(best_apex(target, angle) if percent is None else percent)
    apex = apex_mm(length, chosen)
    return RockerAdvice(
        target,
        length,
        angle,
        chosen,
        apex,
        _published(length, target, angle),
        _warnings(target, angle, chosen, apex, first_head),
        CUT_HEADS_2_TO_4[angle] if target == HEADS_2_TO_4 else None,
    )


def _published(length: Fraction, target: str, angle: int) -> tuple[Position, ...]:
    def position(least: int, most: int, said: str, source: str) -> Position:
        return Position(least, most, apex_mm(length, least), apex_mm(length, most), said, source)

    shares = BEST_FOR[target, angle]
    found = [
        position(percent, percent, f"best for {share} in 100 at {angle}°", PREECE)
        for percent, share in shares.items()
    ]
    if target == HEADS_2_TO_4:
        found.append(position(0, 60, "not beyond 60 %, not under 20°", CHAPMAN))
    found.append(position(51, 75, "behind the metatarsal heads", PAYER))
    if target in (HEADS_2_TO_4, FIRST_HEAD):
        found.append(position(55, 60, "for the heads, at 20°", VAN_SCHIE))
    else:
        found.append(position(65, 65, "for the toes, at 20°", VAN_SCHIE))
    return tuple(found)


def _warnings(
    target: str, angle: int, percent: Fraction, apex: Fraction, first_head: Length | None
) -> tuple[str, ...]:
    found = []
    if target == HEADS_2_TO_4 and percent > 60:
        found.append("for heads 2 to 4 an apex beyond 60 % is to be avoided (Chapman 2013)")
    if target == HEADS_2_TO_4 and angle < 20:
        found.append(
            "15° where 20° is refused: 6 to 12 % of the relief is lost (Preece 2017); "
            "Chapman 2013 would not go under 20°"
        )
    if first_head is not None and apex > Fraction(first_head):
        found.append("the apex lies in front of the big-toe joint; every source wants it behind")
    if not 51 <= percent <= 75:
        found.append("outside the payer's 51 to 75 % (from memory)")
    if percent not in BEST_FOR[target, angle]:
        found.append(f"{float(percent):g} % was not among the positions measured (52, 57, 62, 67 %)")
    return tuple(found)


RELIEF_SHARE = 30
RELIEF_LEVEL_KPA = 200


@dataclass(frozen=True, slots=True)
class Relief:
    """Whether in-shoe pressure relief is shown.

    by_level: under 200 kPa. by_share: fell by at least 30 %; strictly: by more than 30 %. The texts
    differ in that edge, and in the sensor (1 or, from memory, 2 cm²): store the sensor with the reading.
    """

    fall_percent: Fraction | None
    by_level: bool
    by_share: bool
    strictly: bool

    @property
    def shown(self) -> bool:
        """By either measure."""
        return self.by_level or self.by_share


def pressure_relief(after_kpa: Length, before_kpa: Length | None = None) -> Relief:
    """Judges peak in-shoe pressure at the site at risk against the current shoe, or by its level.

    Source: van Netten et al. 2018, rec. 8 (over 30 %, or under 200 kPa); IWGDF 2023 (at least 30 %).
    """
    after = Fraction(after_kpa)
    fall = None if before_kpa is None else (1 - after / Fraction(before_kpa)) * 100
    return Relief(
        fall,
        after < RELIEF_LEVEL_KPA,
        fall is not None and fall >= RELIEF_SHARE,
        fall is not None and fall > RELIEF_SHARE,
    )
