"""Laying a foot's outline on a liner's, and what passes where."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import affinity

from toeroom.tracing.axis import Standing
from toeroom.tracing.outline import Points, polygons_of, ring_of
from toeroom.tracing.result import Doubt, OnLiner, Passing

REGIONS = (("heel", 0.08, 0.28), ("arch", 0.28, 0.55), ("ball", 0.55, 0.80))
"""Stretches of the sides, as shares of the foot's length; the heel's back lies on the liner's."""
TOES_FROM = 0.80
SOFT = 1.5
"""Millimetres over which the largest overhang and those near it weigh alike while the foot is laid."""
FINEST = (0.02, 0.01)
"""Where the search for the place ends: mm sideways, degrees."""
FURTHEST = (25.0, 15.0)
COARSE = 0.05
"""Millimetres by which the liner is simplified while the place is searched."""
FAR = 1000.0
"""Beyond any foot, mm."""


@dataclass(frozen=True, slots=True)
class Place:
    """How the foot is moved onto the liner: a turn in degrees about its heel, then a shift in mm."""

    turn: float
    x: float
    y: float

    def moved(self, shape: Any) -> Any:
        """A shapely shape of the foot where it comes to lie."""
        return affinity.translate(affinity.rotate(shape, self.turn, origin=(0, 0)), self.x, self.y)


def lay(foot: Standing, liner: Standing, foot_doubt: Doubt, liner_doubt: Doubt, side: str) -> OnLiner:
    """The foot on the liner, heel at heel, moved sideways and turned until it passes the liner least.

    So this is the least that hangs over: a foot that stands on the liner may show more. How far the foot
    passes is the largest distance of its edge from the liner, for each region of `REGIONS` on both edges and
    for the toes. side: left, right, or '' (then the edges are those of the picture with the toes up, not
    inner and outer).
    """
    place = best_place(foot.polygon, liner.polygon)
    laid = place.moved(foot.polygon)
    width_error = float(np.hypot(foot_doubt.at(foot.ball_width), liner_doubt.at(liner.ball_width)))
    length_error = float(np.hypot(foot_doubt.at(foot.length), liner_doubt.at(liner.length)))
    passings = [
        _passing(foot, liner, place, box, region, edge, width_error)
        for region, start, end in REGIONS
        for edge, box in _sides(foot.length, start, end, side)
    ]
    toes = shapely.box(-FAR, TOES_FROM * foot.length, FAR, FAR)
    passings.append(_passing(foot, liner, place, toes, "toes", "", length_error))
    return OnLiner(
        ring_of(laid),
        ring_of(liner.polygon),
        tuple(ring_of(piece) for piece in polygons_of(shapely.difference(laid, liner.polygon))),
        tuple(passings),
        float(liner.polygon.bounds[3] - laid.bounds[3]),
        length_error,
        place.turn,
    )


def best_place(foot: shapely.Polygon, liner: shapely.Polygon) -> Place:
    """Where the largest overhang beside and before the heel is least, the two heels level."""
    _, low, _, high = foot.bounds
    everywhere = shapely.get_coordinates(foot.exterior)
    watched = everywhere[everywhere[:, 1] > low + REGIONS[0][1] * (high - low)][::4]
    coarse = shapely.simplify(liner, COARSE)

    def cost(shift: float, turn: float) -> float:
        rise = liner.bounds[1] - float(_turned(everywhere, turn)[:, 1].min())
        beyond = signed(_turned(watched, turn) + np.array([shift, rise]), coarse)
        peak = float(beyond.max())
        # A smooth largest value: what is nearly so counts too, and a symmetric foot lies in the middle.
        return peak + SOFT * float(np.log(np.exp((beyond - peak) / SOFT).mean()))

    shift, turn = _search(cost)
    return Place(turn, shift, liner.bounds[1] - float(_turned(everywhere, turn)[:, 1].min()))


def signed(points: Points, liner: shapely.Polygon) -> Points:
    """How far each point lies beyond the liner's edge, mm; negative within."""
    distance = shapely.distance(shapely.points(points), liner.exterior)
    within = shapely.contains_xy(liner, points[:, 0], points[:, 1])
    found: Points = np.where(within, -distance, distance)
    return found


def _turned(points: Points, turn: float) -> Points:
    angle = np.radians(turn)
    matrix = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    found: Points = points @ matrix
    return found


def _search(cost: Callable[[float, float], float]) -> tuple[float, float]:
    """A pattern search from the middle: the steps halve where none of them betters the place."""
    at, best = (0.0, 0.0), cost(0.0, 0.0)
    step = (4.0, 2.0)
    while step[0] > FINEST[0] or step[1] > FINEST[1]:
        tries = [(at[0] + i * step[0], at[1] + j * step[1]) for i in (-1, 0, 1) for j in (-1, 0, 1) if i or j]
        inside = [t for t in tries if abs(t[0]) <= FURTHEST[0] and abs(t[1]) <= FURTHEST[1]]
        found = min((cost(*t), t) for t in inside)
        if found[0] < best - 1e-9:
            best, at = found
        else:
            step = (step[0] / 2, step[1] / 2)
    return at


def _sides(length: float, start: float, end: float, side: str) -> list[tuple[str, shapely.Polygon]]:
    """The two boxes of a region beside the foot's axis, each with the word for its edge."""
    low, high = start * length, end * length
    # Seen from above with the toes up, a left foot has its big toe on the right.
    words = {"left": ("outer", "inner"), "right": ("inner", "outer"), "": ("left edge", "right edge")}[side]
    return [(words[0], shapely.box(-FAR, low, 0, high)), (words[1], shapely.box(0, low, FAR, high))]


def _passing(
    foot: Standing,
    liner: Standing,
    place: Place,
    box: shapely.Polygon,
    region: str,
    edge: str,
    error: float,
) -> Passing:
    rim = place.moved(shapely.intersection(foot.polygon.exterior, box))
    over = shapely.difference(place.moved(shapely.intersection(foot.polygon, box)), liner.polygon)
    beyond = float(signed(shapely.get_coordinates(rim), liner.polygon).max())
    return Passing(region, edge, beyond, error, float(over.area))
