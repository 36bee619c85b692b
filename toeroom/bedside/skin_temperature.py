"""Skin temperature of both feet at the same spot, day by day. Worked in °C; °F is converted exactly."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction

from toeroom.bedside.figures import Figure, FigureSheet
from toeroom.measures.temperature_watch import ALARM, LIMIT, RECHECK, Reading, over, watch
from toeroom.vocabulary import PERSON
from toeroom.wording import number_in_words

RULE = "over 2.2 °C on the same foot on two days running; one reading is no alarm"
SOURCE = "Lavery et al. 2004; Wijlens et al., Int Wound J (8.5 % of single readings, 0.3 % confirmed)"
FOUR_F = Fraction(20, 9)
"""4 °F as a difference in °C; the sources print 2.2."""
HOT = "hot, red and swollen: not fitted, and no second day is waited for; a foot service today"


def temperature_sheet(
    readings: Sequence[Reading], usual: Fraction = Fraction(0), *, hot_and_swollen: bool = False
) -> FigureSheet:
    """The sheet for readings of different days; `usual` is the person's own left-over-right difference."""
    ordered = sorted(readings, key=lambda reading: reading.day)
    said, foot = watch(ordered, usual, hot_and_swollen=hot_and_swollen)
    figures = [_difference(reading, usual) for reading in ordered]
    if ordered:
        where = f" ({foot} foot)" if foot else ""
        figures.append(
            Figure("skin_temperature", PERSON, "taken together", None, f"{said}{where}", RULE, SOURCE)
        )
    return FigureSheet(
        "Skin temperature",
        tuple(figures),
        (HOT,) if hot_and_swollen else (),
        () if ordered else ("both feet at the same spot",),
        tuple(_notes(ordered, usual, said, foot)),
    )


def _difference(reading: Reading, usual: Fraction) -> Figure:
    difference = reading.difference(usual)
    warm = over(difference)
    warmer = "left" if difference > 0 else "right"
    says = f"{warm} over 2.2 °C warmer" if warm else f"{warmer} warmer" if difference else "alike"
    corrected = f", less the usual {_signed(usual)}" if usual else ""
    worked = f"{_degrees(reading.left)} − {_degrees(reading.right)}{corrected}"
    return Figure(
        "skin_difference", PERSON, f"{reading.day} left over right", difference, says,
        "left less right, less the person's usual difference", "Wijlens et al., Int Wound J", worked, "°C",
    )  # fmt: skip


def _notes(readings: Sequence[Reading], usual: Fraction, said: str, foot: str) -> Iterable[str]:
    for reading in readings:
        if LIMIT < abs(reading.difference(usual)) <= FOUR_F:
            yield f"{reading.day}: over 2.2 °C and not over 4 °F (2.22 °C); sources print both"
    if said == RECHECK and len(readings) > 1:
        yield "not confirmed by a reading of the day before: the same spot again tomorrow"
    if said == ALARM and foot:
        yield "two days running: in the international guideline from memory"


def _degrees(value: Fraction) -> str:
    return number_in_words(float(value))


def _signed(value: Fraction) -> str:
    return f"{'+' if value > 0 else '−'}{_degrees(abs(value))}"
