"""A ruler of known length in a scan: a straight dark bar that is found, or two marks given in pixels.

A ruler sets the scale and cannot show a slanted view: it is for flatbed scans and for photographs from
straight above. A bar that is wider at one end betrays a slant along it and is refused.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from toeroom.errors import BadInput
from toeroom.tracing.ink import dark, evened
from toeroom.tracing.outline import Points
from toeroom.tracing.raster import Grey
from toeroom.tracing.sheet import Flat

LONGEST_SIDE = 3600
"""Pixels of the longer side of the picture that is worked on; a larger scan is made smaller."""
SLIMMEST, STOUTEST = 60.0, 5.0
"""A bar is at most and at least this many times as long as wide."""
FILLED = 0.88
"""Share of its rectangle that a bar fills."""
TAPER = 0.04
"""A bar whose ends differ in width by more than this share shows a slanted view."""
SEEN = 1.0
"""Pixels by which the end of a bar or a mark may be missed."""
STRAIGHT_ABOVE = 0.003
"""Share of a length allowed for a view that is not quite straight (a tilt of about 4 degrees, across)."""


@dataclass(frozen=True, slots=True)
class Marks:
    """Two marks in the picture, in pixels of the file, and how far apart they are in mm."""

    millimetres: float
    points: tuple[tuple[float, float], tuple[float, float]] | None = None


def flat_by_ruler(grey: Grey, marks: Marks, path: str) -> tuple[Flat, Points | None]:
    """`grey` with its scale set by a ruler, and the bar's corners where one was found, in its pixels.

    Raises `BadInput` where there is no bar or more than one, or it shows a slanted view.
    """
    factor = min(1.0, LONGEST_SIDE / max(grey.shape))
    if factor < 1:
        grey = cv2.resize(grey, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA).astype(np.uint8)
    if marks.points is not None:
        ends = (np.array(marks.points) + 0.5) * factor - 0.5
        limit = np.array([grey.shape[1], grey.shape[0]])
        if (ends < -0.5).any() or (ends > limit).any():
            raise BadInput("a mark of the ruler lies outside the picture", file=path, mend="check its pixels")
        pixels, bar, taper = float(np.linalg.norm(ends[1] - ends[0])), None, 0.0
        basis = f"two marks given, {marks.millimetres:g} mm apart"
    else:
        pixels, bar, taper = _bar(grey, path)
        basis = f"a straight bar of {marks.millimetres:g} mm"
    if pixels < 100:
        raise BadInput(
            "the ruler is shorter than 100 pixels", file=path, mend="scan finer, or a longer ruler"
        )
    per_mm = pixels / marks.millimetres
    if not 1.0 <= per_mm <= 60:
        raise BadInput(
            f"the scale gives {per_mm:.2g} pixels a mm", file=path, mend="check the ruler's length"
        )
    share = float(np.hypot(2 * SEEN / pixels, np.hypot(STRAIGHT_ABOVE, taper / 2)))
    return Flat(grey, per_mm, 1 / per_mm, share, 0.0, basis), bar


def _bar(grey: Grey, path: str) -> tuple[float, Points, float]:
    """Length in pixels of the one bar, its corners (a little outside), and the share by which it tapers."""
    shown = dark(evened(grey), 4.0, path)
    contours, _ = cv2.findContours(shown, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    bars = []
    for contour in contours:
        middle, sides, angle = cv2.minAreaRect(contour)
        short, long = sorted(sides)
        if long < 0.06 * max(grey.shape) or not STOUTEST <= long / max(short, 1.0) <= SLIMMEST:
            continue
        if cv2.contourArea(contour) >= FILLED * short * long:
            bars.append((contour.reshape(-1, 2).astype(np.float64), (middle, sides, angle)))
    if len(bars) != 1:
        what = "no ruler was found" if not bars else f"{len(bars)} bars could be the ruler"
        mend = "lay a dark straight bar of that length beside it, or give two marks: ruler:100mm@X,Y:X,Y"
        raise BadInput(what, file=path, mend=mend)
    rim, box = bars[0]
    length, taper = _length_and_taper(rim)
    if taper > TAPER:
        raise BadInput(
            "the ruler is wider at one end: the view is slanted", file=path, mend="use a sheet instead"
        )
    middle, sides, angle = box
    grown = (middle, (sides[0] + 8, sides[1] + 8), angle)
    return length, cv2.boxPoints(grown).astype(np.float64), taper


def _length_and_taper(rim: Points) -> tuple[float, float]:
    way = cv2.fitLine(rim.astype(np.float32), cv2.DIST_L2, 0, 0.01, 0.01).ravel()[:2].astype(np.float64)
    centred = rim - rim.mean(axis=0)
    along, across = centred @ way, centred @ np.array([-way[1], way[0]])
    wide = float(np.ptp(across))
    ends = [along[np.abs(across) < 0.3 * wide]] if wide > 4 else [along]
    low, high = ends[0][ends[0] < 0], ends[0][ends[0] > 0]
    # Half a pixel at either end: the rim runs through the middle of the outermost pixels.
    length = float(np.median(high[high > high.max() - 3]) - np.median(low[low < low.min() + 3])) + 1.0
    shares = along / length
    widths = []
    for start in (-0.45, 0.25):
        part = (shares > start) & (shares < start + 0.2)
        above, below = across[part & (across > 0)], across[part & (across < 0)]
        widths.append(float(above.mean() - below.mean()) + 1.0 if above.size and below.size else wide)
    difference = abs(widths[0] - widths[1])
    # Less than a third of a pixel cannot be told from noise.
    return length, max(difference - 0.35, 0.0) / max(widths) / 0.7
