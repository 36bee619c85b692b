"""Depth at the toes, in millimetres."""

from __future__ import annotations

from fractions import Fraction

from toeroom.measures.inserts import THREE_SIXTEENTHS, at_least
from toeroom.measures.sizes import Length

LEAST_WIDTHS = 3


def depth_needed(toe_height: Length, insert: Length, clearance: Length = 0) -> Fraction:
    """Inside height the toe box must have, insert out: highest toe, insert under the toes, clearance.

    No clearance is published; without one a shoe that just equals the sum leaves no play, and the toes
    must be able to move. Source: van Netten et al. 2018, Table 3 (room without contact from above).
    """
    return Fraction(toe_height) + Fraction(insert) + Fraction(clearance)


def depth_spare(shoe_depth: Length, needed: Length) -> Fraction:
    """What is left above the toes; negative where the shoe is too shallow."""
    return Fraction(shoe_depth) - Fraction(needed)


def is_depth_shoe(filler: Length, widths: int) -> bool:
    """Whether filler and number of widths meet the US payer's definition of a depth shoe.

    The removable full-length filler gives at least 3/16 in, and there are at least three widths.
    Source: Medicare Benefit Policy Manual ch. 15 §140.A.2 (the rest of it is not a number).
    """
    return at_least(filler, THREE_SIXTEENTHS) and widths >= LEAST_WIDTHS
