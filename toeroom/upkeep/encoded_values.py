"""Measures and calculations as the solver sees them: written anew from their definitions.

Nothing here calls `toeroom.measures`, so that a slip there or here shows when the two are compared.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from toeroom.upkeep.solver import Formula, Term, both, either, fraction, one, z3
from toeroom.upkeep.stated import Day, Measured, Stated
from toeroom.vocabulary import PERSON, SIDES

OTHER = {"left": "right", "right": "left"}
BARLEYCORN, PARIS_POINT = Fraction(254, 30), Fraction(20, 3)
HALF = Fraction(1, 2)
SIZES = {
    "eu": (PARIS_POINT, Fraction(2)),
    "uk": (BARLEYCORN, Fraction(-23)),
    "us_men": (BARLEYCORN, Fraction(-22)),
    "us_women": (BARLEYCORN, Fraction("-20.5")),
}
"""Millimetres a size and constant of each system."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number that rules compare: `top` / `under`, rounded half up to a multiple of `step` (0: not).

    `under` is above zero. Comparing with a limit stays linear: `top` is held against the limit
    times `under`, so the solver never divides, and a rounded value is held against the edge at
    which the rounding turns.
    """

    stated: Formula
    top: Term
    under: Term | None = None
    step: Fraction = Fraction(0)

    def holds(self, op: str, limit: Decimal) -> Formula:
        """Whether it is stated and stands to `limit` as `op` (<, <=, >, >=) says."""
        return both(self.stated, self._compared(op, Fraction(limit)))

    def _compared(self, op: str, limit: Fraction) -> Formula:
        if op in (">", ">="):
            return z3.Not(self._compared("<=" if op == ">" else "<", limit))
        if not self.step:
            return self.top < self._edge(limit) if op == "<" else self.top <= self._edge(limit)
        marks = limit / self.step
        highest = math.floor(marks) if op == "<=" else math.ceil(marks) - 1
        return self.top < self._edge((highest + HALF) * self.step)

    def _edge(self, limit: Fraction) -> Term:
        return fraction(limit) if self.under is None else fraction(limit) * self.under


Make = Callable[[Stated, str], Quantity]


def quantity(stated: Stated, term_id: str, side: str) -> Quantity | None:
    """The measure or calculation `term_id` on `side` (or of the person); None where it is no number."""
    measured = stated.measures.get((term_id, side))
    if measured is not None:
        return Quantity(measured.stated, measured.number)
    make = QUANTITIES.get(term_id)
    return None if make is None else make(stated, side)


def _sum_of(**signs: int) -> Make:
    """A sum of measures of one foot, each plus or minus."""

    def make(stated: Stated, side: str) -> Quantity:
        parts = [(stated.measures[i, side], sign) for i, sign in signs.items()]
        return Quantity(
            both(*(part.stated for part, _ in parts)), sum(sign * part.number for part, sign in parts)
        )

    return make


def _ankle_arm_index(stated: Stated, side: str) -> Quantity:
    ankle, arm = stated.measures["ankle_pressure_mmhg", side], stated.measures["arm_pressure_mmhg", PERSON]
    return Quantity(both(ankle.stated, arm.stated), ankle.number, arm.number, Fraction(1, 100))


def _warmer(stated: Stated, side: str) -> Quantity:
    this, other = stated.measures["skin_temp_c", side], stated.measures["skin_temp_c", OTHER[side]]
    present = [stated.there(s) for s in SIDES]
    return Quantity(both(this.stated, other.stated, *present), this.number - other.number)


def _length(stated: Stated, side: str) -> Measured:
    return stated.measures["foot_length_mm", side]


def _length_difference(stated: Stated, _side: str) -> Quantity:
    left, right = (_length(stated, side) for side in SIDES)
    apart = z3.If(left.number >= right.number, left.number - right.number, right.number - left.number)
    return Quantity(both(left.stated, right.stated, *(stated.there(s) for s in SIDES)), apart)


def _length_difference_sizes(stated: Stated, side: str) -> Quantity:
    apart = _length_difference(stated, side)
    # In full sizes: a Paris point in the EU system, a barleycorn in all others and where none is chosen.
    per_eu, per_other = fraction(1 / PARIS_POINT), fraction(1 / BARLEYCORN)
    sizes = z3.If(stated.choices["size_system"]["eu"], apart.top * per_eu, apart.top * per_other)
    return Quantity(apart.stated, sizes)


def _feet_to_measure(stated: Stated, _side: str) -> Quantity:
    missing = [both(stated.there(s), z3.Not(_length(stated, s).stated)) for s in SIDES]
    return Quantity(one(True), sum(z3.If(part, fraction(1), fraction(0)) for part in missing))


def _lift_ball(stated: Stated, _side: str) -> Quantity:
    heel = stated.measures["leg_difference_mm", PERSON]
    return Quantity(heel.stated, heel.number * fraction(HALF))


def _longest(stated: Stated, _side: str) -> Quantity:
    left, right = (_length(stated, side) for side in SIDES)
    has_left, has_right = (stated.there(side) for side in SIDES)
    known = [either(z3.Not(stated.there(side)), _length(stated, side).stated) for side in SIDES]
    right_is = either(z3.Not(has_left), both(has_right, right.number >= left.number))
    return Quantity(both(stated.feet, *known), z3.If(right_is, right.number, left.number))


def _plus(room: int, of: Make) -> Make:
    def make(stated: Stated, side: str) -> Quantity:
        length = of(stated, side)
        return Quantity(length.stated, length.top + room)

    return make


def _mark(of: Make, per_size: Fraction, constant: Fraction) -> Make:
    """A foot in sizes, to the nearest half, a tie up; UK and US sizes begin at 1."""

    def make(stated: Stated, side: str) -> Quantity:
        length = of(stated, side)
        size = length.top * fraction(1 / per_size) + fraction(constant)
        adult = one(True) if per_size == PARIS_POINT else size >= fraction(1 - HALF / 2)
        return Quantity(both(length.stated, adult), size, step=HALF)

    return make


QUANTITIES: dict[str, Make] = {
    "ankle_arm_index": _ankle_arm_index,
    "toe_room_mm": _sum_of(shoe_inner_length_mm=1, foot_length_mm=-1),
    "width_overhang_mm": _sum_of(ball_width_mm=1, shoe_inner_width_mm=-1),
    "depth_shortfall_mm": _sum_of(toe_height_mm=1, insert_thickness_mm=1, shoe_toe_depth_mm=-1),
    "depth_needed_mm": _sum_of(toe_height_mm=1, insert_thickness_mm=1),
    "warmer_than_other_c": _warmer,
    "length_difference_mm": _length_difference,
    "length_difference_sizes": _length_difference_sizes,
    "feet_to_measure": _feet_to_measure,
    "lift_ball_mm": _lift_ball,
    "inside_from_mm": _plus(10, _sum_of(foot_length_mm=1)),
    "inside_to_mm": _plus(20, _sum_of(foot_length_mm=1)),
    "longest_foot_mm": _longest,
    "pair_inside_from_mm": _plus(10, _longest),
    "pair_inside_to_mm": _plus(20, _longest),
    **{
        f"{whose}_{system}": _mark(of, *line)
        for whose, of in (("longest_foot", _longest), ("foot", _sum_of(foot_length_mm=1)))
        for system, line in SIZES.items()
    },
}


# --- what is yes or no about days ------------------------------------------------------------------
def _on_delivery(stated: Stated, about: Callable[[Day], Formula]) -> Formula:
    """What holds of the day papers are judged for: the planned delivery, or the day of the plan."""
    planned = stated.dates["planned_delivery"]
    return either(both(planned.stated, about(planned)), both(z3.Not(planned.stated), about(stated.as_of)))


def _at_hand(stated: Stated, paper: str) -> Formula:
    """A paper is there, and not dated after delivery."""
    day = stated.dates[paper]
    return both(day.stated, _on_delivery(stated, day.not_after))


def _in_time(paper: str, months: int) -> Callable[[Stated], Formula]:
    """Delivery lies at most so many calendar months after the paper.

    A month too short for the day of the paper ends the window on its own last day; that needs no
    care here, as delivery has no later day in that month either.
    """

    def holds(stated: Stated) -> Formula:
        day = stated.dates[paper]

        def still(delivery: Day) -> Formula:
            last = day.months + months
            return either(delivery.months < last, both(delivery.months == last, delivery.day <= day.day))

        return both(_at_hand(stated, paper), _on_delivery(stated, still))

    return holds


def _before(first: str, second: str) -> Callable[[Stated], Formula]:
    def holds(stated: Stated) -> Formula:
        later = z3.Not(stated.dates[second].not_after(stated.dates[first]))
        return both(_at_hand(stated, first), _at_hand(stated, second), later)

    return holds


def _inserts_due(stated: Stated) -> Formula:
    changed, today = stated.dates["inserts_changed"], stated.as_of
    due = changed.months + 4
    reached = either(today.day >= changed.day, today.last_of_month)
    return both(changed.stated, either(today.months > due, both(today.months == due, reached)))


def _pair_this_year(stated: Stated) -> Formula:
    pair = stated.dates["previous_pair"]
    same = _on_delivery(stated, lambda delivery: delivery.year == pair.year)
    return both(_at_hand(stated, "previous_pair"), same)


YES_NO: dict[str, Callable[[Stated], Formula]] = {
    "visit_in_time": _in_time("physician_visit", 6),
    "certification_in_time": _in_time("certification_signed", 3),
    "certification_before_visit": _before("certification_signed", "physician_visit"),
    "exam_in_time": _in_time("foot_exam", 6),
    "order_on_file": lambda stated: _at_hand(stated, "order_signed"),
    "order_before_exam": _before("order_signed", "foot_exam"),
    "inserts_due": _inserts_due,
    "pair_this_year": _pair_this_year,
}
DAYS: dict[str, Callable[[Stated], Formula]] = {
    "inserts_due_from": lambda stated: stated.dates["inserts_changed"].stated,
    "next_pair_from": lambda _stated: one(True),
    "visit_until": lambda stated: _at_hand(stated, "physician_visit"),
    "certification_until": lambda stated: _at_hand(stated, "certification_signed"),
    "exam_until": lambda stated: _at_hand(stated, "foot_exam"),
}
"""Whether a calculated day is there; which day it is no condition can ask."""
