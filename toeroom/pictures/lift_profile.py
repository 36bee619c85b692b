"""The profile of a lift for who builds it: heights added under heel, ball and tip of the toe."""

from __future__ import annotations

from fractions import Fraction

from toeroom.measures.lift_profiles import Profile
from toeroom.pictures import svg
from toeroom.size_text import mm

BALL_AT = Fraction(74, 100)
"""Where the ball lies, as a share of the length: mean of ANSUR II, for the drawing only."""
LONG, TALLEST, FLOOR = 520.0, 150.0, 250.0


def lift_profile_svg(profile: Profile, *, side: str, where: str, title: str = "") -> str:
    """The profile seen from the side, toe to the right. Heights are to one scale, the length is not.

    `where`: `inside` or `sole`; `side`: the foot it goes under.
    """
    place = "inside the shoe" if where == "inside" else "on the sole"
    head = title or f"Lift, {side} foot, {place}"
    scale = TALLEST / max(float(profile.heel), 25.0)
    left, right, ball = 90.0, 90.0 + LONG, 90.0 + LONG * float(BALL_AT)
    tops = [
        (left, FLOOR - float(profile.heel) * scale),
        (left + LONG * 0.25, FLOOR - float(profile.heel) * scale),
    ]
    tops += [(ball, FLOOR - float(profile.ball) * scale), (right, FLOOR - float(profile.toe) * scale)]
    parts = [
        svg.words(20, 28, head, size=16),
        svg.shape([*tops, (right, FLOOR), (left, FLOOR)], fill="#e4efef", stroke=svg.ACCENT),
        svg.line(left - 20, FLOOR, right + 20, FLOOR, stroke=svg.INK, width=2),
    ]
    stations = ((left, profile.heel, "heel"), (ball, profile.ball, "ball"), (right, profile.toe, "toe tip"))
    for x, height, name in stations:
        top = FLOOR - float(height) * scale
        parts += [
            svg.line(x, FLOOR + 6, x, top - 6, stroke=svg.ALERT, dashed=True),
            svg.words(x, top - 12, mm(height), anchor="middle", size=14),
            svg.words(x, FLOOR + 24, name, anchor="middle", size=12),
        ]
    parts += [
        svg.words(
            90, FLOOR + 50, f"{side} side only; heights added, to scale; length not to scale.", size=11
        ),
        svg.words(
            90, FLOOR + 66, "The prescriber's order decides; custom of the trade where it is silent.", size=11
        ),
    ]
    return svg.document(700, 340, head, " ".join(lift_profile_lines(profile, side=side, where=where)), parts)


def lift_profile_lines(profile: Profile, *, side: str, where: str) -> list[str]:
    """The same in lines: one height a line with a bar, a character a millimetre up to forty."""
    place = "inside the shoe" if where == "inside" else "on the sole"
    heights = (("heel", profile.heel), ("ball", profile.ball), ("toe tip", profile.toe))
    return [
        f"Lift, {side} foot, {place}",
        *(f"{name:8}{mm(height):>9} {'#' * min(round(height), 40)}".rstrip() for name, height in heights),
    ]
