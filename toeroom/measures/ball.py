"""The length a ball asks for: where the big-toe joint lies decides where the shoe must bend.

No heel-to-ball scale of a measuring device is public, and none is invented here: the share of the
ball in the foot's length is that of soldiers (ANSUR II, derived). It points, the try-on decides.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from toeroom.errors import BadInput
from toeroom.measures.populations import BALL_SHARE
from toeroom.measures.sizes import Length

SOURCE = "longer of toe and ball length: trade page (common practice); share of the ball: ANSUR II (derived)"


@dataclass(frozen=True, slots=True)
class LongerOf:
    """Foot length and ball-implied length in mm; `length` is the longer, `decided_by` toe or ball."""

    toe: Fraction
    ball: Fraction
    length: Fraction
    decided_by: str


def implied_length(ball: Length, last: str | None) -> Fraction:
    """The foot length in mm of which `ball` mm is the usual share.

    Where no last is named the smaller of the two shares is taken, which gives the longer foot.
    Source: ANSUR II, mean of ball over foot length, men 0.741, women 0.739 (derived).
    """
    share = BALL_SHARE[last].mean if last else min(s.mean for s in BALL_SHARE.values())
    return Fraction(ball) / share


def longer_of(foot: Length, ball: Length, last: str | None) -> LongerOf:
    """The longer of foot length and ball-implied length; alike, the toe decides.

    Raises `BadInput` where the ball lies no nearer the heel than the toe: one of the two is wrong.
    """
    toe = Fraction(foot)
    if Fraction(ball) >= toe:
        raise BadInput(
            f"the ball length {float(ball):g} mm is not shorter than the foot, {float(foot):g} mm",
            mend="measure again: heel to the middle of the big-toe joint, and heel to the longest toe",
        )
    implied = implied_length(ball, last)
    by_ball = implied > toe
    return LongerOf(toe, implied, implied if by_ball else toe, "ball" if by_ball else "toe")
