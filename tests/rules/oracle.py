"""What the decisions say of a case, worked out in plain Python and apart from the rules.

Each line of the decisions is one function with its number in its name; nothing here reads `rules/`
or uses the planner, so that two readings of the same text can be held against each other.

Three places where the rules go beyond the text on purpose, and are followed here: 1.8 also speaks for an
index of at most 0.90 of that foot; 4.2 does not speak where 4.3b gives a depth shoe; a wound on the sole
beside a stated "no open wound" is handled as a wound, since a wrong stop costs less than a wrong shoe.

Where the text leaves two readings open, what hangs on it is `unsure`: it may be in a plan or not.
- 1.17: a wound on the sole of a stump implies an open wound, but nobody stated one.
- 2.11: with a leg amputated there are no two feet to compare, though two temperatures may be stated.
- 5.19: whether lost feeling stated for an amputated side counts for this line about the person.
- 10.2: whether "no" to one of pulses_absent and arterial_disease is enough where the other is unknown.
"""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from math import floor

from toeroom.case import Case, Place

SIDES = ("left", "right")
PERSON = "person"
OTHER = {"left": "right", "right": "left"}

CLINICIANS_FOOTWEAR = ("offloading_device", "post_op_shoe")
FOOTWEAR = (
    "therapeutic_shoe",
    "extra_depth_shoe",
    "custom_moulded_shoe",
    "well_fitting_shoe",
    "high_top",
    "shoe_over_brace",
    "indoor_footwear",
)
BUILD = (
    "extra_width",
    "deep_toe_box",
    "stretch_upper",
    "soft_padded_upper",
    "seamless_lining",
    "hook_and_loop_closure",
    "elastic_laces",
    "wide_opening",
    "firm_heel_counter",
    "slip_resistant_sole",
    "flexes_at_ball",
    "longer_size",
    "shorter_size",
    "pair_of_two_sizes",
    "size_to_larger_foot",
    "snug_heel",
)
INSERT = (
    "heat_moulded_insert",
    "custom_insert",
    "toe_filler",
    "metatarsal_relief",
    "crest_pad",
    "toe_spacer",
    "replace_inserts",
    "in_shoe_lift",
)
ALTERATION = ("sole_build_up", "rocker_sole", "flare_or_wedge", "spot_stretch")
SOLD = FOOTWEAR + BUILD + INSERT + ALTERATION
HANDED_OVER_OR_STOOD_ON = (
    "pair_of_two_sizes",
    "size_to_larger_foot",
    "fit_check_at_delivery",
    "wear_in_indoors",
    "review_after_two_weeks",
    "review_by_risk",
    "measure_both_feet",
    "remeasure_standing",
)
PAPERS = ("complete_visit", "complete_certification", "complete_foot_exam", "complete_order")
DEFORMITIES = (
    "bunion",
    "tailors_bunion",
    "hammertoe",
    "claw_toes",
    "overlapping_toe",
    "prominent_met_heads",
    "midfoot_prominence",
    "charcot_inactive",
    "high_arch",
    "toe_amputated",
    "partial_foot_amputated",
)
STATES = (
    "no_fitting_today",
    "urgent_referral",
    "ulcer_risk",
    "foot_deformity",
    "circulation_doubt",
    "needs_depth",
    "needs_width",
    "mismatched_feet",
    "benefit_qualifies",
)
IMPLYING = {"past_ulcer": ("ulcer_healed_recently",), "callus": ("callus_with_bleeding", "toe_tip_callus")}


@dataclass
class Expected:
    """What a plan must show.

    must: advised. held: in the plan, held back. may_not: never advised. unsure: either reading is fair.
    derived: states to their values ("yes", or the category). detail: numbers an item must carry.
    stop is None where the text leaves it open.
    """

    stop: bool | None = False
    must: set[Place] = field(default_factory=set)
    may_not: set[Place] = field(default_factory=set)
    held: set[Place] = field(default_factory=set)
    unsure: set[Place] = field(default_factory=set)
    derived: dict[Place, str] = field(default_factory=dict)
    provisional: bool = False
    detail: dict[Place, dict[str, Fraction]] = field(default_factory=dict)


def expected(case: Case) -> Expected:
    """The decisions, line by line, for `case`."""
    sheet = Sheet(case)
    for side in sheet.feet:
        part_1(sheet, side)
    line_1_17(sheet)
    part_3(sheet)
    part_2(sheet)
    if sheet.feet:
        part_4(sheet)
        part_5(sheet)
        part_6(sheet)
    part_7(sheet)
    if sheet.feet:
        part_8(sheet)
        part_9(sheet)
    part_10(sheet)
    guards(sheet)
    return sheet.found


