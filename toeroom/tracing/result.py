"""What a tracing gives: plain numbers in millimetres, free of the libraries that worked them out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from math import hypot

Ring = tuple[tuple[float, float], ...]
"""A closed line in mm, the first point not repeated; x to the right, y toward the toes, seen from above."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """How far a length read from an outline may be off.

    share: of the length (the scale). parts: what adds to any length, mm by name. basis: what the
    scale rests on, in words. Each is meant to hold in about 19 of 20 readings; they are taken as independent.
    """

    basis: str
    share: float = 0.0
    parts: tuple[tuple[str, float], ...] = ()

    def at(self, length: float) -> float:
        """The error of a `length` in mm: the root of the sum of squares."""
        return hypot(self.share * length, *(mm for _, mm in self.parts))


@dataclass(frozen=True, slots=True)
class Shape:
    """One outline by itself. length, ball_width: mm, as `axis.measured` defines them, each with its error."""

    source: str
    doubt: Doubt
    length: float
    ball_width: float
    area: float
    ring: Ring

    @property
    def length_error(self) -> float:
        """How far the length may be off, mm."""
        return self.doubt.at(self.length)

    @property
    def width_error(self) -> float:
        """How far the ball width may be off, mm."""
        return self.doubt.at(self.ball_width)


@dataclass(frozen=True, slots=True)
class Passing:
    """One stretch of the foot's edge against the liner's.

    beyond: mm by which the foot passes the liner where it does so most; negative: what is free where
    least is. error: mm. verdict: `over`, `within`, or `too close to tell` where the error decides.
    """

    region: str
    edge: str
    beyond: float
    error: float
    area: float = 0.0

    @property
    def name(self) -> str:
        """The stretch in words: `ball, inner`."""
        return f"{self.region}, {self.edge}" if self.edge else self.region

    @property
    def verdict(self) -> str:
        if self.beyond > self.error:
            return "over"
        return "within" if self.beyond < -self.error else "too close to tell"


@dataclass(frozen=True, slots=True)
class OnLiner:
    """The foot laid on the liner, heel at heel. over: the pieces of the foot that pass it."""

    foot: Ring
    liner: Ring
    over: tuple[Ring, ...]
    passings: tuple[Passing, ...]
    toe_gap: float
    toe_gap_error: float
    turned: float

    @property
    def finding(self) -> str:
        """What this says of the finding `foot_over_liner`: yes, no, or unknown."""
        verdicts = {passing.verdict for passing in self.passings}
        if "over" in verdicts:
            return "yes"
        return "no" if verdicts == {"within"} else "unknown"


@dataclass(frozen=True, slots=True)
class Tracing:
    """A foot's outline and, where there was one, how it lies on the liner. side: '' where not said."""

    side: str
    foot: Shape
    liner: Shape | None = None
    laid: OnLiner | None = None
    warnings: tuple[str, ...] = field(default_factory=tuple)

    def as_json(self) -> dict[str, object]:
        """The document of `toeroom trace --json`; mm to a hundredth."""
        return {
            "side": self.side or None,
            "foot": _shape(self.foot),
            "liner": _shape(self.liner) if self.liner else None,
            "on_liner": _laid(self.laid) if self.laid else None,
            "warnings": list(self.warnings),
        }


def _shape(shape: Shape) -> dict[str, object]:
    return {
        "source": shape.source,
        "scale": shape.doubt.basis,
        "length_mm": _round(shape.length),
        "length_error_mm": _round(shape.length_error),
        "ball_width_mm": _round(shape.ball_width),
        "ball_width_error_mm": _round(shape.width_error),
        "area_mm2": round(shape.area),
        "error_parts": {
            "scale_share": round(shape.doubt.share, 5),
            **{f"{name.replace(' ', '_')}_mm": _round(mm) for name, mm in shape.doubt.parts},
        },
        "outline_mm": _points(shape.ring),
    }


def _laid(laid: OnLiner) -> dict[str, object]:
    return {
        "foot_over_liner": laid.finding,
        "toe_gap_mm": _round(laid.toe_gap),
        "toe_gap_error_mm": _round(laid.toe_gap_error),
        "turned_degrees": _round(laid.turned),
        "edges": [
            {
                **{name: value for name, value in asdict(passing).items() if name in ("region", "edge")},
                "beyond_mm": _round(passing.beyond),
                "error_mm": _round(passing.error),
                "area_mm2": _round(passing.area),
                "verdict": passing.verdict,
            }
            for passing in laid.passings
        ],
        "foot_mm": _points(laid.foot),
        "liner_mm": _points(laid.liner),
    }


def _points(ring: Sequence[tuple[float, float]]) -> list[list[float]]:
    return [[_round(x), _round(y)] for x, y in ring]


def _round(value: float) -> float:
    return round(value, 2) + 0.0
