"""What a clinician stated of a wound, in the scores a referral note or a letter uses.

A score tells another clinician what was seen. No score decides, and none foretells what becomes of
one person; the items are written beside it, and what nobody stated stays open.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from toeroom.bedside.figures import Figure, FigureSheet
from toeroom.measures.wound_scores import (
    INFECTION_SIGNS,
    ITEMS,
    SINBAD_SLOWER,
    WAGNER,
    Sinbad,
    infection_grade,
    sinbad,
    texas_grades,
)
from toeroom.vocabulary import PERSON

SINBAD_RULE = "one point an item of six; area from 1.0 cm² on (some papers: over 1)"
SINBAD_SOURCE = "World J Diabetes 2022;13:1049, Table 4; Australian wound guideline 2021, Table 3"
SLOWER = (
    f"from {SINBAD_SLOWER} on healing took longer in 449 people (Ince et al. 2008); of one it says nothing"
)
INFECTION_RULE = "two signs; redness from 2 cm or deeper is 3 (older tables: over 2 cm), two systemic signs 4"
INFECTION_SOURCE = "EFORT Open Rev 2018; Clin Diabetes Endocrinol 2020; 2 cm exactly from memory"
TEXAS_RULE = (
    "0 healed, I superficial, II tendon, capsule, III bone, joint; A clean, B infected, C ischaemic, D both"
)
TEXAS_SOURCE = "World J Diabetes 2022;13:1049, Table 2"
WAGNER_SOURCE = "World J Diabetes 2022;13:1049, Table 1"
REDNESS_COUNTS = Decimal("0.5")
STOP = "a wound: this foot is not fitted; a wound or foot service within one working day (NICE NG19)"
GRAVE = "infection, dead tissue or no pulse with a wound: this foot is not fitted; a clinician at once"


@dataclass(frozen=True, slots=True)
class Wound:
    """What a clinician stated; None where nothing was. reaches: healed, superficial, tendon or bone.

    redness_cm: about the wound. signs, systemic: by name, None where not looked for. wagner: of a letter.
    """

    hindfoot_or_midfoot: bool | None = None
    pulse_felt: bool | None = None
    feeling_lost: bool | None = None
    infected: bool | None = None
    area_cm2: Decimal | None = None
    reaches: str | None = None
    redness_cm: Decimal | None = None
    signs: frozenset[str] | None = None
    systemic: frozenset[str] | None = None
    wagner: int | None = None


def wound_sheet(wound: Wound, side: str = PERSON) -> FigureSheet:
    """The sheet of one wound, on a foot or on one not named."""
    made = (_sinbad(wound, side), _texas(wound, side), _infection(wound, side), _wagner(wound, side))
    figures = tuple(figure for figure in made if figure)
    score = score_of(wound)
    missing = score.missing if made[0] else ()
    notes = (f"for the note: {score.note()}", SLOWER) if made[0] else ()
    return FigureSheet("Wound", figures, tuple(_stop(wound, side)), missing, notes)


def score_of(wound: Wound) -> Sinbad:
    """The SINBAD of what was stated."""
    return sinbad(
        hindfoot_or_midfoot=wound.hindfoot_or_midfoot,
        pulse_felt=wound.pulse_felt,
        feeling_lost=wound.feeling_lost,
        infected=wound.infected,
        area_cm2=wound.area_cm2,
        deep=_deep(wound),
    )


def _deep(wound: Wound) -> bool | None:
    return None if wound.reaches is None else wound.reaches in ("tendon", "bone")


def _sinbad(wound: Wound, side: str) -> Figure | None:
    score = score_of(wound)
    if len(score.missing) == len(ITEMS):
        return None
    says = "to communicate, not to decide"
    return Figure("sinbad", side, "SINBAD", score.score, says, SINBAD_RULE, SINBAD_SOURCE, unit="of 6")


def _texas(wound: Wound, side: str) -> Figure | None:
    if wound.reaches is None:
        return None
    ischaemic = None if wound.pulse_felt is None else not wound.pulse_felt
    grades = texas_grades(reaches=wound.reaches, infected=wound.infected, ischaemic=ischaemic)
    says = "" if len(grades) == 1 else "as what is not known turns out"
    return Figure("texas", side, "Texas grade and stage", " or ".join(grades), says, TEXAS_RULE, TEXAS_SOURCE)


def _infection(wound: Wound, side: str) -> Figure | None:
    if wound.signs is None:
        return None
    redness = wound.redness_cm
    signs = set(wound.signs) - ({"redness"} if redness is not None else set())
    if redness is not None and redness > REDNESS_COUNTS:
        signs.add("redness")
    grade = infection_grade(
        signs=len(signs),
        redness_cm=redness if redness is not None or "redness" in signs else Decimal(0),
        deeper=_deep(wound),
        systemic_signs=None if wound.systemic is None else len(wound.systemic),
    )
    says = f"of {len(signs)} of {len(INFECTION_SIGNS)} signs, as described; a clinician grades it"
    return Figure("infection_grade", side, "infection grade", grade, says, INFECTION_RULE, INFECTION_SOURCE)


def _wagner(wound: Wound, side: str) -> Figure | None:
    if wound.wagner is None:
        return None
    says, rule = WAGNER[wound.wagner], "what the grade in a letter means"
    return Figure("wagner", side, "Wagner", wound.wagner, says, rule, WAGNER_SOURCE)


def _stop(wound: Wound, side: str) -> Iterable[str]:
    if wound.reaches == "healed" or wound.wagner == 0:
        return
    two_signs = wound.signs is not None and len(wound.signs) >= 2
    dead = wound.wagner is not None and wound.wagner >= 3
    grave = wound.infected or wound.pulse_felt is False or two_signs or dead or bool(wound.systemic)
    yield ("" if side == PERSON else f"{side} foot: ") + (GRAVE if grave else STOP)