class Sheet:
    """A case as the decisions read it, and what they have said so far."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.found = Expected()
        self.amputated = [s for s in SIDES if case.finding("leg_amputated", s) == "yes"]
        self.feet = [s for s in SIDES if s not in self.amputated]

    def give(self, side: str, *items: str) -> None:
        self.found.must.update((item, side) for item in items)

    def state(self, term_id: str, side: str, value: str = "yes") -> None:
        self.found.derived[term_id, side] = value

    def holds(self, term_id: str, side: str) -> bool:
        return (term_id, side) in self.found.derived

    def value(self, term_id: str, side: str) -> str:
        """yes, no or unknown, with what another finding or a filament count fills in."""
        stated = self.case.finding(term_id, side)
        if term_id == "sensation_lost":
            missed = self.number("filament_sites_missed", side)
            if missed is not None and missed >= 1:
                return "yes"
            if missed == 0 and stated == "unknown":
                return "no"
        if stated == "unknown" and self.implied(term_id, side):
            return "yes"
        return stated

    def implied(self, term_id: str, side: str) -> bool:
        if term_id == "open_wound":
            on_sole = self.case.finding("wound_on_sole", side) == "yes"
            return on_sole and self.case.finding("blister", side) != "yes"
        return any(self.case.finding(i, side) == "yes" for i in IMPLYING.get(term_id, ()))

    def yes(self, term_id: str, side: str) -> bool:
        return self.value(term_id, side) == "yes"

    def no(self, term_id: str, side: str) -> bool:
        return self.value(term_id, side) == "no"

    def unknown(self, term_id: str, side: str) -> bool:
        return self.value(term_id, side) == "unknown"

    def any_yes(self, side: str, *term_ids: str) -> bool:
        return any(self.yes(i, side) for i in term_ids)

    def number(self, term_id: str, side: str) -> Fraction | None:
        value = self.case.measures.get((term_id, side))
        return None if value is None else Fraction(value)

    def below(self, term_id: str, side: str, limit: int) -> bool:
        value = self.number(term_id, side)
        return value is not None and value < limit

    def index(self, side: str) -> Fraction | None:
        """Ankle over arm pressure, rounded half up to two decimals."""
        ankle, arm = self.number("ankle_pressure_mmhg", side), self.number("arm_pressure_mmhg", PERSON)
        if ankle is None or arm is None:
            return None
        return Fraction(floor(ankle * 100 / arm + Fraction(1, 2)), 100)

    def index_below(self, side: str, limit: str) -> bool:
        index = self.index(side)
        return index is not None and index < Fraction(limit)

    def index_at_most(self, side: str, limit: str) -> bool:
        index = self.index(side)
        return index is not None and index <= Fraction(limit)

    def stiff_arteries_without_toe_pressure(self, side: str) -> bool:
        index = self.index(side)
        return (
            index is not None and index > Fraction("1.40") and self.number("toe_pressure_mmhg", side) is None
        )

    def supply_never_checked(self, side: str) -> bool:
        unknown = self.unknown("pulses_absent", side) and self.unknown("arterial_disease", side)
        return unknown and self.index(side) is None

    def room(self, larger: str, smaller: str, side: str) -> Fraction | None:
        a, b = self.number(larger, side), self.number(smaller, side)
        return None if a is None or b is None else a - b

    @property
    def diabetes(self) -> str:
        return self.case.finding("diabetes", PERSON)

    @property
    def diabetes_possible(self) -> bool:
        """'diabetes not no'."""
        return self.diabetes != "no"

    def person(self, term_id: str) -> bool:
        return self.yes(term_id, PERSON)

    def wound_or_suspect_blister(self, side: str) -> bool:
        blister = self.yes("blister", side) and self.diabetes_possible
        return self.yes("open_wound", side) or blister or self.disputed_wound(side)

    def disputed_wound(self, side: str) -> bool:
        """A wound on the sole, and yet "no open wound"."""
        on_sole = self.yes("wound_on_sole", side) and not self.yes("blister", side)
        return on_sole and self.no("open_wound", side)

    def may_be_numb(self, side: str) -> bool:
        """'sensation_lost, or sensation_lost unknown and diabetes not no'."""
        numb_unless_asked = self.unknown("sensation_lost", side) and self.diabetes_possible
        return self.yes("sensation_lost", side) or numb_unless_asked

    @property
    def lops(self) -> bool:
        return any(self.yes("sensation_lost", s) for s in self.feet)

    @property
    def pad(self) -> bool:
        return any(
            self.any_yes(s, "arterial_disease", "pulses_absent") or self.index_at_most(s, "0.90")
            for s in self.feet
        )

    @property
    def history(self) -> bool:
        past = ("past_ulcer", "open_wound", "toe_amputated", "partial_foot_amputated")
        return (
            bool(self.amputated)
            or self.person("kidney_failure")
            or any(self.any_yes(s, *past) for s in self.feet)
        )

    @property
    def risk(self) -> str:
        return self.found.derived.get(("ulcer_risk", PERSON), "")


def months_after(day: date, months: int) -> date:
    """`day` plus calendar months, clamped to the month's end."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def part_1(sheet: Sheet, side: str) -> None:
    line_1_1(sheet, side)
    line_1_2(sheet, side)
    line_1_3(sheet, side)
    line_1_4(sheet, side)
    line_1_5(sheet, side)
    line_1_6(sheet, side)
    line_1_7(sheet, side)
    line_1_8(sheet, side)
    line_1_9(sheet, side)
    line_1_10(sheet, side)
    line_1_11(sheet, side)
    line_1_12(sheet, side)


def stop_for_wound(sheet: Sheet, side: str) -> None:
    sheet.state("no_fitting_today", side)
    sheet.give(side, "refer_wound_care", "stop_wearing_shoe", "limit_walking")


def shoe_while_it_heals(sheet: Sheet, side: str) -> None:
    if not sheet.any_yes(side, "wound_on_sole", "hot_swollen_foot"):
        sheet.give(side, "post_op_shoe")


def line_1_1(sheet: Sheet, side: str) -> None:
    if sheet.yes("open_wound", side) or sheet.disputed_wound(side):
        stop_for_wound(sheet, side)


def line_1_2(sheet: Sheet, side: str) -> None:
    if sheet.wound_or_suspect_blister(side) and sheet.yes("wound_on_sole", side):
        sheet.give(side, "offloading_device")


def line_1_3(sheet: Sheet, side: str) -> None:
    if sheet.yes("open_wound", side):
        shoe_while_it_heals(sheet, side)


