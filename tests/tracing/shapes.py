"""Outlines with known answers, and photographs and scans rendered from them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import gamma
from pathlib import Path

import cv2
import numpy as np

SHEET_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


@dataclass(frozen=True)
class Egg:
    """Two halves of superellipses that meet at the widest place, `widest` of the length from the heel.

    Length and largest width are exact, and the area is a gamma function: the foot of the tests.
    """

    length: float = 250.0
    width: float = 98.0
    widest: float = 0.68
    front: float = 2.4
    rear: float = 2.3

    @property
    def area(self) -> float:
        return sum(
            2 * (self.width / 2) * share * self.length * gamma(1 + 1 / n) ** 2 / gamma(1 + 2 / n)
            for share, n in ((1 - self.widest, self.front), (self.widest, self.rear))
        )

    def points(self, count: int = 720) -> np.ndarray:
        """n by 2, mm, heel at the origin, toes up, counter-clockwise."""
        angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
        c, s = np.cos(angle), np.sin(angle)
        n = np.where(s >= 0, self.front, self.rear)
        reach = np.where(s >= 0, 1 - self.widest, self.widest) * self.length
        x = self.width / 2 * np.sign(c) * np.abs(c) ** (2 / n)
        y = self.widest * self.length + reach * np.sign(s) * np.abs(s) ** (2 / n)
        return np.stack([x, y], axis=1)

    def larger(self, length: float, width: float) -> Egg:
        return replace(self, length=self.length + length, width=self.width + width)


def turned(points: np.ndarray, degrees: float, shift: tuple[float, float] = (0.0, 0.0)) -> np.ndarray:
    a = np.radians(degrees)
    return points @ np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]]) + np.array(shift)


def write_csv(path: Path, points: np.ndarray, header: str = "x_mm,y_mm", factor: float = 1.0) -> str:
    lines = [header] if header else []
    lines += [f"{x * factor:.4f},{y * factor:.4f}" for x, y in points]
    path.write_text("\n".join(lines) + "\n")
    return str(path)


def write_svg(path: Path, points: np.ndarray, *, size: str = "width='400mm' height='400mm'") -> str:
    d = "M" + " L".join(f"{x + 200:.4f},{350 - y:.4f}" for x, y in points) + " Z"
    path.write_text(
        f"<svg xmlns='http://www.w3.org/2000/svg' {size} viewBox='0 0 400 400'><path d='{d}'/></svg>"
    )
    return str(path)


def paper(
    points: np.ndarray,
    size: tuple[float, float],
    *,
    per_mm: float = 6.0,
    pencil: float = 0.7,
    filled: bool = False,
    ink: int = 60,
    bar: float = 0.0,
) -> np.ndarray:
    """A sheet seen straight down with an outline (mm, y up) in its middle; drawn finely, then averaged down.

    bar: length in mm of a dark bar beside the outline, 8 mm wide.
    """
    fine = 3
    k = per_mm * fine
    picture = np.full((round(size[1] * k), round(size[0] * k)), 235, np.uint8)
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    places = (points - middle) * np.array([1.0, -1.0]) + np.array(size) / 2
    pixels = np.round((places * k - 0.5) * 16).astype(np.int32)
    if filled:
        cv2.fillPoly(picture, [pixels], ink, lineType=cv2.LINE_8, shift=4)
    else:
        cv2.polylines(picture, [pixels], True, ink, round(pencil * k), lineType=cv2.LINE_8, shift=4)
    if bar:
        x, y = 10.0, (size[1] - bar) / 2
        box = np.array([[x, y], [x + 8, y], [x + 8, y + bar], [x, y + bar]])
        cv2.fillPoly(picture, [np.round((box * k - 0.5) * 16).astype(np.int32)], 40, shift=4)
    return cv2.resize(picture, None, fx=1 / fine, fy=1 / fine, interpolation=cv2.INTER_AREA)


@dataclass(frozen=True)
class View:
    """How a photograph is taken. tilt, swing, roll: degrees; distance: mm; noise: grey levels.

    focal: focal length over the width of the picture.
    """

    tilt: float = 0.0
    swing: float = 0.0
    roll: float = 0.0
    distance: float = 700.0
    focal: float = 0.85
    wide: int = 2000
    high: int = 1500
    blur: float = 1.0
    noise: float = 5.0
    uneven: float = 0.25
    floor: int = 80


def photograph(sheet: np.ndarray, size: tuple[float, float], view: View, seed: int = 0) -> np.ndarray:
    """`sheet` on a darker, grained floor, through a pinhole; lit from one side, blurred, with noise."""
    rng = np.random.default_rng(seed)
    focal = view.focal * view.wide
    tilt, swing, roll = np.radians([view.tilt, view.swing, view.roll])
    rx = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    ry = np.array([[np.cos(swing), 0, np.sin(swing)], [0, 1, 0], [-np.sin(swing), 0, np.cos(swing)]])
    rz = np.array([[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]])
    turn = rx @ ry @ rz
    corners = np.array([[0, 0], size * np.array([1, 0]), size, size * np.array([0, 1])]) - np.array(size) / 2
    space = np.c_[corners, np.zeros(4)] @ turn.T + np.array([0, 0, view.distance])
    seen = space[:, :2] / space[:, 2:] * focal + np.array([view.wide, view.high]) / 2
    high, wide = sheet.shape
    edges = np.array([[-0.5, -0.5], [wide - 0.5, -0.5], [wide - 0.5, high - 0.5], [-0.5, high - 0.5]])
    matrix = cv2.getPerspectiveTransform(edges.astype(np.float32), seen.astype(np.float32))
    grain = rng.normal(0, 10, (view.high // 8, view.wide // 8))
    floor = view.floor + cv2.resize(grain, (view.wide, view.high), interpolation=cv2.INTER_CUBIC)
    # Pixels that the sheet fills in part show both.
    fine = 2
    up = np.diag([fine, fine, 1.0]) + np.array([[0, 0, (fine - 1) / 2], [0, 0, (fine - 1) / 2], [0, 0, 0]])
    full = (view.wide * fine, view.high * fine)
    padded = cv2.warpPerspective(
        sheet.astype(np.float32), up @ matrix, full, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    mask = np.zeros((full[1], full[0]), np.uint8)
    outline = (seen * fine + (fine - 1) / 2) * 16
    cv2.fillPoly(mask, [np.round(outline).astype(np.int32)], 255, shift=4)
    small = (view.wide, view.high)
    share = cv2.resize(mask, small, interpolation=cv2.INTER_AREA).astype(np.float64) / 255
    shown = cv2.resize(padded, small, interpolation=cv2.INTER_AREA).astype(np.float64)
    picture = share * shown + (1 - share) * floor
    y, x = np.mgrid[0 : view.high, 0 : view.wide]
    picture *= 1 - view.uneven * (0.7 * x / view.wide + 0.3 * y / view.high)
    picture = cv2.GaussianBlur(picture, (0, 0), max(view.blur, 0.1))
    return np.clip(picture + rng.normal(0, view.noise, picture.shape), 0, 255).astype(np.uint8)
