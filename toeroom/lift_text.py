"""A lift for who builds it, in text and as plain values: heights, steps, room taken, the other side."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

from toeroom.measures import lift_profiles
from toeroom.measures.lift_profiles import Placement, Staging
from toeroom.pictures.lift_profile import lift_profile_lines
from toeroom.size_text import mm

STEP = 3
"""Millimetres of a further step, the larger of what is remembered; from memory."""


@dataclass(frozen=True, slots=True)
class OtherSide:
    """The shoe beside a walker or surgical shoe. side: where the shoe is; raise_mm: how much it is raised."""

    side: str
    raise_mm: Fraction


@dataclass(frozen=True, slots=True)
class LiftReport:
    """The lift under one leg. steps: heights in mm from the first to the whole.

    other: the shoe beside a walker, None where there is no walker.
    """

    side: str
    placement: Placement
    staging: Staging
    steps: tuple[Fraction, ...]
    other: OtherSide | None

    @property
    def taken(self) -> Fraction:
        """Millimetres of heel room that the lift takes inside the shoe."""
        return self.placement.profile.heel if self.placement.where == "inside" else Fraction(0)


def lift_report(
    difference: Fraction,
    side: str,
    *,
    other: OtherSide | None = None,
    functional: bool,
    numb: bool,
    shallow: bool,
) -> LiftReport:
    """The lift for a difference in mm under the shorter leg, `side`."""
    placement = lift_profiles.place(difference, functional=functional, numb=numb, shallow=shallow)
    staging = lift_profiles.staging(difference)
    steps = () if placement.where == "none" else lift_profiles.steps(difference, staging.at_60, STEP)
    return LiftReport(side, placement, staging, steps, other)


def lift_lines(report: LiftReport) -> list[str]:
    """The lift in plain text."""
    placement, staging = report.placement, report.staging
    lines = []
    if placement.where == "none":
        lines.append("no lift")
    else:
        lines += lift_profile_lines(placement.profile, side=report.side, where=placement.where)
        if report.taken:
            lines.append(f"takes {mm(report.taken)} of room under the heel inside the shoe")
        lines.append(
            f"by steps: begin at {mm(staging.at_half)} (half) or {mm(staging.at_60)} to {mm(staging.at_70)}; "
            "the prescriber decides"
        )
        if len(report.steps) > 1:
            heights = ", ".join(mm(height) for height in report.steps)
            lines.append(
                f"further steps of {staging.step[0]} to {staging.step[1]} mm every {staging.weeks[0]} to "
                f"{staging.weeks[1]} weeks (from memory), as in {heights}"
            )
        limits = "; ".join(f"{mm(limit)} {of}" for limit, of in lift_profiles.OTHER_LIMITS)
        lines.append(f"largest lifts in print, which do not agree: {limits}")
    lines += other_side_lines(report.other) if report.other else []
    lines += [f"! {caution}" for caution in placement.cautions]
    return [*lines, f"source: {placement.source}"]


def other_side_lines(other: OtherSide) -> list[str]:
    """What the shoe beside a walker needs, in a line."""
    if other.raise_mm > 0:
        said = f"raise the {other.side} shoe by {mm(other.raise_mm)} to stand level with the walker"
    elif other.raise_mm < 0:
        said = f"the walker's side is still {mm(-other.raise_mm)} lower; the {other.side} shoe stays as it is"
    else:
        said = f"the {other.side} shoe stands level with the walker"
    return [f"{said} (common practice; the prescriber decides)"]


def lift_json(report: LiftReport) -> dict[str, Any]:
    """The lift as plain values."""
    placement, staging = report.placement, report.staging
    return {
        "side": report.side,
        "where": placement.where,
        **{f"{name}_mm": float(value) for name, value in asdict(placement.profile).items()},
        "takes_inside_mm": float(report.taken),
        "first_step_mm": [float(v) for v in (staging.at_half, staging.at_60, staging.at_70)],
        "steps_mm": [round(float(height), 3) for height in report.steps],
        "other_limits": [{"mm": float(limit), "of": of} for limit, of in lift_profiles.OTHER_LIMITS],
        "other_side": None if report.other is None else other_side_json(report.other),
        "cautions": list(placement.cautions),
        "source": placement.source,
    }


def other_side_json(other: OtherSide) -> dict[str, Any]:
    """The other side as plain values."""
    return {"side": other.side, "raise_mm": float(other.raise_mm)}