def line_1_4(sheet: Sheet, side: str) -> None:
    if sheet.yes("blister", side) and sheet.diabetes_possible:
        stop_for_wound(sheet, side)
        shoe_while_it_heals(sheet, side)


def line_1_5(sheet: Sheet, side: str) -> None:
    if sheet.yes("blister", side) and not sheet.diabetes_possible:
        sheet.give(side, "stop_wearing_shoe")


def line_1_6(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, "infection_signs", "black_tissue"):
        sheet.state("no_fitting_today", side)
        sheet.state("urgent_referral", PERSON)
        sheet.give(side, "stop_and_refer_now", "limit_walking")


def line_1_7(sheet: Sheet, side: str) -> None:
    if sheet.yes("hot_swollen_foot", side):
        sheet.state("no_fitting_today", side)
        sheet.state("urgent_referral", PERSON)
        sheet.give(side, "refer_suspected_charcot", "limit_walking", "offloading_device")


def line_1_8(sheet: Sheet, side: str) -> None:
    doubtful = ("pulses_absent", "arterial_disease", "rest_pain", "cold_or_blue_foot")
    poor_supply = sheet.any_yes(side, *doubtful) or sheet.index_at_most(side, "0.90")
    if sheet.wound_or_suspect_blister(side) and poor_supply:
        sheet.state("urgent_referral", PERSON)
        sheet.give(side, "stop_and_refer_now")


def stop_for_blood_supply(sheet: Sheet, side: str) -> None:
    sheet.state("no_fitting_today", side)
    sheet.state("urgent_referral", PERSON)
    sheet.state("circulation_doubt", side)
    sheet.give(side, "stop_and_refer_now", "refer_vascular", "limit_walking")


def line_1_9(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, "rest_pain", "cold_or_blue_foot"):
        stop_for_blood_supply(sheet, side)


def line_1_10(sheet: Sheet, side: str) -> None:
    ankle = sheet.below("ankle_pressure_mmhg", side, 50)
    toe = sheet.below("toe_pressure_mmhg", side, 30)
    if ankle or toe or sheet.index_below(side, "0.40"):
        stop_for_blood_supply(sheet, side)


def line_1_11(sheet: Sheet, side: str) -> None:
    suspected = sheet.yes("pulses_absent", side) or sheet.index_at_most(side, "0.90")
    new = suspected and not sheet.yes("arterial_disease", side)
    if new or sheet.stiff_arteries_without_toe_pressure(side):
        sheet.state("circulation_doubt", side)
        sheet.give(side, "refer_vascular")


def line_1_12(sheet: Sheet, side: str) -> None:
    if sheet.yes("arterial_disease", side):
        sheet.state("circulation_doubt", side)


def line_1_17(sheet: Sheet) -> None:
    on_stump = ("open_wound", "blister", "infection_signs", "black_tissue", "hot_swollen_foot")
    stated = any(sheet.case.finding(i, s) == "yes" for s in sheet.amputated for i in on_stump)
    if stated:
        sheet.state("urgent_referral", PERSON)
        sheet.give(PERSON, "stop_and_refer_now")
    elif any(sheet.implied("open_wound", s) and sheet.yes("open_wound", s) for s in sheet.amputated):
        sheet.found.unsure.update({("urgent_referral", PERSON), ("stop_and_refer_now", PERSON)})


def part_2(sheet: Sheet) -> None:
    for side in sheet.feet:
        line_2_1(sheet, side)
        line_2_2(sheet, side)
        line_2_3(sheet, side)
        line_2_4(sheet, side)
        line_2_5(sheet, side)
        line_2_6_foot(sheet, side)
        line_2_8(sheet, side)
        line_2_9(sheet, side)
        line_2_10(sheet, side)
    line_2_6_person(sheet)
    if sheet.feet:
        line_2_7(sheet)
        line_2_11(sheet)


def line_2_1(sheet: Sheet, side: str) -> None:
    if sheet.yes("callus_with_bleeding", side):
        sheet.give(side, "refer_foot_care", "limit_walking")


def line_2_2(sheet: Sheet, side: str) -> None:
    hard_skin = ("callus", "corn_between_toes", "toe_tip_callus")
    other = ("thick_nails", "cracked_heel", "moist_between_toes")
    if sheet.any_yes(side, *hard_skin, *other) and sheet.diabetes_possible:
        sheet.give(side, "refer_foot_care")


def line_2_3(sheet: Sheet, side: str) -> None:
    if sheet.yes("blood_under_nail", side) and not sheet.yes("nail_loose", side):
        sheet.give(side, "leave_nail_alone", "deep_toe_box", "limit_walking")


def line_2_4(sheet: Sheet, side: str) -> None:
    if sheet.yes("nail_loose", side):
        sheet.give(side, "refer_foot_care")
        sheet.found.may_not.add(("leave_nail_alone", side))


def line_2_5(sheet: Sheet, side: str) -> None:
    failing = sheet.any_yes(side, "past_ulcer", "callus_with_bleeding", "open_wound")
    if sheet.any_yes(side, "hammertoe", "claw_toes") and failing:
        sheet.give(side, "refer_surgical_opinion")


def line_2_6_foot(sheet: Sheet, side: str) -> None:
    unsteady = sheet.yes("weak_ankle", side) and sheet.person("fall_history")
    if sheet.yes("drop_foot", side) or unsteady:
        sheet.give(side, "refer_gait_or_brace")


def line_2_6_person(sheet: Sheet) -> None:
    if sheet.person("fall_history"):
        sheet.give(PERSON, "refer_gait_or_brace")


