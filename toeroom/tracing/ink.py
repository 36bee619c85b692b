"""What is drawn or lies on a light ground: the light evened out, and the dark shapes found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from toeroom.errors import BadInput
from toeroom.tracing.outline import Points, polygons_of
from toeroom.tracing.raster import Grey
from toeroom.tracing.sheet import Flat

MARGIN = 3.0
"""Millimetres along the edge of the scan that are not looked at."""
GAP = 2.5
"""Millimetres of a broken pencil line that are taken as one line."""
SMALLEST = 60.0
"""Millimetres: what is shorter is dirt, writing or a mark."""
RIVAL = 0.35
"""A second shape of this share of the largest makes it unclear which is meant."""
THICKEST_LINE = 8.0
TICK = 4.0
"""Half the thickness, in mm, of a mark across the line that is not taken as part of the foot."""
CALMED = 0.25
"""Millimetres over which noise is averaged."""
FAINTEST = 0.06
"""By how much ink is darker than the paper, at least."""


@dataclass(frozen=True, slots=True)
class Found:
    """The outline in mm (y up), and by how much the line it was drawn with leaves open where it runs, mm."""

    points: Points
    line: float


def evened(grey: Grey) -> NDArray[np.float32]:
    """`grey` over the brightness of the paper, a surface of the second degree fitted to it: paper is 1."""
    small = cv2.resize(grey, (64, 64), interpolation=cv2.INTER_AREA).astype(np.float64)
    y, x = np.mgrid[-1:1:64j, -1:1:64j]
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    rim = np.zeros((64, 64), dtype=bool)
    rim[:8], rim[-8:], rim[:, :8], rim[:, -8:] = True, True, True, True
    paper = rim & (small > 0.5 * np.median(small[rim]))
    surface = np.full_like(small, float(np.median(small[rim])))
    for _ in range(6):
        if paper.sum() < 60:
            break
        fitted, *_ = np.linalg.lstsq(terms[paper], small[paper], rcond=None)
        surface = np.clip(terms @ fitted, 8.0, 400.0)
        paper = (small > 0.93 * surface) & (small < 1.15 * surface)
    full = cv2.resize(
        surface.astype(np.float32), (grey.shape[1], grey.shape[0]), interpolation=cv2.INTER_CUBIC
    )
    found: NDArray[np.float32] = (grey.astype(np.float32) / np.maximum(full, 4.0)).astype(np.float32)
    return found


def dark(flat: NDArray[np.float32], per_mm: float, path: str) -> NDArray[np.uint8]:
    """1 where ink or a darker thing is, up to halfway between it and the paper; `BadInput` where none is."""
    calm = cv2.GaussianBlur(flat, (0, 0), max(CALMED * per_mm, 1.0))
    levels = np.clip(calm * 200, 0, 255).astype(np.uint8)
    level, _ = cv2.threshold(levels, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    below = calm[levels <= level]
    paper = float(np.median(calm[levels > level])) if (levels > level).any() else 1.0
    ink = float(np.median(below)) if below.size else paper
    if paper - ink < FAINTEST or below.size < 50:
        raise BadInput("nothing darker than the paper is to be seen", file=path, mend="use a dark, thin line")
    shown: NDArray[np.uint8] = (calm < (paper + ink) / 2).astype(np.uint8)
    return shown


def outline_on(flat: Flat, path: str, *, without: Points | None = None) -> Found:
    """The one closed outline in a flattened scan: a line round a foot, or a darker thing such as a liner.

    Of a line its middle is taken. `without`: a shape (pixels) to leave out, such as the ruler. Raises
    `BadInput` where there is none or more than one, where it is open, or runs into the edge of the scan.
    """
    light = evened(flat.grey)
    if without is not None:
        # Before the level is chosen: ink is often paler than a ruler.
        cv2.fillPoly(light, [np.round(without).astype(np.int32)], 1.0)
    shown = dark(light, flat.per_mm, path)
    edge = round(MARGIN * flat.per_mm)
    frame = np.zeros_like(shown)
    frame[edge:-edge, edge:-edge] = 1
    wide = max(round(GAP * flat.per_mm) | 1, 3)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (wide, wide))
    joined = cv2.morphologyEx(shown * frame, cv2.MORPH_CLOSE, kernel).astype(np.uint8)
    outer, holes = _largest(joined, flat.per_mm, edge, path)
    return _measured(outer, holes, flat, path)


def _largest(joined: NDArray[np.uint8], per_mm: float, edge: int, path: str) -> tuple[Points, list[Points]]:
    """The largest dark shape's outer line and its holes, in pixels."""
    contours, tree = cv2.findContours(joined, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    least = SMALLEST * per_mm
    outers = [
        index
        for index, contour in enumerate(contours)
        if tree[0][index][3] < 0 and max(cv2.minAreaRect(contour)[1]) > least
    ]
    if not outers:
        raise BadInput("no outline is to be seen", file=path, mend="trace it with a dark, closed line")
    areas = {index: cv2.contourArea(cv2.convexHull(contours[index])) for index in outers}
    order = sorted(outers, key=lambda index: areas[index], reverse=True)
    largest = contours[order[0]].reshape(-1, 2)
    limit = np.array([joined.shape[1], joined.shape[0]]) - edge - 2
    if (largest < edge + 1).any() or (largest > limit).any():
        raise BadInput(
            "the outline runs into the edge of the sheet or scan", file=path, mend="use a larger one"
        )
    if len(order) > 1 and areas[order[1]] > RIVAL * areas[order[0]]:
        raise BadInput(
            "more than one outline is to be seen", file=path, mend="cut the scan so that one is left"
        )
    holes = [
        contours[index].reshape(-1, 2).astype(np.float64)
        for index in range(len(contours))
        if tree[0][index][3] == order[0] and len(contours[index]) > 20
    ]
    return largest.astype(np.float64), holes


def _measured(outer: Points, holes: list[Points], flat: Flat, path: str) -> Found:
    # The line through the middle of the outermost dark pixels lies half a pixel inside the shape.
    whole = shapely.make_valid(shapely.Polygon(outer)).buffer(0.5)
    hole = max(
        (shapely.make_valid(shapely.Polygon(ring)).buffer(-0.5) for ring in holes), key=_area, default=None
    )
    line = 0.0
    if hole is not None and hole.area > 0.5 * whole.area:
        line = float((whole.area - hole.area) / ((whole.length + hole.length) / 2)) / flat.per_mm
        if line > THICKEST_LINE:
            raise BadInput(
                f"the line is {line:.0f} mm thick", file=path, mend="use a thin pencil, held upright"
            )
        whole = whole.buffer(-line * flat.per_mm / 2)
    elif whole.area < 0.6 * whole.convex_hull.area or cv2.arcLength(outer.astype(np.float32), True) > 1.6 * (
        whole.convex_hull.length
    ):
        raise BadInput("the outline is open", file=path, mend="close the line and scan it again")
    largest = max(polygons_of(whole.buffer(-TICK * flat.per_mm).buffer(TICK * flat.per_mm)), key=_area)
    smooth = shapely.simplify(largest, 0.3).exterior
    pixels = shapely.get_coordinates(smooth)[:-1]
    return Found((pixels + 0.5) / flat.per_mm * np.array([1.0, -1.0]), line)


def _area(shape: Any) -> float:
    return float(shape.area)
