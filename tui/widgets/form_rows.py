"""The lines of the form: which there are, in the order of a fitting, and finding one by typing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from toeroom.case import Case
from toeroom.vocabulary import Term, Vocabulary
from tui.stating import stated

GROUPS = {
    "referral": "Referral",
    "skin": "Look: skin",
    "shape": "Look: shape",
    "feeling": "Feel: feeling and blood",
    "joints": "Feel: joints",
    "person": "The person",
    "measuring": "Measuring",
    "shoe": "Shoe in hand",
    "papers": "Papers",
}
"""The groups as a fitting goes. A group the book has beyond these comes last, under its own name."""


@dataclass(frozen=True, slots=True)
class Heading:
    """The first line of a group."""

    title: str
    group: str


@dataclass(frozen=True, slots=True)
class TermLine:
    """A line about a term, on `sides`."""

    term: Term
    sides: tuple[str, ...]
    group: str


FormLine = Heading | TermLine


def form_lines(vocabulary: Vocabulary) -> tuple[FormLine, ...]:
    """All lines of the form: every finding, measure, choice and date of the book, once."""
    terms: list[Term] = [
        *vocabulary.findings.values(),
        *vocabulary.measures.values(),
        *vocabulary.choices.values(),
        *vocabulary.dates.values(),
    ]
    others = dict.fromkeys(term.group for term in terms if term.group not in GROUPS)
    titles = {**GROUPS, **{group: group.capitalize() or "Other" for group in others}}
    found: list[FormLine] = []
    for group, title in titles.items():
        own = [term for term in terms if term.group == group]
        if own:
            found.append(Heading(title, group))
            found += [TermLine(term, vocabulary.sides_of(term.id), group) for term in own]
    return tuple(found)


def matching(lines: Sequence[FormLine], text: str) -> tuple[FormLine, ...]:
    """The lines that hold every word of `text` in label, id or other words, under their headings."""
    words = text.lower().split()
    kept = {line.term.id for line in lines if isinstance(line, TermLine) and _holds(line.term, words)}
    groups = {line.group for line in lines if isinstance(line, TermLine) and line.term.id in kept}
    return tuple(
        line
        for line in lines
        if (line.group in groups if isinstance(line, Heading) else line.term.id in kept)
    )


def best_match(lines: Sequence[FormLine], text: str) -> int:
    """The index of the line that `text` most likely means: by the start of its label, then within it."""
    wanted = text.lower().strip()
    terms = [(i, line.term) for i, line in enumerate(lines) if isinstance(line, TermLine)]
    for test in (str.startswith, str.__contains__):
        for index, term in terms:
            if test(term.label.lower(), wanted):
                return index
    return terms[0][0] if terms else 0


def _holds(term: Term, words: Iterable[str]) -> bool:
    text = f"{term.label} {term.id} {' '.join(term.words)}".lower()
    return all(word in text for word in words)


def count_stated(lines: Iterable[FormLine], group: str, case: Case) -> tuple[int, int]:
    """How many places of a group are stated, and how many there are."""
    places = [
        (line.term, side)
        for line in lines
        if isinstance(line, TermLine) and line.group == group
        for side in line.sides
    ]
    return sum(1 for term, side in places if stated(case, term, side)), len(places)
