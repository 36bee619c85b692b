"""Both feet with numbers where the findings lie, for print."""

from __future__ import annotations

import math
from collections.abc import Iterator

from toeroom.foot_places import WHOLE, MarkedFeet, legend
from toeroom.pictures import svg
from toeroom.vocabulary import SIDES

WIDE, HIGH, TOP, LEFT, BETWEEN = 130.0, 290.0, 80.0, 40.0, 60.0
LEGEND_LINE, LETTER = 20, 7.6
SOLE = (
    (26, 88), (46, 70), (74, 66), (98, 72), (112, 90), (116, 112), (108, 134), (96, 154), (90, 178),
    (90, 206), (88, 232), (78, 250), (62, 257), (46, 250), (36, 232), (34, 206), (30, 178), (22, 150),
    (16, 124), (18, 102),
)  # fmt: skip
"""Corners of the sole of a left foot, toes up, big toe at the right; no one's foot."""
TOES = ((99, 36, 17, 27), (71, 36, 10, 20), (51, 44, 9, 17), (34, 56, 8, 14), (19, 74, 8, 12))
"""Each toe: its middle, half its width, half its length."""
SPOTS = {
    "toes": ((99, 32), (71, 34), (51, 44), (34, 56), (19, 74)),
    "ball": ((66, 100), (66, 126), (88, 122), (46, 122)),
    "bunion_side": ((108, 100), (106, 126)),
    "little_toe_side": ((26, 112), (30, 140)),
    "arch": ((70, 170), (62, 196)),
    "heel": ((62, 230), (62, 208)),
    "ankle": ((12, 222), (112, 222), (12, 246), (112, 246)),
}
"""Where on the left foot the first, second … number of a place stands."""


def two_feet_svg(feet: MarkedFeet, title: str = "Where the findings lie") -> str:
    """The drawing and its legend. What stops the fitting stands in a hatched square, the rest in a ring."""
    told = legend(feet)
    parts = [svg.words(20, 28, title, size=16)]
    for number, side in enumerate(SIDES):
        x = LEFT + number * (WIDE + BETWEEN)
        parts.append(svg.words(x + WIDE / 2, TOP - 16, f"{side} foot", anchor="middle"))
        parts += _foot(feet, side, x) if side in feet.sides else [svg.words(x + 40, TOP + 140, "no foot")]
    below = TOP + HIGH + 40
    parts += [svg.words(20, below + row * LEGEND_LINE, line) for row, line in enumerate(told)]
    wide = max(2 * LEFT + 2 * WIDE + BETWEEN, 40 + LETTER * max(len(line) for line in (title, *told)))
    return svg.document(wide, below + len(told) * LEGEND_LINE, title, "; ".join(told), parts)


def _foot(feet: MarkedFeet, side: str, x: float) -> Iterator[str]:
    def at(across: float, down: float) -> tuple[float, float]:
        return x + (across if side == "left" else WIDE - across), TOP + down

    for middle_x, middle_y, half_wide, half_high in TOES:
        ring = _ring(*at(middle_x, middle_y), half_wide, half_high)
        yield svg.shape(ring, fill="#f3ece4", stroke=svg.SECOND)
    yield svg.shape((at(*corner) for corner in SOLE), fill="#f3ece4", stroke=svg.SECOND)
    for place, spots in SPOTS.items():
        marks = feet.on(side, place)
        for number, (mark, spot) in enumerate(zip(marks, spots, strict=False)):
            full = number == len(spots) - 1 and len(marks) > len(spots)
            yield from _number(*at(*spot), "+" if full else str(mark.number), stops=side in mark.stops)
    whole = feet.on(side, WHOLE)
    for number, mark in enumerate(whole):
        across = WIDE / 2 + (number - (len(whole) - 1) / 2) * 24
        yield from _number(x + across, TOP + HIGH, str(mark.number), stops=side in mark.stops)


def _number(x: float, y: float, text: str, *, stops: bool) -> Iterator[str]:
    if stops:
        yield svg.bar(x - 12, y - 12, 24, 24, hatched=True, stroke=svg.ALERT)
    yield svg.shape(_ring(x, y, 9, 9), fill="#ffffff", stroke=svg.ALERT if stops else svg.INK)
    yield svg.words(x, y + 4.5, text, size=12, anchor="middle", fill=svg.ALERT if stops else svg.INK)


def _ring(x: float, y: float, half_wide: float, half_high: float) -> Iterator[tuple[float, float]]:
    turns = (number * math.tau / 24 for number in range(24))
    return ((x + half_wide * math.cos(turn), y + half_high * math.sin(turn)) for turn in turns)
