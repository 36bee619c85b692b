"""The whole of a tracing: outlines read, measured, and laid on each other."""

from __future__ import annotations

from fractions import Fraction

import shapely

from toeroom.errors import BadInput
from toeroom.measures.plausibility import doubts
from toeroom.tracing.axis import TOES, Standing, measured
from toeroom.tracing.laying import best_place, lay, signed
from toeroom.tracing.outline import Outline, ring_of
from toeroom.tracing.reading import is_scan, read_outline, scale_of
from toeroom.tracing.result import OnLiner, Shape, Tracing

WRONG_SIDE = 3.0
"""Millimetres less that hang over where the foot is mirrored, from which the sides may be mixed up."""


def trace(
    foot: str,
    liner: str = "",
    *,
    side: str = "",
    scale: str = "",
    liner_scale: str = "",
    unit: str = "",
    toes: str = "",
    from_below: bool = False,
) -> Tracing:
    """The tracing of the foot outline in the file `foot`, on the liner in the file `liner` where named.

    side: left, right or ''. scale: as `reading.scale_of` takes it; `liner_scale` where the liner's scan has
    another. unit: what SVG units or CSV numbers are where the file does not say. toes: where they point in
    both pictures (up, down, left, right); without it the wider end is the front. from_below: the foot was
    taken from below, as a scanner's glass sees it. Raises `BadInput`, one line, for all that cannot be used.
    """
    for_foot = scale_of(scale) if scale else None
    for_liner = scale_of(liner_scale) if liner_scale else for_foot
    if scale and not any(is_scan(name) for name in (foot, liner) if name):
        raise BadInput("only a scan takes a scale", file="--scale", mend="an SVG or CSV states its unit")
    if toes and toes not in TOES:
        raise BadInput(f"'{toes[:20]}' is no direction of the toes", mend=f"use {', '.join(TOES)}")
    read_foot = read_outline(foot, "foot", for_foot, unit)
    foot_up = measured(read_foot, toes, mirrored=from_below)
    shape = _shape(read_foot, foot_up)
    if not liner:
        return Tracing(side, shape, warnings=tuple(_size_warnings(shape)))
    read_liner = read_outline(liner, "liner", for_liner, unit)
    liner_up = measured(read_liner, toes)
    laid = lay(foot_up, liner_up, read_foot.doubt, read_liner.doubt, side)
    warnings = [*_size_warnings(shape), *_mirror_warning(read_foot, liner_up, laid, toes, from_below)]
    return Tracing(side, shape, _shape(read_liner, liner_up), laid, tuple(warnings))


def _shape(read: Outline, up: Standing) -> Shape:
    return Shape(
        read.source, read.doubt, up.length, up.ball_width, float(up.polygon.area), ring_of(up.polygon)
    )


def _size_warnings(foot: Shape) -> list[str]:
    measures = {
        "foot_length_mm": Fraction(round(foot.length)),
        "ball_width_mm": Fraction(round(foot.ball_width)),
    }
    return list(doubts(measures, None))


def _mirror_warning(read: Outline, liner: Standing, laid: OnLiner, toes: str, from_below: bool) -> list[str]:
    """Says so where the foot fits markedly better mirrored: a liner of the other side, or seen from below."""
    as_said = max(edge.beyond for edge in laid.passings)
    if as_said < WRONG_SIDE:
        return []
    other = measured(read, toes, mirrored=not from_below)
    moved = best_place(other.polygon, liner.polygon).moved(other.polygon)
    mirrored = max(float(signed(shapely.get_coordinates(moved), liner.polygon).max()), 0.0)
    if as_said - mirrored < WRONG_SIDE:
        return []
    return [
        f"mirrored, the foot would pass the liner by {mirrored:.0f} instead of {as_said:.0f} mm: "
        "is the liner of the other side, or one of them seen from below?"
    ]
