"""A closed outline in millimetres, and what it must be to be measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from toeroom.errors import BadInput
from toeroom.tracing.result import Doubt, Ring

Points = NDArray[np.float64]
"""Points in mm, one a row: x to the right, y up."""
SHORTEST, LONGEST = 90.0, 420.0
"""Millimetres between which the long side of a foot or liner lies; beyond, the scale is wrong."""
NARROWEST, WIDEST = 0.22, 0.65
"""The short side over the long one."""
STEP = 1.0
"""Millimetres between the points an outline is measured on."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A simple polygon in mm and how far it may be off. `source` is the file as faults call it."""

    polygon: shapely.Polygon
    doubt: Doubt
    source: str


def outline(points: Points, doubt: Doubt, source: str) -> Outline:
    """The outline through `points` (n by 2, mm, closed by its last side), in steps of at most `STEP`.

    Raises `BadInput` for fewer than 8 points, one that is not finite, a line that crosses itself, or
    what is no foot or liner by its size or its proportions.
    """
    kept = _without_repeats(np.asarray(points, dtype=np.float64), source)
    if len(kept) < 8:
        raise BadInput(f"{len(kept)} points make no outline", file=source, mend="give at least 8, all round")
    _sized(kept, source)
    polygon = shapely.Polygon(kept)
    if not polygon.is_valid:
        where = shapely.is_valid_reason(polygon).partition("[")[2].rstrip("]").split()
        at = f" near x {float(where[0]):.0f}, y {float(where[1]):.0f} mm" if len(where) >= 2 else ""
        raise BadInput(
            f"the outline crosses itself{at}",
            file=source,
            mend="draw it as one line that meets only its start",
        )
    return Outline(shapely.segmentize(polygon, STEP), doubt, source)


def _without_repeats(points: Points, source: str) -> Points:
    if not np.isfinite(points).all() or np.abs(points).max(initial=0.0) > 1e6:
        raise BadInput("a point of the outline is no place on paper", file=source, mend="give millimetres")
    moved = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1) > 1e-6
    kept: Points = points[moved]
    return kept


def _sized(points: Points, source: str) -> None:
    box = shapely.minimum_rotated_rectangle(shapely.MultiPoint(points))
    if not isinstance(box, shapely.Polygon):
        raise BadInput("all points lie on one line", file=source, mend="draw the outline all round")
    corners = shapely.get_coordinates(box)
    short, long = sorted(float(np.linalg.norm(corners[i + 1] - corners[i])) for i in (0, 1))
    if not SHORTEST <= long <= LONGEST:
        guesses = [
            name
            for name, factor in (("centimetres", 10.0), ("inches", 25.4), ("tenths of a mm", 0.1))
            if SHORTEST <= long * factor <= LONGEST
        ]
        mend = f"are these {' or '.join(guesses)}?" if guesses else "check the unit and the scale"
        raise BadInput(f"the outline is {long:.3g} mm long, no foot or liner", file=source, mend=mend)
    if not NARROWEST <= short / long <= WIDEST:
        raise BadInput(
            f"the outline is {long:.0f} by {short:.0f} mm, no shape of a foot or liner",
            file=source,
            mend="trace one foot or one liner, all round",
        )


def ring_of(polygon: shapely.Polygon) -> Ring:
    """The outer line of a polygon, in plain numbers."""
    return tuple((float(x), float(y)) for x, y in shapely.get_coordinates(polygon.exterior)[:-1])


def polygons_of(shape: Any) -> list[shapely.Polygon]:
    """The polygons a shapely result is made of; lines and points that are left over are not."""
    parts: Sequence[Any] = getattr(shape, "geoms", [shape])
    return [part for part in parts if isinstance(part, shapely.Polygon) and not part.is_empty]