def line_2_7(sheet: Sheet) -> None:
    def untested(side: str) -> bool:
        no_count = sheet.number("filament_sites_missed", side) is None
        return sheet.unknown("sensation_lost", side) and no_count

    never_checked = any(untested(s) or sheet.supply_never_checked(s) for s in sheet.feet)
    signs_of_it = sheet.diabetes == "unknown" and (sheet.lops or sheet.pad)
    if (sheet.diabetes == "yes" and never_checked) or signs_of_it:
        sheet.give(PERSON, "refer_physician_screen")


def line_2_8(sheet: Sheet, side: str) -> None:
    if sheet.yes("red_marks_stay", side):
        sheet.give(side, "stop_wearing_shoe", "extra_width")


def line_2_9(sheet: Sheet, side: str) -> None:
    if sheet.yes("object_in_shoe", side):
        sheet.give(side, "stop_wearing_shoe", "check_inside_shoe")


def line_2_10(sheet: Sheet, side: str) -> None:
    rubs = sheet.yes("heel_blister_rub", side) and not sheet.yes("blister", side)
    if rubs and sheet.diabetes_possible:
        sheet.give(side, "stop_wearing_shoe")


def line_2_11(sheet: Sheet) -> None:
    left, right = (sheet.number("skin_temp_c", s) for s in SIDES)
    if left is None or right is None or abs(left - right) <= Fraction("2.2"):
        return
    warmer = "left" if left > right else "right"
    if sheet.amputated:
        sheet.found.unsure.update(
            (i, s) for s in sheet.feet for i in ("recheck_skin_temperature", "limit_walking")
        )
    else:
        sheet.give(warmer, "recheck_skin_temperature", "limit_walking")


MONTHS = {"0": (12, 12), "1": (6, 12), "2": (3, 6), "3": (1, 3)}


def part_3(sheet: Sheet) -> None:
    for side in sheet.feet:
        line_3_deformity(sheet, side)
    line_3_category(sheet)
    line_3_review(sheet)


def line_3_deformity(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, *DEFORMITIES):
        sheet.state("foot_deformity", side)


def line_3_category(sheet: Sheet) -> None:
    if not sheet.diabetes_possible or not sheet.feet:
        return
    sheet.found.provisional = sheet.diabetes == "unknown"
    sheet.state("ulcer_risk", PERSON, category(sheet))


def category(sheet: Sheet) -> str:
    deformity = any(sheet.holds("foot_deformity", s) for s in sheet.feet)
    lops, pad = sheet.lops, sheet.pad
    if (lops or pad) and sheet.history:
        return "3"
    if (lops and pad) or ((lops or pad) and deformity):
        return "2"
    if lops or pad:
        return "1"

    def cleared(side: str) -> bool:
        flows = sheet.no("pulses_absent", side) or sheet.no("arterial_disease", side)
        return sheet.no("sensation_lost", side) and flows

    return "0" if all(cleared(s) for s in sheet.feet) else "unknown"


def line_3_review(sheet: Sheet) -> None:
    if sheet.risk in MONTHS:
        low, high = MONTHS[sheet.risk]
        sheet.give(PERSON, "review_by_risk")
        sheet.found.detail["review_by_risk", PERSON] = {
            "months_min": Fraction(low),
            "months_max": Fraction(high),
        }


def part_4(sheet: Sheet) -> None:
    for side in sheet.feet:
        line_4_1(sheet, side)
        line_4_2(sheet, side)
        line_4_3(sheet, side)
        line_4_3b(sheet, side)
        line_4_4(sheet, side)
        line_4_5(sheet, side)
        line_4_6(sheet, side)
        line_4_7(sheet, side)
        line_4_8(sheet, side)
        line_4_10(sheet, side)
        line_4_11(sheet, side)
        line_4_12(sheet, side)
    line_4_9(sheet)


def speaks_4_1(sheet: Sheet) -> bool:
    return sheet.diabetes_possible and sheet.risk in ("2", "3")


def speaks_4_3(sheet: Sheet, side: str) -> bool:
    toes = ("hammertoe", "claw_toes", "overlapping_toe", "thick_nails", "toes_touch_top")
    foot = ("wears_ankle_brace", "charcot_inactive", "partial_foot_amputated", "swelling")
    if sheet.any_yes(side, *toes, *foot):
        return True
    toe, insert = sheet.number("toe_height_mm", side), sheet.number("insert_thickness_mm", side)
    depth = sheet.number("shoe_toe_depth_mm", side)
    return toe is not None and insert is not None and depth is not None and toe + insert > depth


def speaks_4_3b(sheet: Sheet, side: str) -> bool:
    takes_room = ("past_ulcer", "toe_amputated", "prominent_met_heads", "midfoot_prominence", "high_arch")
    return sheet.any_yes(side, *takes_room) or speaks_6_6(sheet, side)


def speaks_4_4(sheet: Sheet, side: str) -> bool:
    return sheet.yes("charcot_inactive", side) and sheet.yes("midfoot_prominence", side)


def speaks_4_5(sheet: Sheet, side: str) -> bool:
    return sheet.yes("past_ulcer", side) and sheet.diabetes == "yes"


def line_4_1(sheet: Sheet, side: str) -> None:
    if speaks_4_1(sheet):
        sheet.give(side, "therapeutic_shoe")


def line_4_2(sheet: Sheet, side: str) -> None:
    special = (speaks_4_3, speaks_4_3b, speaks_4_4, speaks_4_5)
    if speaks_4_1(sheet) or any(speaks(sheet, s) for speaks in special for s in sheet.feet):
        sheet.found.may_not.add(("well_fitting_shoe", side))
    else:
        sheet.give(side, "well_fitting_shoe")


