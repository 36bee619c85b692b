"""Heights of a lift under the short leg, in millimetres."""

from __future__ import annotations

from decimal import Decimal

MOST_INSIDE = Decimal(10)
"""What a shoe usually takes inside (about 3/8 in); more goes on the sole. Common practice."""


def ball_height(heel: Decimal) -> Decimal:
    """Height under the ball of a lift that is `heel` high under the heel: half, not rounded.

    The toe tip keeps nothing: the sole thins from the ball. Common practice (taught as full height
    at the heel, half at the ball, thinning at the toes).
    """
    return heel / 2
