"""A sheet of known size in a photograph: its four corners set the scale and take the slant out."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from toeroom.errors import BadInput
from toeroom.tracing.outline import Points
from toeroom.tracing.raster import Grey

SHEETS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a3": (297.0, 420.0), "legal": (215.9, 355.6)}
"""Short and long side in mm."""
TOLERANCE = 1.0
"""Millimetres by which a bought sheet may miss its size on the long side (common practice)."""
LOOKED_AT = 1400
"""Pixels of the longer side of the small picture in which the sheet is looked for."""
LEAST_SHARE = 0.05
"""Of the picture: a smaller sheet gives no outline worth measuring."""
FINEST = 8.0
"""Pixels a millimetre in the flattened picture, at most."""
ODD = 0.045
"""A sheet whose sides seem to miss their proportion by more than this share is not the one named."""
COMMON = 0.78
"""The focal length of a common camera over the longer side of its picture."""
LEANS = 0.12
"""Tilt (its sine) in both directions from which the focal length can be told."""
BENT = 0.7
"""Millimetres by which an edge may leave a straight line: beyond, the paper curls or the lens bends."""


@dataclass(frozen=True, slots=True)
class Flat:
    """A scan seen straight down.

    grey: the picture; per_mm: its pixels a millimetre; source_pixel: mm of the coarsest pixel of the scan
    itself; share: error of a length from the scale; residual: mm by which the edges that gave the scale miss
    a straight line; basis: what the scale rests on, in words.
    """

    grey: Grey
    per_mm: float
    source_pixel: float
    share: float
    residual: float
    basis: str


def flat_by_sheet(grey: Grey, kind: str, path: str) -> Flat:
    """`grey` flattened by the sheet `kind` (`SHEETS`) that shows with all four corners on a darker ground.

    Raises `BadInput` where no such sheet is found, it is cut off, curled, or has another shape than said.
    """
    rough = _rough_corners(grey, path)
    corners, off = _refined(grey, rough)
    short, long = SHEETS[kind]
    corners, upright = _oriented(corners, grey.shape, kind, path)
    wide, high = (short, long) if upright else (long, short)
    millimetres = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], dtype=np.float64)
    to_mm = _homography(corners, millimetres)
    pixel = _coarsest_pixel(to_mm, corners)
    residual = off * pixel
    if residual > BENT:
        raise BadInput(
            f"the sheet's edges are bent by {residual:.1f} mm",
            file=path,
            mend="press it flat; stand further off",
        )
    per_mm = float(np.clip(2.0 / pixel, 4.0, FINEST))
    # cv2 counts pixel centres: mm 0 lies half a pixel before the first.
    scale = np.array([[per_mm, 0, -0.5], [0, per_mm, -0.5], [0, 0, 1]])
    size = (round(wide * per_mm), round(high * per_mm))
    flat = cv2.warpPerspective(
        grey, scale @ to_mm, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    share = float(np.hypot(TOLERANCE / long, 2 * residual / short))
    basis = f"the four corners of a sheet {kind} ({wide:g} by {high:g} mm)"
    return Flat(flat.astype(np.uint8), per_mm, pixel, share, residual, basis)


def _rough_corners(grey: Grey, path: str) -> Points:
    factor = min(1.0, LOOKED_AT / max(grey.shape))
    shrunk = cv2.resize(grey, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(shrunk, (0, 0), 2.0).astype(np.uint8)
    middle, _ = cv2.threshold(small, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    best: tuple[float, Points] | None = None
    cut = False
    for shift in (0, -15, 15, -30, 30, 45, -45, 60):
        found = _quadrangle(small, float(middle) + shift)
        if found is None:
            continue
        fill, quad = found
        edge = np.array([small.shape[1], small.shape[0]]) - 3.0
        if (quad < 2.0).any() or (quad > edge).any():
            cut = True
            continue
        if best is None or fill > best[0]:
            best = (fill, quad)
    if best is None:
        what = "the sheet is cut off by the picture's edge" if cut else "no sheet was found"
        raise BadInput(
            what, file=path, mend="lay it on a darker floor, all four corners in the picture, or use a ruler"
        )
    quad = best[1]
    placed: Points = (quad + 0.5) / factor - 0.5
    return placed


def _quadrangle(small: NDArray[np.uint8], level: float) -> tuple[float, Points] | None:
    """The largest bright shape with four corners: how well it fills them, and the corners, clockwise."""
    bright = (small > level).astype(np.uint8)
    bright = cv2.morphologyEx(bright, cv2.MORPH_OPEN, np.ones((7, 7), np.uint8)).astype(np.uint8)
    contours, _ = cv2.findContours(bright, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return None
    hull = cv2.convexHull(max(contours, key=cv2.contourArea))
    area = cv2.contourArea(hull)
    if area < LEAST_SHARE * small.size:
        return None
    around = cv2.arcLength(hull, True)
    for share in (0.01, 0.02, 0.03, 0.05):
        corners = cv2.approxPolyDP(hull, share * around, True).reshape(-1, 2).astype(np.float64)
        if len(corners) == 4:
            filled = area / max(cv2.contourArea(corners.astype(np.float32)), 1.0)
            if not 0.94 <= filled <= 1.06:
                return None
            return -abs(1.0 - filled), _clockwise(corners)
    return None


def _clockwise(corners: Points) -> Points:
    """From the corner nearest to the top left, clockwise as one sees it."""
    middle = corners.mean(axis=0)
    order = np.argsort(np.arctan2(corners[:, 1] - middle[1], corners[:, 0] - middle[0]))
    turned: Points = corners[order]
    first = int(np.argmin(turned.sum(axis=1)))
    return np.roll(turned, -first, axis=0)


def _refined(grey: Grey, corners: Points) -> tuple[Points, float]:
    """The corners where lines through the steepest places of the edges meet; pixels the edges are off."""
    lines, off = [], 0.0
    reach = max(6.0, 0.006 * max(grey.shape))
    for index in range(4):
        start, end = corners[index], corners[(index + 1) % 4]
        edge = _edge_points(grey, start, end, reach)
        if len(edge) < 20:
            lines.append((start, (end - start) / np.linalg.norm(end - start)))
            off = max(off, reach / 2)
            continue
        fitted = cv2.fitLine(edge.astype(np.float32), cv2.DIST_HUBER, 0, 0.001, 0.001).ravel()
        way, at = fitted[:2].astype(np.float64), fitted[2:].astype(np.float64)
        away = (edge - at) @ np.array([-way[1], way[0]])
        # The slow part of what is left is bend; the fast part is noise, which a long line averages out.
        slow = np.array([chunk.mean() for chunk in np.array_split(away, 8)])
        off = max(off, float(np.abs(slow).max()))
        lines.append((at, way))
    met = [_meeting(lines[index - 1], lines[index]) for index in range(4)]
    return np.array(met), off


def _edge_points(grey: Grey, start: Points, end: Points, reach: float) -> Points:
    """Points of the edge between two corners, to parts of a pixel: where it darkens most outward."""
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    outward = np.array([along[1], -along[0]])
    count = int(np.clip(length / 4, 40, 600))
    shares = np.linspace(0.04, 0.96, count)
    steps = np.arange(-reach, reach + 0.25, 0.5)
    base = start + shares[:, None] * (end - start)
    spots = base[:, None, :] + steps[None, :, None] * outward
    profile = cv2.remap(
        grey,
        spots[..., 0].astype(np.float32),
        spots[..., 1].astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    ).astype(np.float64)
    profile = cv2.GaussianBlur(profile, (0, 0), sigmaX=2.0, sigmaY=2.0).astype(np.float64)
    fall = -np.diff(profile, axis=1)
    peak = fall.argmax(axis=1)
    rows = np.arange(count)
    strong = fall[rows, peak] > max(0.35 * float(np.median(fall[rows, peak])), 0.8)
    inner = (peak > 1) & (peak < fall.shape[1] - 2)
    # The centre of the falling part around its steepest place.
    window = peak[:, None] + np.arange(-6, 7)[None, :]
    window = np.clip(window, 0, fall.shape[1] - 1)
    weight = np.clip(fall[rows[:, None], window], 0, None)
    centre = (weight * (steps[window] + 0.25)).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-9)
    kept = strong & inner
    found: Points = base[kept] + centre[kept, None] * outward
    return found


def _meeting(one: tuple[Points, Points], other: tuple[Points, Points]) -> Points:
    (a, u), (b, v) = one, other
    share = np.linalg.solve(np.array([[u[0], -v[0]], [u[1], -v[1]]]), b - a)
    met: Points = a + share[0] * u
    return met


def _oriented(corners: Points, shape: tuple[int, ...], kind: str, path: str) -> tuple[Points, bool]:
    """The corners, and whether the side after the first is the short one; `BadInput` for another sheet."""
    ratio = side_ratio(corners, shape)
    stretch = max(ratio, 1 / ratio)
    said = SHEETS[kind][1] / SHEETS[kind][0]
    for other, (short, long) in SHEETS.items():
        if abs(long / short - said) > 0.01 and abs(stretch * short / long - 1) < ODD:
            raise BadInput(
                f"the sheet looks like {other}, not {kind}",
                file=path,
                mend=f"if it is, --scale sheet:{other}",
            )
    if abs(stretch / said - 1) > ODD:
        raise BadInput(
            f"the sheet looks {stretch:.2f} times as long as wide, not {said:.2f}",
            file=path,
            mend="photograph it from straight above, all of the picture kept",
        )
    return corners, ratio < 1


def side_ratio(corners: Points, shape: tuple[int, ...]) -> float:
    """Width over height of the sheet whose corners (clockwise) show in a picture of `shape`.

    From two vanishing points, with square pixels and the lens in the picture's middle (Zhang and He 2007,
    from memory). A view that is nearly straight in one direction leaves the focal length open: then with a
    common one, which matters little there.
    """
    middle = np.array([shape[1] / 2, shape[0] / 2])
    m1, m2, m4, m3 = (np.append(corner - middle, 1.0) for corner in corners)
    k2 = np.cross(m1, m4) @ m3 / (np.cross(m2, m4) @ m3)
    k3 = np.cross(m1, m4) @ m2 / (np.cross(m3, m4) @ m2)
    across, down = k2 * m2 - m1, k3 * m3 - m1
    longest = float(max(shape))
    leans = [longest * abs(way[2]) / float(np.linalg.norm(way[:2])) for way in (across, down)]
    squared = (COMMON * longest) ** 2
    if min(leans) > LEANS:
        found = -float(across[:2] @ down[:2]) / float(across[2] * down[2])
        squared = found if (0.5 * longest) ** 2 < found < (2 * longest) ** 2 else squared
    weight = np.array([1.0, 1.0, squared])
    return float(np.sqrt((across * across) @ weight / ((down * down) @ weight)))


def _homography(corners: Points, millimetres: Points) -> Points:
    found = cv2.getPerspectiveTransform(corners.astype(np.float32), millimetres.astype(np.float32))
    return found.astype(np.float64)


def _coarsest_pixel(to_mm: Points, corners: Points) -> float:
    """Millimetres of the largest pixel on the sheet."""
    sides = np.array([[1.0, 0.0], [0.0, 1.0]])
    largest = 0.0
    for corner in corners:
        spots = np.array([corner, *(corner + sides)])[None].astype(np.float64)
        placed = cv2.perspectiveTransform(spots, to_mm)[0]
        largest = max(largest, *(float(np.linalg.norm(placed[i] - placed[0])) for i in (1, 2)))
    return largest
