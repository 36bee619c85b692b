"""What a fit check looks at: one point a line, each seen or measured, none of them felt by the wearer.

Shoe and insert on the foot, the socks of every day, standing on both feet unless a point says else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from toeroom.vocabulary import PERSON

Value = str | Decimal
"""yes, no or unknown, or a number in the unit that ends the point's id."""
Place = tuple[str, str]
"""A point's id and its side: left, right or person."""


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to look at. `unit` is empty where the answer is yes, no or unknown.

    `scope` is `foot` or `person`; `low` and `high` bound a number; `look` says how it is seen.
    """

    id: str
    label: str
    question: str
    look: str
    unit: str = ""
    low: int = 0
    high: int = 0
    scope: str = "foot"


def _mm(point: str, label: str, question: str, look: str, low: int, high: int) -> Point:
    return Point(point, label, question, look, "mm", low, high)


POINTS = (
    _mm(
        "room_mm",
        "Room in front of the longest toe",
        "How many mm are free in front of the longest toe of the {foot}, standing?",
        "Heel back, both feet loaded; inside length less foot length, or a paper strip slid to the toe end.",
        -20,
        60,
    ),
    Point(
        "ball_at_widest",
        "Ball at the widest part of the shoe",
        "Does the ball of the {foot} lie where the shoe is widest?",
        "Find both ball joints through the upper, from above.",
    ),
    _mm(
        "ball_spare_mm",
        "Liner wider than the foot at the ball",
        "By how many mm is the liner wider than the {foot} at the ball? Less than 0: the foot is wider.",
        "Liner out; its width at the ball less the width of the ball, standing.",
        -40,
        40,
    ),
    Point(
        "fold_at_ball",
        "Small fold of upper pinched at the ball",
        "Can a small fold of the upper be pinched over the ball of the {foot}?",
        "Thumb and finger across the vamp, foot loaded, shoe fastened.",
    ),
    _mm(
        "depth_spare_mm",
        "Height free over the highest toe",
        "How many mm are free over the highest toe of the {foot}, insert in?",
        "Height inside less insert and toe; less than 0: the toe presses.",
        -20,
        40,
    ),
    Point(
        "toes_move",
        "Every toe moves, none at the roof",
        "Does every toe of the {foot} move, with none felt at the roof?",
        "Palm on the toe box, toes moved one way and the other; feel each from outside.",
    ),
    _mm(
        "heel_lift_mm",
        "Heel lifts in walking",
        "How many mm does the heel of the {foot} lift out of the shoe in walking?",
        "From behind: a mark on the sock at the collar, and how far it rises.",
        0,
        40,
    ),
    Point(
        "inside_smooth",
        "Inside smooth to the hand",
        "Is the whole inside of the {foot}'s shoe smooth: no seam, ridge, edge or object to be felt?",
        "Hand right to the toe end, also under the insert; compare with the bony places.",
    ),
    Point(
        "insert_flat",
        "Insert flat and in contact",
        "Does the insert under the {foot} lie flat, touching heel, arch and ball?",
        "Insert in the shoe, then out with its print.",
    ),
    Point(
        "bends_at_ball",
        "Shoe bends where the foot bends",
        "In walking, does the {foot}'s shoe crease at the ball of the foot?",
        "From the side: crease against ball joints. A rocker does not bend: say yes if it rolls there.",
    ),
    _mm(
        "bend_off_mm",
        "Crease in front of the ball joint",
        "How many mm does it crease in front of the big-toe joint of the {foot}? Less than 0: behind it.",
        "Mark the joint on the upper, walk, measure to the deepest crease.",
        -60,
        60,
    ),
    Point(
        "mark_minutes",
        "Red marks gone after",
        "Shoes off: after how many minutes were the marks on the {foot} gone? 0: there were none.",
        "Look at once, and again; on dark skin go by warmth, firmness or a deeper tone.",
        "min",
        0,
        120,
    ),
    Point(
        "skin_whole",
        "Skin whole after walking",
        "Is the skin of the {foot} whole after walking: no blister, no break?",
        "Toes, between them, ball joints, instep, heel rim, sole.",
    ),
    Point(
        "walked_minutes",
        "Walked in the shoes",
        "How many minutes were both shoes walked in?",
        "Hard floor, turns and a step, both shoes on.",
        "min",
        0,
        240,
        PERSON,
    ),
)
BY_ID = {point.id: point for point in POINTS}
SKIN = "skin_whole"


@dataclass(frozen=True, slots=True)
class FitCheck:
    """What was found at hand-over. day: None where not stated. by: initials. socks: what was worn.

    found: (point, side) to yes, no, unknown or a number; what is not in it was not looked at.
    """

    day: date | None = None
    by: str = ""
    socks: str = ""
    found: Mapping[Place, Value] = field(default_factory=dict)

    def of(self, point: str, side: str) -> Value:
        """What was found; `unknown` where it was not looked at."""
        return self.found.get((point, side), "unknown")


def asked_of(point: Point, side: str) -> str:
    """The question about a point of `side`."""
    return point.question.replace("{foot}", f"{side} foot")