def line_4_3(sheet: Sheet, side: str) -> None:
    if speaks_4_3(sheet, side):
        sheet.state("needs_depth", side)
        sheet.give(side, "extra_depth_shoe", "deep_toe_box")


def line_4_3b(sheet: Sheet, side: str) -> None:
    if speaks_4_3b(sheet, side):
        sheet.state("needs_depth", side)
        sheet.give(side, "extra_depth_shoe")


def line_4_4(sheet: Sheet, side: str) -> None:
    if speaks_4_4(sheet, side):
        sheet.give(side, "custom_moulded_shoe", "custom_insert", "rocker_sole")


def line_4_5(sheet: Sheet, side: str) -> None:
    # The detail of the insert (30 % less, or under 200 kPa) has no stated names: not compared.
    if speaks_4_5(sheet, side):
        sheet.give(side, "therapeutic_shoe", "custom_insert", "review_after_two_weeks")


def line_4_6(sheet: Sheet, side: str) -> None:
    if sheet.yes("ulcer_healed_recently", side):
        sheet.give(side, "wear_in_indoors", "limit_walking", "review_after_two_weeks")


def line_4_7(sheet: Sheet, side: str) -> None:
    if sheet.yes("weak_ankle", side):
        sheet.give(side, "high_top", "firm_heel_counter")


def line_4_8(sheet: Sheet, side: str) -> None:
    if sheet.yes("wears_ankle_brace", side):
        sheet.give(side, "shoe_over_brace", "wide_opening")


def line_4_9(sheet: Sheet) -> None:
    if sheet.person("barefoot_indoors"):
        sheet.give(PERSON, "indoor_footwear", "never_barefoot")


def line_4_10(sheet: Sheet, side: str) -> None:
    if sheet.yes("toe_amputated", side):
        sheet.give(side, "toe_filler", "custom_insert")


def line_4_11(sheet: Sheet, side: str) -> None:
    if sheet.yes("partial_foot_amputated", side):
        sheet.give(side, "toe_filler", "custom_insert", "rocker_sole")


def line_4_12(sheet: Sheet, side: str) -> None:
    other = OTHER[side]
    if other not in sheet.feet:
        return
    if speaks_4_3(sheet, other) or speaks_4_3b(sheet, other):
        sheet.give(side, "extra_depth_shoe")
    if speaks_4_5(sheet, other):
        sheet.give(side, "therapeutic_shoe")


def part_5(sheet: Sheet) -> None:
    for side in sheet.feet:
        line_5_1(sheet, side)
        line_5_2(sheet, side)
        line_5_3(sheet, side)
        line_5_4(sheet, side)
        line_5_5(sheet, side)
        line_5_6(sheet, side)
        line_5_7(sheet, side)
        line_5_8(sheet, side)
        line_5_9(sheet, side)
        line_5_10(sheet, side)
        line_5_11(sheet, side)
        line_5_12(sheet, side)
        line_5_14(sheet, side)
        line_5_15_foot(sheet, side)
        line_5_16_foot(sheet, side)
        line_5_17(sheet, side)
        line_5_18(sheet, side)
        line_5_20(sheet, side)
        line_5_21(sheet, side)
        line_5_22(sheet, side)
        line_5_25(sheet, side)
    line_5_13(sheet)
    line_5_15_person(sheet)
    line_5_16_person(sheet)
    line_5_19(sheet)
    line_5_23(sheet)


def widen(sheet: Sheet, side: str) -> None:
    sheet.state("needs_width", side)
    sheet.give(side, "extra_width")


def line_5_1(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, "bunion", "tailors_bunion"):
        widen(sheet, side)
        sheet.give(side, "stretch_upper", "seamless_lining")


def line_5_2(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, "hammertoe", "claw_toes"):
        sheet.give(side, "deep_toe_box", "stretch_upper", "seamless_lining")


def line_5_3(sheet: Sheet, side: str) -> None:
    if sheet.yes("overlapping_toe", side):
        widen(sheet, side)
        sheet.give(side, "deep_toe_box", "stretch_upper", "toe_spacer")


def line_5_4(sheet: Sheet, side: str) -> None:
    if sheet.yes("toe_tip_callus", side):
        sheet.give(side, "crest_pad", "deep_toe_box")


def line_5_5(sheet: Sheet, side: str) -> None:
    if sheet.yes("corn_between_toes", side):
        widen(sheet, side)
        sheet.give(side, "toe_spacer")


def line_5_6(sheet: Sheet, side: str) -> None:
    if sheet.yes("callus", side):
        widen(sheet, side)


def line_5_7(sheet: Sheet, side: str) -> None:
    over = sheet.room("ball_width_mm", "shoe_inner_width_mm", side)
    if sheet.any_yes(side, "foot_over_liner", "shoe_narrow") or (over is not None and over > 0):
        widen(sheet, side)


def line_5_8(sheet: Sheet, side: str) -> None:
    room = sheet.room("shoe_inner_length_mm", "foot_length_mm", side)
    if sheet.yes("shoe_short", side) or (room is not None and room < 10):
        sheet.give(side, "longer_size")


def line_5_9(sheet: Sheet, side: str) -> None:
    if sheet.yes("toes_touch_top", side):
        sheet.give(side, "deep_toe_box")


def line_5_10(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, "heel_slips", "narrow_heel", "heel_blister_rub"):
        sheet.give(side, "snug_heel")


def line_5_11(sheet: Sheet, side: str) -> None:
    if sheet.yes("seam_on_prominence", side):
        sheet.give(side, "seamless_lining")
        if sheet.may_be_numb(side):
            sheet.give(side, "stop_wearing_shoe")


