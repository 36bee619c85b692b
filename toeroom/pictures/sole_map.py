"""The outlines of the feet to mark places on, at half size where length and width are measured."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from toeroom.pictures import svg

PX_PER_MM = 96 / 25.4
HALF = PX_PER_MM / 2
TYPICAL = {"foot_length_mm": 260.0, "ball_width_mm": 100.0}
"""Drawn where a foot is not measured; then nothing is to scale. For the drawing only."""
BALL_AT, HEEL_SHARE = 0.74, 0.68
"""Ball as a share of length, heel width as a share of ball width: means of ANSUR II, for the drawing only."""
SHAPE = (
    (0.00, 0.00), (0.10, 0.005), (0.22, 0.02), (0.33, 0.05), (0.40, 0.10), (0.42, 0.18), (0.38, 0.35),
    (0.36, 0.50), (0.42, 0.64), (0.50, 0.74), (0.50, 0.83), (0.46, 0.93), (0.36, 0.99), (0.24, 1.00),
    (0.12, 0.965), (0.00, 0.945), (-0.13, 0.915), (-0.26, 0.87), (-0.38, 0.81), (-0.47, 0.73), (-0.50, 0.64),
    (-0.49, 0.50), (-0.46, 0.35), (-0.43, 0.20), (-0.40, 0.10), (-0.33, 0.05), (-0.22, 0.02), (-0.10, 0.005),
)  # fmt: skip
"""Outline of a foot from above: shares of ball width (inner side positive) and of length, from the heel."""
WIDE, TOP = 290.0, 60.0

Feet = Mapping[str, Mapping[str, float]]
"""By side the measures in mm, by vocabulary id."""


def sole_map_svg(feet: Feet) -> str:
    """The feet seen from above, as on a tracing and on an insert that lies in the shoe."""
    parts = [svg.words(20, 26, "Feet seen from above: mark every place", size=16)]
    longest = max(_of(feet[side], "foot_length_mm") for side in feet)
    for number, side in enumerate(feet):
        parts += _sole(side, feet[side], 30 + number * WIDE)
    high = TOP + longest * HALF + 70
    return svg.document(30 + WIDE * len(feet), high, "Feet to mark places on", sole_words(feet), parts)


def sole_words(feet: Feet) -> str:
    """The drawing in words and figures."""
    texts = []
    for side, measures in feet.items():
        known = [
            f"{name.removesuffix('_mm').replace('_', ' ')} {value:g} mm"
            for name in TYPICAL
            if (value := measures.get(name))
        ]
        texts.append(f"{side} foot to mark places on: {', '.join(known) or 'not measured, not to scale'}")
    return "; ".join(texts)


def _of(measures: Mapping[str, float], name: str) -> float:
    return measures.get(name, TYPICAL[name])


def _sole(side: str, measures: Mapping[str, float], left: float) -> Iterator[str]:
    length, width = _of(measures, "foot_length_mm") * HALF, _of(measures, "ball_width_mm") * HALF
    middle, heel = left + 120, TOP + length
    inward = 1 if side == "left" else -1
    ring = [(middle + inward * x * width, heel - y * length) for x, y in _smooth(SHAPE)]
    yield svg.shape(ring, fill="#f7fafa", stroke=svg.ACCENT)
    ball = heel - (measures.get("ball_length_mm", _of(measures, "foot_length_mm") * BALL_AT)) * HALF
    yield svg.line(middle - width * 0.62, ball, middle + width * 0.62, ball, stroke=svg.ALERT, dashed=True)
    yield svg.words(middle + width * 0.66, ball + 4, "ball", size=11, fill=svg.ALERT)
    scale = "half size" if all(name in measures for name in TYPICAL) else "not to scale"
    yield svg.words(middle, heel + 22, f"{side} foot, {scale}", anchor="middle")
    yield svg.words(middle, heel + 40, _figures(measures), size=11, anchor="middle")


def _smooth(ring: Sequence[tuple[float, float]], between: int = 5) -> Iterator[tuple[float, float]]:
    """A closed curve through the points of `ring` (Catmull-Rom)."""
    for i in range(len(ring)):
        a, b, c, d = (ring[(i + k) % len(ring)] for k in (-1, 0, 1, 2))
        for step in range(between):
            t = step / between
            yield _between(a[0], b[0], c[0], d[0], t), _between(a[1], b[1], c[1], d[1], t)


def _between(a: float, b: float, c: float, d: float, t: float) -> float:
    return b + t * (c - a) / 2 + t**2 * (a - 2.5 * b + 2 * c - d / 2) + t**3 * (1.5 * (b - c) + (d - a) / 2)


def _figures(measures: Mapping[str, float]) -> str:
    length, width = (measures.get(name) for name in TYPICAL)
    return f"length {f'{length:g}' if length else '____'} mm, ball {f'{width:g}' if width else '____'} mm"
