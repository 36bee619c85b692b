"""Lifts as they are built and brought in by steps. Millimetres.

All of it is common practice of the trade, and the pages conflict; the evidence for lifts is of very
low quality (Campbell et al., Arch Phys Med Rehabil 2018;99:981). The prescriber decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from toeroom.measures.lengths import INCH
from toeroom.measures.lifts import MOST_INSIDE
from toeroom.measures.sizes import Length

LORE = "trade articles on lifts (common practice)"
OTHER_LIMITS = (
    (INCH / 4, "built on the heel post of an orthosis, or full length inside"),
    (Fraction(10), "in the shoe (3/8 in)"),
    (Fraction(12), "any heel lift"),
    (INCH / 2, "heel only, outside; then the full sole"),
)
"""Largest lifts the trade pages name, in mm; they do not agree."""
CHANGES_LOADING = Fraction(20)
"""Over this a leg difference changes loading (Applebaum et al., Clin Orthop Surg 2021;13:127)."""


@dataclass(frozen=True, slots=True)
class Profile:
    """Height added under heel, ball and tip of the toe."""

    heel: Fraction
    ball: Fraction
    toe: Fraction


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a lift goes: `none`, `inside` or `sole`; its profile; what must be looked at."""

    where: str
    profile: Profile
    cautions: tuple[str, ...]
    source: str = LORE


def outside_profile(heel: Length) -> Profile:
    """Full height at the heel, half at the ball, thinning to nothing at the tip. Common practice."""
    return Profile(Fraction(heel), Fraction(heel) / 2, Fraction(0))


def inside_profile(heel: Length) -> Profile:
    """The full figure under the heel, thinning forward; room is taken at the heel. Common practice."""
    return Profile(Fraction(heel), Fraction(0), Fraction(0))


def place(
    difference: Length, *, functional: bool = False, numb: bool = False, shallow: bool = False
) -> Placement:
    """Where the lift for a leg difference in mm goes, on the short side: up to 10 mm inside, else the sole.

    functional: the difference is not in the bones; no lift, back to the prescriber. numb: feeling is
    lost. shallow: the shoe has no depth to spare.
    """
    height = Fraction(difference)
    nothing = Profile(Fraction(0), Fraction(0), Fraction(0))
    if functional:
        return Placement("none", nothing, ("functional: not made up with a lift; back to the prescriber",))
    if height <= 0:
        return Placement("none", nothing, ())
    cautions = []
    inside = height <= Fraction(MOST_INSIDE)
    if inside:
        cautions.append("takes heel room and lifts the heel out of the counter: look for heel slip")
    if inside and (numb or shallow):
        cautions.append("needs a deep shoe; on a numb foot look at the skin after every spell")
    if height > CHANGES_LOADING:
        cautions.append("over 20 mm loading changes: height, steps and the other side are the prescriber's")
    if inside:
        return Placement("inside", inside_profile(height), tuple(cautions))
    return Placement("sole", outside_profile(height), tuple(cautions))


@dataclass(frozen=True, slots=True)
class Staging:
    """First step in mm by the two habits in use, at half, and at 60 to 70 % of the difference.

    Further steps of 2 to 3 mm every one to two weeks are from memory. The prescriber decides.
    """

    at_half: Fraction
    at_60: Fraction
    at_70: Fraction
    step: tuple[int, int] = (2, 3)
    weeks: tuple[int, int] = (1, 2)
    source: str = LORE


def staging(difference: Length) -> Staging:
    """The first step of a lift brought in by steps. Common practice."""
    whole = Fraction(difference)
    return Staging(whole / 2, whole * Fraction(6, 10), whole * Fraction(7, 10))


def steps(difference: Length, first: Length, step: Length = 3) -> tuple[Fraction, ...]:
    """The heights in mm from the `first` step to the whole difference, `step` at a time.

    Step of 2 to 3 mm: from memory. Raises ValueError where a step is not above zero.
    """
    whole, height, by = Fraction(difference), Fraction(first), Fraction(step)
    if height <= 0 or by <= 0:
        raise ValueError("a step is above zero")
    found = []
    while height < whole:
        found.append(height)
        height += by
    return (*found, whole)


def other_side_raise(device: Length, shoe: Length, difference: Length = 0, *, on_short_leg: bool) -> Fraction:
    """By how much the other shoe is raised to stand level with a walker or surgical shoe.

    device, shoe: heights under the heel of the walker and of the other shoe. difference: of the legs.
    on_short_leg: the walker is on the shorter leg, where its height already makes up for some of it.
    Negative: the walker's side is still the lower one. Common practice; the prescriber decides.
    """
    gap = Fraction(device) - Fraction(shoe)
    return gap - Fraction(difference) if on_short_leg else gap + Fraction(difference)
