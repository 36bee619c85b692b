"""From a case to the calculated values that rules look at.

Each function takes the case and a side (left, right or person) and returns a number, a text
(`yes`, `no`, or a date as text), or None where what it needs is not stated.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from fractions import Fraction

from toeroom.case import Case
from toeroom.measures import dates, lengths, lifts, pressures, sizes, temperatures
from toeroom.vocabulary import PERSON, SIDES

Value = Decimal | Fraction | str | None
OTHER = {"left": "right", "right": "left"}


def present_sides(case: Case) -> tuple[str, ...]:
    """The sides on which there is a foot."""
    return tuple(side for side in SIDES if case.finding("leg_amputated", side) != "yes")


def calculate(case: Case, term_id: str, side: str) -> Value:
    """The value of the calculated term `term_id` for `side`."""
    return CALCULATIONS[term_id](case, side)


def delivery_day(case: Case) -> date:
    """The day papers are judged for: the planned delivery, or the day of the plan."""
    return case.dates.get("planned_delivery", case.as_of)


def paper_day(case: Case, term_id: str) -> date | None:
    """The day of a paper; one that lies after delivery counts as missing."""
    day = case.dates.get(term_id)
    return day if day is not None and day <= delivery_day(case) else None


def _yes_no(holds: bool) -> str:
    return "yes" if holds else "no"


def _of_measures(function: Callable[..., Decimal], *ids: str) -> Callable[[Case, str], Value]:
    def value(case: Case, side: str) -> Value:
        stated = [case.measures.get((i, side)) for i in ids]
        return None if None in stated else function(*stated)

    return value


def _ankle_arm_index(case: Case, side: str) -> Value:
    ankle = case.measures.get(("ankle_pressure_mmhg", side))
    arm = case.measures.get(("arm_pressure_mmhg", PERSON))
    return None if ankle is None or arm is None else pressures.ankle_arm_index(ankle, arm)


def _warmer(case: Case, side: str) -> Value:
    this = case.measures.get(("skin_temp_c", side))
    other = case.measures.get(("skin_temp_c", OTHER[side]))
    if this is None or other is None or len(present_sides(case)) < 2:
        return None
    return temperatures.warmer_by(this, other)


def _both_lengths(case: Case) -> tuple[Decimal, Decimal] | None:
    left, right = (case.measures.get(("foot_length_mm", side)) for side in SIDES)
    return None if left is None or right is None or len(present_sides(case)) < 2 else (left, right)


def _length_difference(case: Case, _side: str) -> Value:
    both = _both_lengths(case)
    return None if both is None else abs(both[0] - both[1])


def _length_difference_sizes(case: Case, _side: str) -> Value:
    both = _both_lengths(case)
    return None if both is None else lengths.difference_in_sizes(*both, case.choices.get("size_system"))


def _feet_to_measure(case: Case, _side: str) -> Value:
    missing = [side for side in present_sides(case) if ("foot_length_mm", side) not in case.measures]
    return Decimal(len(missing))


def _lift_ball(case: Case, _side: str) -> Value:
    heel = case.measures.get(("leg_difference_mm", PERSON))
    return None if heel is None else lifts.ball_height(heel)


def _in_time(term_id: str, months: int) -> Callable[[Case, str], Value]:
    return lambda case, _side: _yes_no(dates.in_time(paper_day(case, term_id), months, delivery_day(case)))


def _until(term_id: str, months: int) -> Callable[[Case, str], Value]:
    """The last day on which a paper counts, as ISO text."""

    def value(case: Case, _side: str) -> Value:
        day = paper_day(case, term_id)
        return None if day is None else dates.plus_months(day, months).isoformat()

    return value


def _before(first: str, second: str) -> Callable[[Case, str], Value]:
    """Whether the paper `first` is dated before the paper `second`; no where either is missing."""

    def value(case: Case, _side: str) -> Value:
        day, other = paper_day(case, first), paper_day(case, second)
        return _yes_no(day is not None and other is not None and day < other)

    return value


def _inserts_due_from(case: Case, _side: str) -> Value:
    changed = case.dates.get("inserts_changed")
    return None if changed is None else dates.plus_months(changed, dates.INSERT_MONTHS).isoformat()


def _inserts_due(case: Case, _side: str) -> Value:
    changed = case.dates.get("inserts_changed")
    return _yes_no(changed is not None and case.as_of >= dates.plus_months(changed, dates.INSERT_MONTHS))


def _pair_this_year(case: Case, _side: str) -> Value:
    previous = paper_day(case, "previous_pair")
    return _yes_no(previous is not None and previous.year == delivery_day(case).year)


def _longest_foot(case: Case, _side: str) -> Value:
    lengths_known = [case.measures.get(("foot_length_mm", side)) for side in present_sides(case)]
    known = [length for length in lengths_known if length is not None]
    return max(known) if known and len(known) == len(lengths_known) else None


def _inside(room: int, of: Callable[[Case, str], Value]) -> Callable[[Case, str], Value]:
    """The inside length of a shoe that leaves `room` mm in front of a foot."""

    def value(case: Case, side: str) -> Value:
        length = of(case, side)
        return None if length is None else Fraction(length) + room

    return value


def _foot_length(case: Case, side: str) -> Value:
    return case.measures.get(("foot_length_mm", side))


def _marked(rule_id: str, of: Callable[[Case, str], Value]) -> Callable[[Case, str], Value]:
    """The size of a foot by a named rule, to the nearest mark, ties up; none under the adult scale."""
    rule = sizes.RULES[rule_id]

    def value(case: Case, side: str) -> Value:
        length = of(case, side)
        mark = None if length is None else rule.mark(Fraction(length))
        return None if mark is None or sizes.below_adult_scale(rule, mark) else mark

    return value


CALCULATIONS: dict[str, Callable[[Case, str], Value]] = {
    "ankle_arm_index": _ankle_arm_index,
    "toe_room_mm": _of_measures(lengths.toe_room, "shoe_inner_length_mm", "foot_length_mm"),
    "width_overhang_mm": _of_measures(lengths.width_overhang, "ball_width_mm", "shoe_inner_width_mm"),
    "depth_shortfall_mm": _of_measures(
        lengths.depth_shortfall, "toe_height_mm", "insert_thickness_mm", "shoe_toe_depth_mm"
    ),
    "warmer_than_other_c": _warmer,
    "length_difference_mm": _length_difference,
    "length_difference_sizes": _length_difference_sizes,
    "feet_to_measure": _feet_to_measure,
    "lift_ball_mm": _lift_ball,
    "inside_from_mm": _inside(10, _foot_length),
    "inside_to_mm": _inside(20, _foot_length),
    "longest_foot_mm": _longest_foot,
    "pair_inside_from_mm": _inside(10, _longest_foot),
    "pair_inside_to_mm": _inside(20, _longest_foot),
    "longest_foot_eu": _marked("eu", _longest_foot),
    "longest_foot_uk": _marked("uk", _longest_foot),
    "longest_foot_us_men": _marked("us_men", _longest_foot),
    "longest_foot_us_women": _marked("us_women_common", _longest_foot),
    "foot_eu": _marked("eu", _foot_length),
    "foot_uk": _marked("uk", _foot_length),
    "foot_us_men": _marked("us_men", _foot_length),
    "foot_us_women": _marked("us_women_common", _foot_length),
    "depth_needed_mm": _of_measures(lambda toe, insert: toe + insert, "toe_height_mm", "insert_thickness_mm"),
    "visit_in_time": _in_time("physician_visit", dates.VISIT_MONTHS),
    "certification_in_time": _in_time("certification_signed", dates.CERTIFICATION_MONTHS),
    "certification_before_visit": _before("certification_signed", "physician_visit"),
    "exam_in_time": _in_time("foot_exam", dates.EXAM_MONTHS),
    "visit_until": _until("physician_visit", dates.VISIT_MONTHS),
    "certification_until": _until("certification_signed", dates.CERTIFICATION_MONTHS),
    "exam_until": _until("foot_exam", dates.EXAM_MONTHS),
    "order_on_file": lambda case, _side: _yes_no(paper_day(case, "order_signed") is not None),
    "order_before_exam": _before("order_signed", "foot_exam"),
    "inserts_due": _inserts_due,
    "inserts_due_from": _inserts_due_from,
    "pair_this_year": _pair_this_year,
    "next_pair_from": lambda case, _side: dates.first_of_next_year(delivery_day(case)).isoformat(),
}
