"""What a payer's auditor looks for beside the examination: the condition, what is supplied, the dates.

Dated policy of the US benefit, read 2026-11: the current text counts. Unknown is never "no".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from toeroom.measures.calculated import present_sides
from toeroom.measures.papers import PapersReport
from toeroom.papers.feet import NO_FOOT, NOT_ASKED, Findings
from toeroom.papers.words import ItemWords
from toeroom.sheet import Entry, Sheet
from toeroom.vocabulary import SIDES

AMPUTATIONS = ("toe_amputated", "partial_foot_amputated", "leg_amputated")
DEFORMITIES = (
    "bunion", "tailors_bunion", "hammertoe", "claw_toes", "overlapping_toe", "prominent_met_heads",
    "midfoot_prominence", "charcot_inactive", "high_arch", "toe_amputated", "partial_foot_amputated",
)  # fmt: skip
"""Shapes that count as a named deformity; the rule `no-deformity-known` lists the same."""
CIRCULATION = ("pulses_absent", "arterial_disease")
CONDITIONS: tuple[tuple[str, tuple[str, ...], bool], ...] = (
    ("Amputation of part of a foot, or of the other one", AMPUTATIONS, False),
    ("Past ulcer", ("past_ulcer",), False),
    ("Callus that comes before an ulcer", ("callus_with_bleeding",), False),
    ("Feeling lost, with callus on the same foot", ("sensation_lost", "callus"), True),
    ("Deformity, named", DEFORMITIES, False),
    ("Poor circulation", CIRCULATION, False),
)
"""The six findings of which one is needed, in words; what they rest on; whether all of it is needed.
Source: DME MAC documentation lists (M3, M4)."""
SOURCE = "DME MAC documentation lists, read 2026-11"


@dataclass(frozen=True, slots=True)
class Condition:
    """One of the six findings, on each side: `yes` with what was found, `no`, or `not asked`."""

    label: str
    left: str
    right: str

    @property
    def met(self) -> bool:
        """Whether it is found on either side."""
        return self.left.startswith("yes") or self.right.startswith("yes")


@dataclass(frozen=True, slots=True)
class Product:
    """Something supplied: what, for which foot, how many, and the code it goes under where one is known."""

    label: str
    sides: str
    quantity: str
    code: str


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A paper of the benefit: its day, until when it counts (None: no end), what is wrong with it or ""."""

    label: str
    day: date | None
    until: date | None
    fault: str


@dataclass(frozen=True, slots=True)
class Dated:
    """A date of the case; None where it is not stated."""

    id: str
    label: str
    day: date | None


def conditions(findings: Findings) -> tuple[Condition, ...]:
    """The six findings, in the order of the payer's text."""
    return tuple(
        Condition(label, *(_condition(findings, terms, every, side) for side in SIDES))
        for label, terms, every in CONDITIONS
    )


def _condition(findings: Findings, terms: tuple[str, ...], every: bool, side: str) -> str:
    there = side in present_sides(findings.case)
    values = {term: findings.of(term, side) for term in terms if there or term == "leg_amputated"}
    if not values:
        return NO_FOOT
    found = [findings.vocabulary.findings[t].label.lower() for t, value in values.items() if value == "yes"]
    settled = (all if every else any)(value == "yes" for value in values.values())
    if settled:
        return f"yes: {', '.join(found)}"
    excluded = (any if every else all)(value == "no" for value in values.values())
    return "no" if excluded else NOT_ASKED


def products(sheet: Sheet, words: Mapping[str, ItemWords]) -> tuple[Product, ...]:
    """What the plan has made, bought or altered, one line each; pairs and pieces counted."""
    parts = {part.section: (*part.entries, *part.folded) for part in sheet.parts}
    shoes = [_product(entry, words, "pair") for entry in parts.get("footwear", ())]
    pieces = [
        _product(entry, words, "each")
        for section in ("insert", "alteration")
        for entry in parts.get(section, ())
    ]
    return (*shoes, *pieces)


def _product(entry: Entry, words: Mapping[str, ItemWords], by: str) -> Product:
    sides = [line.side for line in entry.lines]
    feet = [side for side in SIDES if side in sides]
    if by == "pair" and len(feet) != 1:
        quantity = "1 pair"
    else:
        quantity = ", ".join(f"1 {side}" for side in feet or SIDES)
    codes = (words[line.id].code for line in entry.lines if line.id in words)
    return Product(entry.label, entry.sides or "the pair", quantity, next((c for c in codes if c), ""))


def paper_rows(report: PapersReport) -> tuple[PaperRow, ...]:
    """The papers of the benefit, each judged for the planned hand-over, or for the day of the report."""
    last = max(report.planned or report.as_of, report.as_of)
    return tuple(
        PaperRow(p.label, p.day, p.until, p.fault or (_lapsed(p.until, last) if p.until else ""))
        for p in report.papers
    )


def _lapsed(until: date, last: date) -> str:
    return f"lapses {(last - until).days} days before the hand-over of {last}" if until < last else ""


def dated(findings: Findings) -> Iterable[Dated]:
    """Every date a case can state, in the order of the book."""
    case = findings.case
    return [
        Dated(term.id, term.label, case.dates.get(term.id)) for term in findings.vocabulary.dates.values()
    ]
