"""Inserts: what a base layer must be, how long an insert works. Millimetres, Shore A, °F as printed."""

from __future__ import annotations

from fractions import Fraction

from toeroom.measures.lengths import INCH
from toeroom.measures.sizes import Length

QUARTER = INCH / 4
THREE_SIXTEENTHS = INCH * Fraction(3, 16)
SIXTEENTH = INCH / 16
LEAST_HEAT_F = 230
CODE_TEXT = "DME MAC notice with the A5512 narrative; SMRC notice 01-028; PDAC"

RELIEF_LEFT = {0: 39, 6: 32, 12: 20}
"""Peak-pressure reduction in per cent at issue, 6 and 12 months, 81 people (Diabet Med 2001, as quoted)."""
REVIEWS = (
    (4, "three pairs a year under the US benefit (common practice)"),
    (6, f"pressure relief down from {RELIEF_LEFT[0]} to {RELIEF_LEFT[6]} % (81 people)"),
    (
        12,
        f"relief down to {RELIEF_LEFT[12]} % (81 people); review (43 people: thinned mostly in the first 6)",
    ),
)
"""Months after which sources have an insert looked at or changed. They do not agree."""


def at_least(value: Length, limit: Fraction) -> bool:
    """Whether `value` mm reaches `limit`, both to the hundredth: 4.76 counts as 3/16 in (4.7625)."""
    return round(Fraction(value) * 100) >= round(limit * 100)


def prefabricated_base_holds(shore: int, thickness: Length, heat_f: int = LEAST_HEAT_F) -> bool:
    """Whether the base layer meets A5512: 1/4 in at Shore A 35, or 3/16 in at 40 or harder, formed at 230 °F.

    Source: `CODE_TEXT`; dated policy, read 2026-11.
    """
    if heat_f < LEAST_HEAT_F or shore < 35:
        return False
    return at_least(thickness, THREE_SIXTEENTHS if shore >= 40 else QUARTER)


def custom_base_holds(shore: int, thickness: Length, finished_heel: Length | None = None) -> bool:
    """Whether the base layer meets A5513: 3/16 in at Shore A 35; the finished central heel 1/16 in.

    Source: DME MAC joint publication on A5513; PDAC (heel; older page).
    """
    heel = finished_heel is None or at_least(finished_heel, SIXTEENTH)
    return shore >= 35 and at_least(thickness, THREE_SIXTEENTHS) and heel


def reviews_reached(months: Length) -> tuple[str, ...]:
    """What sources say about an insert of that age, for a look at it: never that it is used up."""
    return tuple(f"{due} months: {why}" for due, why in REVIEWS if Fraction(months) >= due)