def line_5_12(sheet: Sheet, side: str) -> None:
    if sheet.yes("swelling", side):
        sheet.give(side, "hook_and_loop_closure", "elastic_laces", "wide_opening")


def line_5_13(sheet: Sheet) -> None:
    if sheet.person("cannot_tie_laces"):
        sheet.give(PERSON, "hook_and_loop_closure", "elastic_laces")


def line_5_14(sheet: Sheet, side: str) -> None:
    if sheet.yes("hard_to_put_on", side):
        sheet.give(side, "wide_opening")


def line_5_15_foot(sheet: Sheet, side: str) -> None:
    if sheet.yes("sole_slippery", side):
        sheet.give(side, "slip_resistant_sole")


def line_5_15_person(sheet: Sheet) -> None:
    if sheet.person("fall_history"):
        sheet.give(PERSON, "slip_resistant_sole")


def line_5_16_foot(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, "flat_foot", "bends_mid_shoe"):
        sheet.give(side, "firm_heel_counter")


def line_5_16_person(sheet: Sheet) -> None:
    if sheet.person("fall_history"):
        sheet.give(PERSON, "firm_heel_counter")


def line_5_17(sheet: Sheet, side: str) -> None:
    if sheet.yes("bends_mid_shoe", side):
        sheet.give(side, "flexes_at_ball")


def line_5_18(sheet: Sheet, side: str) -> None:
    if sheet.yes("sensation_lost", side):
        sheet.give(side, "seamless_lining", "soft_padded_upper", "trust_measure_not_feel")


def line_5_19(sheet: Sheet) -> None:
    if not sheet.person("length_doubt"):
        return
    if any(sheet.may_be_numb(s) for s in sheet.feet):
        sheet.give(PERSON, "trust_measure_not_feel")
    elif any(sheet.may_be_numb(s) for s in sheet.amputated):
        sheet.found.unsure.add(("trust_measure_not_feel", PERSON))


def line_5_20(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, "stiff_big_toe", "stiff_ankle"):
        sheet.give(side, "rocker_sole")


def line_5_21(sheet: Sheet, side: str) -> None:
    pressed = sheet.any_yes(side, "seam_on_prominence", "shoe_narrow")
    if sheet.any_yes(side, "bunion", "tailors_bunion") and pressed:
        sheet.give(side, "spot_stretch")


def line_5_22(sheet: Sheet, side: str) -> None:
    if sheet.yes("high_arch", side) and sheet.yes("weak_ankle", side):
        sheet.give(side, "flare_or_wedge")


def line_5_23(sheet: Sheet) -> None:
    if sheet.person("appearance_concern"):
        sheet.give(PERSON, "find_one_they_will_wear")


def line_5_25(sheet: Sheet, side: str) -> None:
    room = sheet.room("shoe_inner_length_mm", "foot_length_mm", side)
    if room is not None and room > 20:
        sheet.give(side, "shorter_size")


MODELLED = (
    "past_ulcer",
    "charcot_inactive",
    "midfoot_prominence",
    "prominent_met_heads",
    "high_arch",
    "toe_amputated",
    "partial_foot_amputated",
)


def part_6(sheet: Sheet) -> None:
    for side in sheet.feet:
        line_6_1(sheet, side)
        line_6_2(sheet, side)
        line_6_3(sheet, side)
        line_6_4(sheet, side)
        line_6_5_foot(sheet, side)
        line_6_6(sheet, side)
        line_6_7(sheet, side)
        line_6_8(sheet, side)
    line_6_5_person(sheet)


def line_6_1(sheet: Sheet, side: str) -> None:
    wanted = (sheet.diabetes_possible and speaks_4_1(sheet)) or (
        sheet.diabetes == "yes" and speaks_4_3(sheet, side)
    )
    if sheet.any_yes(side, "wears_ankle_brace", *MODELLED):
        sheet.found.may_not.add(("heat_moulded_insert", side))
    elif wanted:
        sheet.give(side, "heat_moulded_insert")


def line_6_2(sheet: Sheet, side: str) -> None:
    if sheet.any_yes(side, *MODELLED):
        sheet.give(side, "custom_insert")


def line_6_3(sheet: Sheet, side: str) -> None:
    if sheet.yes("prominent_met_heads", side):
        sheet.give(side, "metatarsal_relief")


def line_6_4(sheet: Sheet, side: str) -> None:
    if sheet.yes("prominent_met_heads", side) and sheet.any_yes(side, "callus", "past_ulcer"):
        sheet.give(side, "rocker_sole")


def line_6_5_foot(sheet: Sheet, side: str) -> None:
    age = sheet.number("insert_age_months", side)
    if sheet.yes("insert_flat", side) or (age is not None and age >= 4):
        sheet.give(side, "replace_inserts")


def line_6_5_person(sheet: Sheet) -> None:
    changed = sheet.case.dates.get("inserts_changed")
    if changed is not None and sheet.case.as_of >= months_after(changed, 4):
        sheet.give(PERSON, "replace_inserts")


def lift(sheet: Sheet, side: str) -> Fraction:
    """Millimetres to be made up on `side`; 0 where there are none or nobody said which side."""
    short = sheet.case.choices.get("short_leg") == side
    return (short and sheet.number("leg_difference_mm", PERSON)) or Fraction(0)


def speaks_6_6(sheet: Sheet, side: str) -> bool:
    return 0 < lift(sheet, side) <= 10


def line_6_6(sheet: Sheet, side: str) -> None:
    if speaks_6_6(sheet, side):
        sheet.give(side, "in_shoe_lift")
        sheet.found.detail["in_shoe_lift", side] = {"heel_mm": lift(sheet, side)}


