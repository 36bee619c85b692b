"""Measurements that look wrong: outside what soldiers' feet show, slips of unit, odd proportions.

Every one is a reason to measure again, none a verdict on a foot. Source: ANSUR II (populations.py).
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from toeroom.measures.lengths import INCH
from toeroom.measures.populations import BALL_SHARE, LASTS, SPREADS
from toeroom.measures.sizes import Length

NAMES = {
    "foot_length_mm": "foot length",
    "ball_length_mm": "ball length",
    "ball_width_mm": "ball width",
    "ball_girth_mm": "ball girth",
    "heel_width_mm": "heel width",
}
GIRTH_PER_WIDTH = (Fraction("2.2"), Fraction("2.8"))
"""Girth over width at the ball: beyond this, four to five standard deviations off (ANSUR II, derived)."""

SLIPS = (
    ("centimetres", Fraction(10)),
    ("inches", INCH),
    ("tenths of a millimetre", Fraction(1, 10)),
)


def slips(value: Length, low: Length, high: Length) -> tuple[tuple[str, Fraction], ...]:
    """The units in which a `value` outside `low` to `high` mm would lie inside, each with its millimetres."""
    number = Fraction(value)
    if low <= number <= high:
        return ()
    return tuple((unit, number * factor) for unit, factor in SLIPS if low <= number * factor <= high)


def limits(measure: str, last: str | None, low: int = 1, high: int = 99) -> tuple[Fraction, Fraction]:
    """Percentiles `low` and `high` of a group in mm; without a last, the widest of both groups."""
    spreads = [SPREADS[measure][name] for name in LASTS if last in (None, name)]
    return min(s.at[low] for s in spreads), max(s.at[high] for s in spreads)


def extremes(measure: str, last: str | None = None) -> tuple[Fraction, Fraction]:
    """The smallest and largest foot of the survey in mm."""
    spreads = [SPREADS[measure][name] for name in LASTS if last in (None, name)]
    return min(s.least for s in spreads), max(s.most for s in spreads)


def doubts(measures: Mapping[str, Fraction], last: str | None) -> tuple[str, ...]:
    """What looks wrong about one foot, a sentence each. `measures` are mm by vocabulary id."""
    found = [_range_doubt(measure, measures[measure], last) for measure in NAMES if measure in measures]
    found += [_ball_doubt(measures, last), _girth_doubt(measures)]
    return tuple(text for text in found if text)


def _range_doubt(measure: str, value: Fraction, last: str | None) -> str:
    low, high = limits(measure, last)
    if low <= value <= high:
        return ""
    whose = f"{last}'s" if last else "men's and women's"
    least, most = extremes(measure)
    name = f"{NAMES[measure]} {_mm(value)}"
    if measure == "foot_length_mm" and not least <= value <= most:
        return f"{name}: no foot of the survey was under {_mm(least)} or over {_mm(most)}; measure again"
    where = "under" if value < low else "over"
    limit = low if value < low else high
    more = "; look for swelling or a deformity" if value > high and measure != "foot_length_mm" else ""
    return f"{name} is {where} {_mm(limit)}, where all but 1 in 100 {whose} feet end; measure again{more}"


def _ball_doubt(measures: Mapping[str, Fraction], last: str | None) -> str:
    foot, ball = measures.get("foot_length_mm"), measures.get("ball_length_mm")
    if foot is None or ball is None:
        return ""
    shares = [BALL_SHARE[name] for name in LASTS if last in (None, name)]
    share, low, high = ball / foot, min(s.p5 for s in shares), max(s.p95 for s in shares)
    if low <= share <= high:
        return ""
    return (
        f"the ball lies at {float(share):.3f} of the foot, outside {float(low):g} to {float(high):g} "
        "(nine in ten feet); measure both again"
    )


def _girth_doubt(measures: Mapping[str, Fraction]) -> str:
    width, girth = measures.get("ball_width_mm"), measures.get("ball_girth_mm")
    if width is None or girth is None:
        return ""
    share = girth / width
    low, high = GIRTH_PER_WIDTH
    if low <= share <= high:
        return ""
    return (
        f"the girth is {float(share):.2f} times the width, outside {float(low):g} to {float(high):g}; "
        "a tape misread or mixed units: measure both again"
    )


def _mm(value: Fraction) -> str:
    return f"{float(round(value, 1)):g} mm"
