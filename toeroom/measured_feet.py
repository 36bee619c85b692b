"""The measurements of both feet: from a case, or from what is stated by hand with units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from toeroom.case import Case
from toeroom.errors import BadInput, nearest
from toeroom.measures.calculated import present_sides
from toeroom.measures.entry import millimetres
from toeroom.measures.plausibility import slips
from toeroom.measures.populations import MEN, WOMEN
from toeroom.vocabulary import PERSON, SIDES, Measure, Vocabulary

MEASURES = (
    "foot_length_mm",
    "ball_length_mm",
    "ball_width_mm",
    "ball_girth_mm",
    "instep_girth_mm",
    "heel_width_mm",
    "toe_height_mm",
    "insert_thickness_mm",
    "shoe_inner_length_mm",
    "shoe_inner_width_mm",
    "shoe_toe_depth_mm",
)
"""What a report looks at, by vocabulary id."""
LAST_OF_SYSTEM = {"us_men": MEN, "us_women": WOMEN}


@dataclass(frozen=True, slots=True)
class Feet:
    """What was measured. measures: (id, side) to mm. last: men, women or None; system: one, or None for all.

    sitting, morning, swelling: how and on what it was measured, True where said so.
    """

    measures: Mapping[tuple[str, str], Fraction]
    sides: tuple[str, ...] = SIDES
    last: str | None = None
    system: str | None = None
    clearance: Fraction = Fraction(0)
    sitting: bool = False
    morning: bool = False
    swelling: tuple[str, ...] = ()

    def of(self, side: str) -> dict[str, Fraction]:
        """What is known of one foot, mm by id."""
        return {term: value for (term, at), value in self.measures.items() if at == side}


def feet_from_case(case: Case, *, last: str | None = None, clearance: Fraction = Fraction(0)) -> Feet:
    """What a case states of its feet. The last follows from a US size system where none is named."""
    sides = present_sides(case)
    system = case.choices.get("size_system")
    return Feet(
        {
            (term, side): Fraction(value)
            for (term, side), value in case.measures.items()
            if term in MEASURES and side in sides
        },
        sides,
        last or LAST_OF_SYSTEM.get(system or ""),
        system,
        clearance,
        sitting=case.finding("measured_sitting", PERSON) == "yes",
        morning=case.finding("measured_morning", PERSON) == "yes",
        swelling=tuple(side for side in sides if case.finding("swelling", side) == "yes"),
    )


def feet_from_words(
    words: Mapping[str, Sequence[str]],
    vocabulary: Vocabulary,
    *,
    last: str | None = None,
    system: str | None = None,
    clearance: str = "",
    sitting: bool = False,
    morning: bool = False,
    swelling: tuple[str, ...] = (),
) -> Feet:
    """What is stated by hand: for left and right texts such as `foot_length=262mm` or `ball width=4in`.

    A length alone (`262mm`) is the foot length. Names are the vocabulary's, with or without `_mm`.
    Raises `BadInput` for an unknown name, a length without a unit, one out of range, or one said twice.
    """
    found: dict[tuple[str, str], Fraction] = {}
    for side, texts in words.items():
        for text in texts:
            name, sign, value = text.partition("=")
            measure = _measure(name if sign else "foot_length", vocabulary)
            place = (measure.id, side)
            if place in found:
                raise BadInput(f"{side} {measure.label.lower()} is said twice", mend="leave one")
            found[place] = _in_range(measure, value if sign else text, side)
    room = millimetres(clearance, "the clearance") if clearance else Fraction(0)
    of_system = LAST_OF_SYSTEM.get(system or "")
    return Feet(
        found,
        SIDES,
        last or of_system,
        system,
        room,
        sitting=sitting,
        morning=morning,
        swelling=tuple(side for side in SIDES if side in swelling),
    )


def _measure(name: str, vocabulary: Vocabulary) -> Measure:
    wanted = "_".join(name.strip().lower().replace("-", " ").replace("_", " ").split())
    term = wanted if wanted.endswith("_mm") else f"{wanted}_mm"
    if term not in MEASURES:
        known = [measure.removesuffix("_mm") for measure in MEASURES]
        raise BadInput(
            f"'{name.strip()[:40]}' is not a measurement here",
            mend=nearest(wanted, known) or f"use {', '.join(known)}",
        )
    return vocabulary.measures[term]


def _in_range(measure: Measure, text: str, side: str) -> Fraction:
    what = f"{side} {measure.label.lower()}"
    value = millimetres(text, what)
    if not measure.low <= value <= measure.high:
        guesses = "".join(
            f"; {float(value):g} {unit} would be {float(mm):g} mm"
            for unit, mm in slips(value, measure.low, measure.high)
        )
        raise BadInput(
            f"{what} {float(value):g} mm is out of range",
            mend=f"{measure.low} to {measure.high} mm{guesses}",
        )
    return value
