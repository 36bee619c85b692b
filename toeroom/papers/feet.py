"""Findings and measurements as a paper shows them, foot beside foot: what nobody stated is "not asked"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from toeroom.case import Case, Place
from toeroom.measures.calculated import present_sides
from toeroom.vocabulary import PERSON, SIDES, Finding, Vocabulary

NOT_ASKED = "not asked"
NO_FOOT = "no foot"
EXAMINED = ("skin", "shape", "joints", "feeling", "shoe")
"""Groups of findings that an examination of the feet and the shoe in hand is made of."""
ALWAYS_MEASURED = ("foot_length_mm", "ball_length_mm", "ball_width_mm", "ball_girth_mm", "toe_height_mm")
"""Measurements that stand on a paper also where they were not taken, as lines to fill."""


@dataclass(frozen=True, slots=True)
class Row:
    """A finding or measurement: its values by side, in words; `said_by` names who states it."""

    id: str
    label: str
    left: str
    right: str
    person: str = ""
    said_by: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Findings:
    """What is known of a case. known: by the rules' reading too, where a statement says more than itself."""

    case: Case
    vocabulary: Vocabulary
    known: Mapping[Place, str]

    def of(self, term: str, side: str) -> str:
        """yes, no or unknown."""
        return self.known.get((term, side), "unknown")

    def in_words(self, term: str, side: str) -> str:
        """`yes`, `no`, `not asked`; `no foot` where the leg ends above it."""
        if side in SIDES and side not in present_sides(self.case) and term != "leg_amputated":
            return NO_FOOT
        value = self.of(term, side)
        if value == "unknown":
            return NOT_ASKED
        return value if self.case.finding(term, side) == value else f"{value} (follows from the rest)"

    def labels_of(self, side: str, groups: tuple[str, ...] = EXAMINED) -> tuple[Finding, ...]:
        """The findings that are yes on a side."""
        found = self.vocabulary.findings.values()
        return tuple(f for f in found if f.group in groups and self.of(f.id, side) == "yes")


def examined(findings: Findings) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """The foot findings stated on either side, and the labels of those stated on neither."""
    rows, unasked = [], []
    for term in findings.vocabulary.findings.values():
        if term.scope == PERSON or term.group not in EXAMINED:
            continue
        if all(findings.of(term.id, side) == "unknown" for side in SIDES):
            unasked.append(term.label)
            continue
        left, right = (findings.in_words(term.id, side) for side in SIDES)
        rows.append(Row(term.id, term.label, left, right, said_by=term.said_by))
    return tuple(rows), tuple(unasked)


def of_the_person(findings: Findings) -> tuple[Row, ...]:
    """The findings stated of the person."""
    return tuple(
        Row(f.id, f.label, "", "", findings.in_words(f.id, PERSON), f.said_by)
        for f in findings.vocabulary.findings.values()
        if f.scope == PERSON and findings.of(f.id, PERSON) != "unknown"
    )


def measured(case: Case, vocabulary: Vocabulary, *, sides: tuple[str, ...] = SIDES) -> tuple[Row, ...]:
    """The measurements of the feet; an empty text where one was not taken."""
    rows = []
    for term in vocabulary.measures.values():
        values = {side: case.measures.get((term.id, side)) for side in SIDES if side in sides}
        stated = {side: f"{value} {term.unit}" for side, value in values.items() if value is not None}
        if term.scope == PERSON or not (stated or term.id in ALWAYS_MEASURED):
            continue
        left, right = (stated.get(side, "") if side in sides else NO_FOOT for side in SIDES)
        rows.append(Row(term.id, term.label, left, right, unit=term.unit))
    return tuple(rows)
