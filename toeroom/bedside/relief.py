"""In-shoe pressure at the site at risk: whether relief is shown, by both texts and their edge."""

from __future__ import annotations

from fractions import Fraction

from toeroom.bedside.figures import Figure, FigureSheet
from toeroom.measures.rockers import RELIEF_LEVEL_KPA, RELIEF_SHARE, pressure_relief
from toeroom.vocabulary import PERSON
from toeroom.wording import number_in_words

RULE = f"under {RELIEF_LEVEL_KPA} kPa, or {RELIEF_SHARE} % less than in the shoe worn now"
SOURCE = "van Netten et al. 2018, rec. 8 (over 30 %); IWGDF 2023 (at least 30 %)"
EDGE = "exactly 30 %: shown by IWGDF 2023 (at least), not by van Netten 2018 (over)"
SENSORS = "sensor not said: 1 cm² in one text, 2 cm² in the other (from memory); write it beside the figure"


def relief_sheet(after: Fraction, before: Fraction | None, sensor: Fraction | None) -> FigureSheet:
    """The sheet for peak pressures in kPa; `before`: in the shoe worn now; `sensor`: in cm²."""
    found = pressure_relief(after, before)
    held = [
        words for holds, words in ((found.by_level, "by its level"), (found.by_share, "by its fall")) if holds
    ]
    says = f"relief shown {' and '.join(held)}" if held else "relief not shown"
    if not found.shown and before is None:
        says = "not shown by its level; its fall is not known"
    worked = (
        ""
        if before is None
        else f"from {_kpa(before)} to {_kpa(after)} kPa, {_kpa(found.fall_percent)} % less"
    )
    of = "" if sensor is None else f"sensor {_kpa(sensor)} cm²"
    return FigureSheet(
        "In-shoe pressure",
        (
            Figure(
                "in_shoe_pressure", PERSON, "peak at the site", after, says, RULE, SOURCE,
                ", ".join(part for part in (worked, of) if part), "kPa",
            ),
        ),
        (),
        () if before is not None else ("the pressure in the shoe worn now",),
        (*((EDGE,) if found.by_share and not found.strictly else ()), *(() if sensor else (SENSORS,))),
    )  # fmt: skip


def _kpa(value: Fraction | None) -> str:
    return "" if value is None else number_in_words(round(float(value), 1))
