"""A rocker sole from the side, with lines to write the prescriber's figures on."""

from __future__ import annotations

from collections.abc import Sequence

from toeroom.pictures import svg

HEEL, LONG, FLOOR, THICK, RISE = 70.0, 540.0, 150.0, 36.0, 26.0
APEX_DRAWN = 0.57
"""Where the drawing has its apex: no figure, the order's line is."""


def rocker_side_svg(sides: Sequence[str]) -> str:
    """The sole of the shoes for `sides`, toe to the right: apex and toe angle are blanks. Not to scale."""
    title = f"Rocker sole, {' and '.join(sides)}"
    apex, toe, top = HEEL + LONG * APEX_DRAWN, HEEL + LONG, FLOOR - THICK
    sole = [
        (HEEL, top),
        (toe, top),
        (toe, FLOOR - RISE),
        (apex, FLOOR),
        (HEEL + 40, FLOOR),
        (HEEL, FLOOR - 12),
    ]
    parts = [
        svg.words(20, 28, title, size=16),
        svg.shape(sole, fill="#e4efef", stroke=svg.ACCENT),
        svg.line(HEEL - 20, FLOOR, toe + 30, FLOOR, stroke=svg.INK, width=2),
        svg.line(apex, top - 46, apex, FLOOR + 6, stroke=svg.ALERT, dashed=True),
        svg.line(HEEL, top - 14, HEEL, top - 34, stroke=svg.INK),
        svg.line(HEEL, top - 24, apex, top - 24, stroke=svg.INK),
        svg.words((HEEL + apex) / 2, top - 32, "apex ______ mm from the heel = ____ %", anchor="middle"),
        svg.words(apex + 8, top - 36, "apex", fill=svg.ALERT),
        svg.words(toe - 92, FLOOR + 18, "angle ____ °", size=13),
        svg.line(HEEL, FLOOR + 38, toe, FLOOR + 38, stroke=svg.INK),
        svg.line(HEEL, FLOOR + 32, HEEL, FLOOR + 44, stroke=svg.INK),
        svg.line(toe, FLOOR + 32, toe, FLOOR + 44, stroke=svg.INK),
        svg.words((HEEL + toe) / 2, FLOOR + 56, "sole length: ______ mm", anchor="middle"),
        svg.words(HEEL, FLOOR + 82, "Not to scale. Apex and angle as the prescriber states them.", size=11),
    ]
    return svg.document(700, 246, title, rocker_words(sides), parts)


def rocker_words(sides: Sequence[str]) -> str:
    """The drawing in words."""
    return (
        f"Rocker sole, {' and '.join(sides)}, from the side: lines to fill in for the apex in mm from the "
        "back of the heel and in per cent, the angle, and the length of the sole"
    )
