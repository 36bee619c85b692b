"""Where on the feet the findings of a case lie, worst first: what the drawing of both feet marks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from toeroom.case import Case, Place
from toeroom.errors import BookFault, nearest
from toeroom.measures.calculated import present_sides
from toeroom.plan import Plan
from toeroom.vocabulary import Finding, Vocabulary
from toeroom.wording import leaves, printable, sides_in_words
from toeroom.yamltree import Node, read_book_file

WHOLE = "whole"
"""The place of what may lie anywhere on a foot."""
PLACES = {
    "toes": "toes",
    "ball": "ball",
    "bunion_side": "bunion side",
    "little_toe_side": "little-toe side",
    "arch": "arch",
    "heel": "heel",
    "ankle": "ankle",
    WHOLE: "",
}
"""The places a drawing knows, in words."""
WORST_FIRST = "worst_first"
STOPPING = ("no_fitting_today", "urgent_referral")


@dataclass(frozen=True, slots=True)
class Mark:
    """A finding to be marked, by its number. `stops` are the sides on which it stops the fitting."""

    number: int
    id: str
    label: str
    sides: tuple[str, ...]
    place: str
    stops: tuple[str, ...]

    @property
    def words(self) -> str:
        """The finding, its foot and place: `Bunion, both feet: bunion side`."""
        place = PLACES[self.place]
        return f"{self.label}, {sides_in_words(self.sides)}{f': {place}' if place else ''}"

    def as_json(self) -> dict[str, Any]:
        return {
            "number": self.number,
            "finding": self.id,
            "sides": list(self.sides),
            "place": self.place,
            "stops": list(self.stops),
        }


@dataclass(frozen=True, slots=True)
class MarkedFeet:
    """The feet that are there, and what is marked on them."""

    sides: tuple[str, ...]
    marks: tuple[Mark, ...]

    def on(self, side: str, place: str) -> tuple[Mark, ...]:
        """What is marked at a place of a foot, worst first."""
        return tuple(mark for mark in self.marks if side in mark.sides and mark.place == place)


@dataclass(frozen=True, slots=True)
class FootPlaces:
    """The place of each finding that has one, and which findings are marked before the others."""

    place_of: Mapping[str, str] = field(default_factory=dict)
    worst_first: tuple[str, ...] = ()


def read_places(path: Path, vocabulary: Vocabulary) -> FootPlaces:
    """What the file at `path` says; nothing where there is no such file.

    Raises `BookFault` for a place or a finding that does not exist, and for a finding with two places.
    """
    if not path.exists():
        return FootPlaces()
    tree = read_book_file(path)
    if not isinstance(tree.value, dict):
        raise BookFault("lists of findings by place are wanted", file=str(path), mend="write 'heel: [...]'")
    found: dict[str, str] = {}
    worst: list[str] = []
    for place, node in tree.value.items():
        if place not in (*PLACES, WORST_FIRST):
            mend = nearest(place, PLACES) or f"use one of {', '.join(PLACES)}"
            raise BookFault(f"'{place}' is no place", file=str(path), line=node.key_line, mend=mend)
        for one in node.value if isinstance(node.value, list) else [node]:
            term_id = _finding(one, str(path), vocabulary)
            if place == WORST_FIRST:
                worst.append(term_id)
            elif term_id in found:
                raise BookFault(
                    f"'{term_id}' has a place already", file=str(path), line=one.line, mend="leave one"
                )
            else:
                found[term_id] = place
    return FootPlaces(found, tuple(worst))


def _finding(node: Node, file: str, vocabulary: Vocabulary) -> str:
    term_id = str(node.value)
    term = vocabulary.findings.get(term_id)
    if term is None or term.scope != "foot":
        mend = nearest(term_id, vocabulary.findings)
        raise BookFault(f"'{term_id}' is no finding of a foot", file=file, line=node.line, mend=mend)
    return term_id


def marked_feet(
    case: Case, findings: Mapping[Place, str], plan: Plan, places: FootPlaces, vocabulary: Vocabulary
) -> MarkedFeet:
    """What of `findings` is yes on a foot that is there: what stops the fitting by `plan` comes first.

    `findings` are those of the case, with what the rules read of it.
    """
    sides = present_sides(case)
    stopping = _stopping(plan)
    first = {term_id: rank for rank, term_id in enumerate(places.worst_first)}
    found: list[tuple[bool, int, Finding, tuple[str, ...], tuple[str, ...]]] = []
    for term in vocabulary.findings.values():
        on = tuple(side for side in sides if findings.get((term.id, side)) == "yes")
        if on:
            stops = tuple(side for side in on if (term.id, side) in stopping)
            found.append((not stops, first.get(term.id, len(first)), term, on, stops))
    found.sort(key=lambda one: one[:2])
    marks = (
        Mark(number, term.id, printable(term.label), on, places.place_of.get(term.id, WHOLE), stops)
        for number, (_, _, term, on, stops) in enumerate(found, 1)
    )
    return MarkedFeet(sides, tuple(marks))


def _stopping(plan: Plan) -> set[Place]:
    """The findings that are there and that a stop of `plan` rests on in the end."""
    reasons = (reason for state in plan.states if state.id in STOPPING for reason in state.reasons)
    return {
        (match.id, match.side)
        for match in leaves(reasons, plan)
        if match.kind == "finding" and match.value == "yes"
    }


SCHEME = "A number says on which part of a foot, not where on that part; none: on the foot as a whole."
NOTHING = "Nothing to mark yet."


def legend(feet: MarkedFeet) -> list[str]:
    """A line a mark, what stops the fitting named first, and what a number says; for text and print."""
    lines = [f"{mark.number:>2}  {_stop(mark)}{mark.words}" for mark in feet.marks]
    return [*lines, SCHEME] if lines else [NOTHING]


def _stop(mark: Mark) -> str:
    if not mark.stops:
        return ""
    return "STOP  " if mark.stops == mark.sides else f"STOP {sides_in_words(mark.stops)}  "
