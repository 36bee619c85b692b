"""Lengths of feet and shoes, in millimetres."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

INCH = Fraction(254, 10)
FULL_SIZE = {
    "eu": Fraction(20, 3),
    "uk": INCH / 3,
    "us_men": INCH / 3,
    "us_women": INCH / 3,
    "mondopoint": INCH / 3,
}
"""One full size. EU: a Paris point, 2/3 cm. UK and US: a barleycorn, 1/3 in. Both exact.

Source: Williams & Nester 2010, ch. 6. Mondopoint has no full size of this kind; the barleycorn
stands in for it, as where no system is chosen (common practice).
"""


def difference_in_sizes(left: Decimal, right: Decimal, system: str | None) -> Fraction:
    """How far two foot lengths lie apart, in full sizes of `system` (the barleycorn where None)."""
    return abs(Fraction(left) - Fraction(right)) / FULL_SIZE[system or "mondopoint"]


def toe_room(shoe_inner_length: Decimal, foot_length: Decimal) -> Decimal:
    """Room in front of the longest toe: inside length of the shoe minus length of the foot, standing.

    Source: van Netten et al. 2018, Table 3 (10 to 20 mm).
    """
    return shoe_inner_length - foot_length


def width_overhang(ball_width: Decimal, shoe_inner_width: Decimal) -> Decimal:
    """By how much the foot at the ball passes the shoe's liner; negative where there is room.

    Source: van Netten et al. 2018, Table 3 (inside width equals the foot).
    """
    return ball_width - shoe_inner_width


def depth_shortfall(toe_height: Decimal, insert_thickness: Decimal, shoe_toe_depth: Decimal) -> Decimal:
    """By how much toe and insert together pass the empty toe box; zero or less where they fit.

    Source: van Netten et al. 2018, Table 3 (no contact pressure from above).
    """
    return toe_height + insert_thickness - shoe_toe_depth
