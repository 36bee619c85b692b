"""What goes to repairer and lab: what the plan advises, in millimetres; nothing where it stops."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from toeroom.case import Case
from toeroom.measures import rockers
from toeroom.papers.feet import Findings, Row, measured
from toeroom.plan import Line
from toeroom.sheet import Entry, Sheet
from toeroom.vocabulary import SIDES
from toeroom.wording import number_in_words

ORDERED = ("the repairer", "the lab")
LIFTS = {"sole_build_up": "sole", "in_shoe_lift": "inside"}
ROCKER = "rocker_sole"
TO_RELIEVE = (
    "past_ulcer", "callus", "callus_with_bleeding", "toe_tip_callus", "corn_between_toes",
    "prominent_met_heads", "midfoot_prominence", "bunion", "tailors_bunion", "hammertoe", "claw_toes",
    "overlapping_toe", "toe_amputated", "partial_foot_amputated",
)  # fmt: skip
"""Places a lab or repairer makes room for; where each lies is marked by hand on the drawing."""
APEX_STEP = 10


@dataclass(frozen=True, slots=True)
class Ordered:
    """One thing to make: id of its plan item, who makes it, figures as (name, mm)."""

    id: str
    label: str
    sides: str
    by: str
    act: str
    because: str
    cautions: tuple[str, ...]
    figures: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Apex:
    """Where the apex lies on a sole of `length` mm, for each published share of it."""

    length: int
    at: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Order:
    """The whole order. places: (place, side) to make room for. apexes: to read off, by sole length."""

    lines: tuple[Ordered, ...]
    sides: tuple[str, ...]
    places: tuple[tuple[str, str], ...]
    measures: tuple[Row, ...]
    shares: tuple[int, ...]
    apexes: tuple[Apex, ...]
    best_for: tuple[tuple[str, tuple[int, ...]], ...]

    def has(self, *items: str) -> bool:
        """Whether one of these plan items is ordered."""
        return any(line.id in items for line in self.lines)


def order_of(sheet: Sheet, case: Case, findings: Findings) -> Order:
    """What is ordered: nothing where the plan stops."""
    entries = [] if sheet.stop else [e for part in sheet.parts for e in part.entries if e.by in ORDERED]
    sides = tuple(s for s in SIDES if any(line.side == s for entry in entries for line in entry.lines))
    shares = tuple(rockers.BEST_FOR[rockers.HEADS_2_TO_4, 20])
    return Order(
        tuple(_ordered(entry) for entry in entries),
        sides,
        tuple(
            (findings.vocabulary.findings[term].label, side)
            for side in sides
            for term in TO_RELIEVE
            if findings.of(term, side) == "yes"
        ),
        measured(case, findings.vocabulary, sides=sides),
        shares,
        _apexes(case, shares) if any(line.id == ROCKER for e in entries for line in e.lines) else (),
        tuple(
            (rockers.TARGET_WORDS[target], tuple(rockers.BEST_FOR[target, 20].values()))
            for target in rockers.TARGETS
        ),
    )


def _ordered(entry: Entry) -> Ordered:
    lead = entry.lines[0]
    cautions = (*entry.cautions, *entry.more_cautions)
    return Ordered(
        lead.id, entry.label, entry.sides, entry.by, entry.act, entry.because, cautions, _figures(lead)
    )


def _figures(line: Line) -> tuple[tuple[str, str], ...]:
    return tuple(
        (name.removesuffix("_mm").replace("_", " "), f"{number_in_words(value)} mm")
        for name, value in line.detail.items()
        if name.endswith("_mm") and not isinstance(value, str)
    )


def _apexes(case: Case, shares: tuple[int, ...]) -> tuple[Apex, ...]:
    """Soles from 10 to 50 mm longer than the longer foot; none where no foot is measured."""
    lengths = [case.measures[place] for place in case.measures if place[0] == "foot_length_mm"]
    if not lengths:
        return ()
    first = (int(max(lengths)) // APEX_STEP + 1) * APEX_STEP
    soles = range(first + APEX_STEP, first + 6 * APEX_STEP, APEX_STEP)
    return tuple(
        Apex(sole, tuple(f"{round(float(rockers.apex_mm(Fraction(sole), share)))} mm" for share in shares))
        for sole in soles
    )
