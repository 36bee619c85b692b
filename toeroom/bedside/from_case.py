"""The tests a case states, as sheets. What it does not state stays unknown."""

from __future__ import annotations

from fractions import Fraction

from toeroom.bedside.circulation import FootPressures, circulation_sheet
from toeroom.bedside.feeling import feeling_sheet_of_counts
from toeroom.bedside.figures import FigureSheet
from toeroom.bedside.skin_temperature import temperature_sheet
from toeroom.bedside.wound import Wound, wound_sheet
from toeroom.case import Case
from toeroom.measures.calculated import present_sides
from toeroom.measures.temperature_watch import Reading
from toeroom.vocabulary import PERSON, SIDES

KNOWN = {"yes": True, "no": False}


def case_sheets(case: Case) -> list[FigureSheet]:
    """A sheet for every test of which the case states something, in the order they are done."""
    made = (_circulation(case), _feeling(case), _temperature(case), *(_wound(case, side) for side in SIDES))
    return [sheet for sheet in made if sheet]


def _circulation(case: Case) -> FigureSheet | None:
    feet = {}
    for side in present_sides(case):
        ankle = case.measures.get(("ankle_pressure_mmhg", side))
        toe = case.measures.get(("toe_pressure_mmhg", side))
        if ankle is not None or toe is not None:
            pressures = (ankle,) if ankle is not None else ()
            feet[side] = FootPressures(pressures, toe, None, _feeling_lost(case, side))
    arm = case.measures.get(("arm_pressure_mmhg", PERSON))
    if not feet:
        return None
    return circulation_sheet((arm,) if arm is not None else (), feet, highest_stated=True)


def _feeling_lost(case: Case, side: str) -> bool | None:
    """As stated, or by the filament: where the two disagree the safer holds."""
    if case.measures.get(("filament_sites_missed", side), 0) > 0:
        return True
    return KNOWN.get(case.finding("sensation_lost", side))


def _feeling(case: Case) -> FigureSheet | None:
    counts = {
        side: int(case.measures["filament_sites_missed", side])
        for side in present_sides(case)
        if ("filament_sites_missed", side) in case.measures
    }
    return feeling_sheet_of_counts(counts) if counts else None


def _temperature(case: Case) -> FigureSheet | None:
    left, right = (case.measures.get(("skin_temp_c", side)) for side in SIDES)
    hot = any(case.finding("hot_swollen_foot", side) == "yes" for side in SIDES)
    if left is None or right is None or len(present_sides(case)) < 2:
        return temperature_sheet((), hot_and_swollen=True) if hot else None
    return temperature_sheet((Reading(case.as_of, Fraction(left), Fraction(right)),), hot_and_swollen=hot)


def _wound(case: Case, side: str) -> FigureSheet | None:
    """The wound of a foot: site, area and depth are in no case, so its score is never whole."""
    if case.finding("open_wound", side) != "yes" or side not in present_sides(case):
        return None
    pulses = KNOWN.get(case.finding("pulses_absent", side))
    return wound_sheet(
        Wound(
            pulse_felt=None if pulses is None else not pulses,
            feeling_lost=_feeling_lost(case, side),
            infected=KNOWN.get(case.finding("infection_signs", side)),
        ),
        side,
    )
