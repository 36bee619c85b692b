"""What of a case comes to be known: told as a stage opens, answered when asked, or left unknown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from functools import cached_property

from toeroom.case import Case, Place
from toeroom.rules.planning import Planner
from toeroom.training.stages import STAGES, is_told, stage_of, stateable
from toeroom.vocabulary import PERSON, Term

Value = str | Decimal | date


@dataclass(frozen=True, slots=True)
class Fact:
    """Something known of a place: yes or no, a number, a word, a day; `unknown` where nobody can say."""

    term: Term
    side: str
    value: Value


class Unfolding:
    """A case that is uncovered bit by bit; it holds no state of a walk.

    What the case says without stating it (a wound on the sole is a wound) is answered too.
    """

    def __init__(self, planner: Planner, case: Case) -> None:
        self.planner, self.case = planner, case
        self.terms = stateable(planner.vocabulary)

    @cached_property
    def _findings(self) -> dict[Place, str]:
        return self.planner.run(self.case).findings

    def answer(self, term_id: str) -> tuple[Fact, ...]:
        """What is so of a term, on every side it stands on."""
        sides = self.planner.vocabulary.sides_of(term_id)
        return tuple(Fact(self.terms[term_id], side, self._value(term_id, side)) for side in sides)

    def _value(self, term_id: str, side: str) -> Value:
        vocabulary, case = self.planner.vocabulary, self.case
        if term_id in vocabulary.findings:
            return self._findings.get((term_id, side), "unknown")
        if term_id in vocabulary.measures:
            return case.measures.get((term_id, side), "unknown")
        if term_id in vocabulary.choices:
            return case.choices.get(term_id, "unknown")
        return case.dates.get(term_id, "unknown")

    def told(self, index: int) -> tuple[Fact, ...]:
        """What is known without asking once the stage `index` opens, and was not before."""
        volunteered = set(self.case.lesson.volunteers)
        return tuple(
            fact
            for term in self.terms.values()
            if stage_of(term) == index
            for fact in self.answer(term.id)
            if fact.value != "unknown" and (is_told(term) or (term.id, fact.side) in volunteered)
        )

    def known(self, index: int, asked: tuple[str, ...]) -> Case:
        """The case as far as it is known at the stage `index`, after these terms were asked about."""
        facts = [fact for stage in range(index + 1) for fact in self.told(stage)]
        facts += [fact for term_id in asked for fact in self.answer(term_id)]
        vocabulary = self.planner.vocabulary
        stated = [fact for fact in facts if fact.value != "unknown"]
        return replace(
            self.case,
            title=self.case.lesson.title,
            notes="",
            findings={(f.term.id, f.side): str(f.value) for f in stated if f.term.id in vocabulary.findings},
            measures={(f.term.id, f.side): f.value for f in stated if isinstance(f.value, Decimal)},
            choices={f.term.id: str(f.value) for f in stated if f.term.id in vocabulary.choices},
            dates={f.term.id: f.value for f in stated if isinstance(f.value, date)},
        )

    def silent(self, index: int) -> tuple[Term, ...]:
        """What lies open at a stage and says nothing: the letter, or the look, leaves it unknown."""
        return tuple(
            term
            for term in self.terms.values()
            if stage_of(term) == index
            and is_told(term)
            and all(fact.value == "unknown" for fact in self.answer(term.id))
        )

    def may_ask(self, index: int, asked: tuple[str, ...]) -> tuple[Term, ...]:
        """The terms that can be asked about at the stage `index`: not told, not asked before."""
        told = {(f.term.id, f.side) for stage in range(index + 1) for f in self.told(stage)}
        return tuple(
            term
            for stage in range(index + 1)
            for term in self.terms.values()
            if stage_of(term) == stage
            and not is_told(term)
            and term.id not in asked
            and any((term.id, side) not in told for side in self.planner.vocabulary.sides_of(term.id))
        )

    def never_known(self, index: int, asked: tuple[str, ...]) -> tuple[Fact, ...]:
        """What the case holds as yes, or as a number, that had not come to light by then."""
        known = self.known(index, asked)
        return tuple(
            fact
            for term in self.terms.values()
            for fact in self.answer(term.id)
            if fact.value not in ("no", "unknown") and not _is_known(known, fact)
        )


def _is_known(known: Case, fact: Fact) -> bool:
    place = (fact.term.id, fact.side)
    return (
        place in known.findings
        or place in known.measures
        or (fact.side == PERSON and (fact.term.id in known.choices or fact.term.id in known.dates))
    )


def opening(case: Case) -> tuple[str, str]:
    """The title and the opening words for a trainee, which give nothing away."""
    lesson = case.lesson
    return lesson.title or "A case", lesson.opening or lesson.told.get(STAGES[0].id, "")
