"""Which way an outline points, how long it is and how wide across the ball."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import affinity

from toeroom.errors import BadInput
from toeroom.tracing.outline import Outline, Points

HEEL_AT, FRONT_AT = 0.15, 0.70
"""Shares of the length, from the heel, at which the axis passes through the middle of the outline."""
BALL = (0.55, 0.80)
"""The ball region: shares of the length from the heel. Common practice puts the joints at 0.6 to 0.75."""
TELLS = 1.04
"""The front 40 % of a foot or liner is larger than the rear 40 % by at least this factor."""
TOES = {"up": (0.0, 1.0), "down": (0.0, -1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
"""Where the toes point in the picture, as a direction."""


@dataclass(frozen=True, slots=True)
class Standing:
    """An outline upright: heel on y = 0, toes up, axis on x = 0; mm. length, ball_width as in `measured`."""

    polygon: shapely.Polygon
    length: float
    ball_width: float


def measured(found: Outline, toes: str = "", *, mirrored: bool = False) -> Standing:
    """`found` set upright, and measured.

    The axis passes through the middle of the outline at `HEEL_AT` and at `FRONT_AT` of the length. The
    length lies along the axis, from the rearmost point of the heel to the foremost point of the toes. The
    ball width lies straight across the axis: from the innermost to the outermost point of the outline in the
    region `BALL`, as a calliper with jaws parallel to the axis takes it; the two points need not lie at the
    same height. `toes` says where the toes point (`TOES`); without it the wider end is the front. `mirrored`:
    the outline was taken from below.

    Raises `BadInput` where heel and toes cannot be told apart and `toes` does not say it.
    """
    polygon = affinity.scale(found.polygon, xfact=-1, origin=(0, 0)) if mirrored else found.polygon
    direction = _long_side(polygon)
    polygon = affinity.rotate(polygon, _to_upright(direction), origin=(0, 0))
    if _upside_down(polygon, direction, toes, found.source, mirrored):
        polygon = affinity.rotate(polygon, 180, origin=(0, 0))
    for _ in range(12):
        low, heel, front = _middles(polygon)
        lean = float(np.degrees(np.arctan2(front[0] - heel[0], front[1] - heel[1])))
        polygon = affinity.translate(polygon, -heel[0], -low)
        if abs(lean) < 1e-4:
            break
        polygon = affinity.rotate(polygon, lean, origin=(0, 0))
    _, low, _, high = polygon.bounds
    polygon = affinity.translate(polygon, 0, -low)
    length = high - low
    points = shapely.get_coordinates(band(polygon, *BALL))
    return Standing(polygon, float(length), float(np.ptp(points[:, 0])))


def band(polygon: shapely.Polygon, start: float, end: float) -> Any:
    """The part of an upright polygon between two shares of its length."""
    left, low, right, high = polygon.bounds
    length = high - low
    box = shapely.box(left - 1, low + start * length, right + 1, low + end * length)
    return shapely.intersection(polygon, box)


def _long_side(polygon: shapely.Polygon) -> Points:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(polygon))
    sides = np.diff(corners, axis=0)[:2]
    side: Points = sides[int(np.argmax(np.linalg.norm(sides, axis=1)))]
    side = side / np.linalg.norm(side)
    return side if side[1] > 0 or (side[1] == 0 and side[0] > 0) else -side


def _to_upright(direction: Points) -> float:
    return 90.0 - float(np.degrees(np.arctan2(direction[1], direction[0])))


def _upside_down(polygon: shapely.Polygon, direction: Points, toes: str, source: str, mirrored: bool) -> bool:
    """Whether the heel of the (long side upright) polygon is on top."""
    if toes:
        said = np.array(TOES[toes]) * (-1.0 if mirrored and toes in ("left", "right") else 1.0)
        along = float(said @ direction)
        if abs(along) < 0.5:
            raise BadInput(f"the outline does not lie with its toes {toes}", file=source, mend="check --toes")
        return along < 0
    front, rear = band(polygon, 0.6, 1.0).area, band(polygon, 0.0, 0.4).area
    if max(front, rear) < TELLS * min(front, rear):
        raise BadInput("heel and toes look alike", file=source, mend="say where the toes point: --toes up")
    return bool(rear > front)


def _middles(polygon: shapely.Polygon) -> tuple[float, Points, Points]:
    """The lowest y, and the middle of the outline at the heel and at the front."""
    left, low, right, high = polygon.bounds
    middles = []
    for share in (HEEL_AT, FRONT_AT):
        y = low + share * (high - low)
        across = shapely.intersection(polygon, shapely.LineString([(left - 1, y), (right + 1, y)]))
        reach = across.bounds
        middles.append(np.array([(reach[0] + reach[2]) / 2, y]))
    return float(low), middles[0], middles[1]