def line_6_7(sheet: Sheet, side: str) -> None:
    millimetres = lift(sheet, side)
    if millimetres > 10:
        sheet.give(side, "sole_build_up")
        sheet.found.may_not.add(("in_shoe_lift", side))
        sheet.found.detail["sole_build_up", side] = {
            "heel_mm": millimetres,
            "ball_mm": millimetres / 2,
            "toe_mm": Fraction(0),
        }


def line_6_8(sheet: Sheet, side: str) -> None:
    if "short_leg" not in sheet.case.choices:
        sheet.found.may_not.update({("in_shoe_lift", side), ("sole_build_up", side)})


def part_7(sheet: Sheet) -> None:
    line_7_1(sheet)
    line_7_2(sheet)
    line_7_3(sheet)


def line_7_1(sheet: Sheet) -> None:
    if sheet.diabetes == "yes" or sheet.lops or sheet.person("sock_seams"):
        sheet.give(PERSON, "padded_seamless_socks")


def line_7_2(sheet: Sheet) -> None:
    if sheet.person("sock_marks"):
        sheet.give(PERSON, "looser_socks")


def line_7_3(sheet: Sheet) -> None:
    if not (sheet.person("compression_worn") or sheet.person("compression_ordered")):
        return

    def against(side: str) -> bool:
        skin = ("open_wound", "infection_signs", "black_tissue", "hot_swollen_foot")
        supply = ("arterial_disease", "pulses_absent", "sensation_lost")
        return (
            sheet.holds("circulation_doubt", side)
            or sheet.any_yes(side, *skin, *supply)
            or sheet.supply_never_checked(side)
            or sheet.index_below(side, "0.60")
            or sheet.below("ankle_pressure_mmhg", side, 60)
            or sheet.below("toe_pressure_mmhg", side, 30)
            or sheet.stiff_arteries_without_toe_pressure(side)
        )

    if any(against(s) for s in sheet.feet):
        sheet.give(PERSON, "compression_only_if_cleared")


def part_8(sheet: Sheet) -> None:
    line_8_1(sheet)
    line_8_2(sheet)
    line_8_3(sheet)
    line_8_4(sheet)
    line_8_5(sheet)
    line_8_6(sheet)


def line_8_1(sheet: Sheet) -> None:
    if sheet.person("measured_morning"):
        sheet.give(PERSON, "remeasure_later_in_day")


def line_8_2(sheet: Sheet) -> None:
    if sheet.person("measured_sitting"):
        sheet.give(PERSON, "remeasure_standing")


def line_8_3(sheet: Sheet) -> None:
    if sheet.person("other_socks_worn"):
        sheet.give(PERSON, "remeasure_right_socks")


def line_8_4(sheet: Sheet) -> None:
    if any(sheet.number("foot_length_mm", s) is None for s in sheet.feet):
        sheet.give(PERSON, "measure_both_feet")


def lengths_apart(sheet: Sheet) -> Fraction | None:
    left, right = (sheet.number("foot_length_mm", s) for s in SIDES)
    return None if sheet.amputated or left is None or right is None else abs(left - right)


def full_size(sheet: Sheet) -> Fraction:
    return Fraction(20, 3) if sheet.case.choices.get("size_system") == "eu" else Fraction(254, 30)


def line_8_5(sheet: Sheet) -> None:
    apart = lengths_apart(sheet)
    if apart is not None and apart >= full_size(sheet):
        sheet.state("mismatched_feet", PERSON)
        sheet.give(PERSON, "pair_of_two_sizes")


def line_8_6(sheet: Sheet) -> None:
    apart = lengths_apart(sheet)
    if apart is not None and 0 < apart < full_size(sheet):
        sheet.give(PERSON, "size_to_larger_foot")


def part_9(sheet: Sheet) -> None:
    line_9_1(sheet)
    line_9_2(sheet)
    line_9_3(sheet)
    line_9_4(sheet)
    line_9_5(sheet)
    line_9_6(sheet)


def speaks_9_1(sheet: Sheet) -> bool:
    return sheet.diabetes == "yes" or sheet.lops


def line_9_1(sheet: Sheet) -> None:
    if speaks_9_1(sheet):
        sheet.give(PERSON, "daily_foot_check", "check_inside_shoe", "wear_in_indoors")


def line_9_2(sheet: Sheet) -> None:
    if speaks_9_1(sheet) and (sheet.risk != "0" or sheet.history):
        sheet.give(PERSON, "never_barefoot")


def line_9_3(sheet: Sheet) -> None:
    unseen = sheet.person("poor_sight") or sheet.person("cannot_reach_feet")
    if unseen and sheet.diabetes_possible:
        sheet.give(PERSON, "helper_checks_feet")


def line_9_4(sheet: Sheet) -> None:
    lesions = (
        "callus_with_bleeding",
        "blister",
        "red_marks_stay",
        "blood_under_nail",
        "ulcer_healed_recently",
    )
    if sheet.person("walks_a_lot") and any(sheet.any_yes(s, *lesions) for s in sheet.feet):
        sheet.give(PERSON, "limit_walking")


def line_9_5(sheet: Sheet) -> None:
    if sheet.diabetes == "yes" or sheet.lops:
        sheet.give(PERSON, "fit_check_at_delivery")


def line_9_6(sheet: Sheet) -> None:
    if sheet.diabetes_possible and sheet.risk in ("2", "3"):
        sheet.give(PERSON, "review_after_two_weeks")


def part_10(sheet: Sheet) -> None:
    if not sheet.person("us_medicare"):
        return
    line_10_1(sheet)
    verdict = line_10_2(sheet)
    if verdict == "met no":
        sheet.give(PERSON, "benefit_not_met")
        sheet.found.may_not.update((i, PERSON) for i in PAPERS)
        return
    line_10_3(sheet)
    line_10_4(sheet)
    line_10_5(sheet)
    line_10_6(sheet)
    line_10_7(sheet)
    line_10_8(sheet)
    if verdict == "open":
        sheet.found.unsure.update((i, PERSON) for i in ("benefit_not_met", *PAPERS))
    else:
        sheet.found.may_not.add(("benefit_not_met", PERSON))


def line_10_1(sheet: Sheet) -> None:
    conditions = ("past_ulcer", "callus_with_bleeding", "pulses_absent", "arterial_disease", *DEFORMITIES)
    met = bool(sheet.amputated) or any(
        sheet.any_yes(s, *conditions) or (sheet.yes("sensation_lost", s) and sheet.yes("callus", s))
        for s in sheet.feet
    )
    if sheet.diabetes == "yes" and met:
        sheet.state("benefit_qualifies", PERSON)


def line_10_2(sheet: Sheet) -> str:
    """'met no' where it speaks, 'open' where the text leaves it open, else 'silent'."""
    if sheet.diabetes == "no":
        return "met no"

    def rest_is_no(side: str) -> bool:
        known_no = ("past_ulcer", "callus_with_bleeding", "leg_amputated", *DEFORMITIES)
        numb_callus_no = sheet.no("sensation_lost", side) or sheet.no("callus", side)
        return all(sheet.no(i, side) for i in known_no) and numb_callus_no

    supply = [sheet.value(i, s) for s in SIDES for i in ("pulses_absent", "arterial_disease")]
    low_index = any(sheet.index_at_most(s, "0.90") for s in sheet.feet)
    if not all(rest_is_no(s) for s in SIDES) or low_index or "yes" in supply:
        return "silent"
    if all(value == "no" for value in supply):
        return "met no"
    return "open" if "no" in supply[:2] and "no" in supply[2:] else "silent"


def delivery(sheet: Sheet) -> date:
    return sheet.case.dates.get("planned_delivery", sheet.case.as_of)


def paper(sheet: Sheet, name: str) -> date | None:
    """Its date; one after delivery counts as missing."""
    day = sheet.case.dates.get(name)
    return None if day is None or day > delivery(sheet) else day


def out_of_time(sheet: Sheet, name: str, months: int) -> bool:
    day = paper(sheet, name)
    return day is None or months_after(day, months) < delivery(sheet)


def before(sheet: Sheet, name: str, other: str) -> bool:
    day, other_day = paper(sheet, name), paper(sheet, other)
    return day is not None and other_day is not None and day < other_day


def line_10_3(sheet: Sheet) -> None:
    if out_of_time(sheet, "physician_visit", 6):
        sheet.give(PERSON, "complete_visit")


def line_10_4(sheet: Sheet) -> None:
    late = out_of_time(sheet, "certification_signed", 3)
    if late or before(sheet, "certification_signed", "physician_visit"):
        sheet.give(PERSON, "complete_certification")


def line_10_5(sheet: Sheet) -> None:
    if out_of_time(sheet, "foot_exam", 6):
        sheet.give(PERSON, "complete_foot_exam")


def line_10_6(sheet: Sheet) -> None:
    if paper(sheet, "order_signed") is None or before(sheet, "order_signed", "foot_exam"):
        sheet.give(PERSON, "complete_order")


def line_10_7(sheet: Sheet) -> None:
    if sheet.no("care_plan_for_diabetes", PERSON):
        sheet.give(PERSON, "complete_certification")


def line_10_8(sheet: Sheet) -> None:
    if sheet.no("has_referral", PERSON):
        sheet.give(PERSON, "complete_order")


def guards(sheet: Sheet) -> None:
    """1.13 to 1.15, after everything else: what was given and may not be becomes held back."""
    found = sheet.found
    guarded = line_1_13(sheet) | line_1_14(sheet) | line_1_15(sheet)
    found.held = (found.must & guarded) - found.unsure
    found.must -= found.held | found.unsure
    found.may_not |= guarded | line_1_16(sheet)
    found.stop = line_stop(sheet)


def line_1_13(sheet: Sheet) -> set[Place]:
    stopped = [s for s in sheet.feet if sheet.holds("no_fitting_today", s)]
    return {(i, s) for s in stopped for i in (*SOLD, "wear_in_indoors")}


def line_1_14(sheet: Sheet) -> set[Place]:
    every = bool(sheet.feet) and all(sheet.holds("no_fitting_today", s) for s in sheet.feet)
    return {(i, PERSON) for i in (*SOLD, *CLINICIANS_FOOTWEAR)} if every else set()


def line_1_15(sheet: Sheet) -> set[Place]:
    either = any(sheet.holds("no_fitting_today", s) for s in sheet.feet)
    return {(i, PERSON) for i in HANDED_OVER_OR_STOOD_ON} if either else set()


def line_1_16(sheet: Sheet) -> set[Place]:
    """Nothing to wear, no wound, no lift on a side where no foot is."""
    return {(i, s) for s in sheet.amputated for i in (*SOLD, *CLINICIANS_FOOTWEAR, "refer_wound_care")}


def line_stop(sheet: Sheet) -> bool | None:
    urgent = sheet.holds("urgent_referral", PERSON)
    if urgent or any(sheet.holds("no_fitting_today", s) for s in sheet.feet):
        return True
    return None if ("urgent_referral", PERSON) in sheet.found.unsure else False
