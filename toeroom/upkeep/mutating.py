"""Would anything notice? Puts small faults into the rules and looks whether an example fails."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from toeroom.book import Book
from toeroom.errors import BookFault
from toeroom.rules.facts import Facts
from toeroom.rules.fixpoint import speaks
from toeroom.rules.model import Rule, tests_of
from toeroom.rules.planning import Outcome, Planner
from toeroom.upkeep.mutants import Mutant, mutants
from toeroom.upkeep.recording import Example, examples_of
from toeroom.vocabulary import PERSON, SIDES

GuaranteeFails = Callable[[Planner], bool]
"""Says whether some guarantee does not hold for the rules of a planner."""


@dataclass(frozen=True, slots=True)
class Score:
    """How many faults were noticed. `refused`: those that the reader refuses; they count on neither side."""

    made: int
    noticed: int
    refused: int
    survivors: tuple[Mutant, ...]

    @property
    def share(self) -> float:
        """Noticed of all that could be; 1 where there is nothing to notice."""
        tried = self.made - self.refused
        return self.noticed / tried if tried else 1.0

    @property
    def faults(self) -> list[BookFault]:
        """A line for each fault that nothing noticed."""
        return [
            BookFault(
                f"rule '{mutant.of.id}': no example notices {mutant.what}",
                file=mutant.of.file,
                line=mutant.line,
                mend="add a case whose plan depends on it",
            )
            for mutant in self.survivors
        ]


def mutation_score(book: Book, extra: Sequence[Path] = (), guarantees: GuaranteeFails | None = None) -> Score:
    """The score of the book by its examples and by the case files beside it and in `extra`."""
    return score_by(book, examples_of(book, extra), guarantees)


def score_by(book: Book, examples: Iterable[Example], guarantees: GuaranteeFails | None = None) -> Score:
    """The score of the book by these examples, and by its guarantees where they are given."""
    watch = Watch(book, examples)
    made = noticed = refused = 0
    survivors = []
    for mutant in mutants(book.rules, book.vocabulary):
        made += 1
        answer = watch.notices(mutant, guarantees)
        if answer is None:
            refused += 1
        elif answer:
            noticed += 1
        else:
            survivors.append(mutant)
    return Score(made, noticed, refused, tuple(survivors))


@dataclass(frozen=True, slots=True)
class _Seen:
    example: Example
    outcome: Outcome
    stated: Facts
    final: Facts


class Watch:
    """The examples of a book, ready to be asked whether they notice a fault.

    Only those examples are run again in which the changed rule speaks otherwise, or speaks at all
    where it is what it says that was changed.
    """

    def __init__(self, book: Book, examples: Iterable[Example]) -> None:
        self.book = book
        self.seen: list[_Seen] = []
        self.own: dict[str, list[_Seen]] = defaultdict(list)
        self.spoke: dict[str, list[_Seen]] = defaultdict(list)
        for example in examples:
            self.add(example)

    def add(self, example: Example) -> None:
        """One more example."""
        planner = self.book.planner
        outcome = planner.run(example.case)
        stated = planner.facts.facts(example.case, example.case.findings)
        seen = _Seen(example, outcome, stated, self._closed(outcome.facts))
        self.seen.append(seen)
        if example.rule:
            self.own[example.rule].append(seen)
        for rule_id in sorted({rule_id for rule_id, _ in outcome.read | outcome.fired}):
            self.spoke[rule_id].append(seen)

    def _closed(self, facts: Facts) -> Facts:
        """The facts with every state and plan item that was not concluded settled as absent."""
        vocabulary = self.book.vocabulary
        closed = dict(facts)
        for side in (*SIDES, PERSON):
            for item in vocabulary.plan_items:
                closed.setdefault(f"{side}.plan.{item}", "no")
        for state in vocabulary.derived.values():
            for side in vocabulary.sides_of(state.id):
                for value in state.one_of or ("",):
                    closed.setdefault(f"{side}.{state.id}={value}" if value else f"{side}.{state.id}", "no")
        return closed

    def notices(self, mutant: Mutant, guarantees: GuaranteeFails | None = None) -> bool | None:
        """Whether some example fails; None where the reader would refuse the rules."""
        asks_absence = _absences(mutant.rule) - _absences(mutant.of)
        if not asks_absence and self._own_example_fails(mutant):
            return True
        affected = list(self._affected(mutant))
        if not (affected or asks_absence or guarantees):
            return False
        planner = self.planner(mutant)
        if planner is None:
            return None
        if any(self._failing(affected, planner)):
            return True
        return guarantees is not None and guarantees(planner)

    def noticing(self, mutant: Mutant) -> set[str]:
        """The names of all examples that fail."""
        affected = list(self._affected(mutant))
        planner = self.planner(mutant) if affected else None
        return set() if planner is None else set(self._failing(affected, planner))

    def _failing(self, affected: Iterable[_Seen], planner: Planner) -> Iterator[str]:
        for seen in affected:
            if not seen.example.holds(planner, planner.run(seen.example.case)):
                yield seen.example.name

    def planner(self, mutant: Mutant) -> Planner | None:
        """A planner over the rules with the fault in them; None where the reader would refuse them."""
        rules = [mutant.rule if rule is mutant.of else rule for rule in self.book.rules]
        try:
            left = tuple(rule for rule in rules if rule is not None)
            return Planner(left, self.book.vocabulary, "changed")
        except BookFault:
            return None

    def _own_example_fails(self, mutant: Mutant) -> bool:
        """Told from the final facts: nothing that a rule concludes unsays its own test in its step."""
        if mutant.rule is None or not mutant.in_condition:
            return False
        tried = {side: speaks(mutant.rule, side) for side in mutant.of.sides}
        return any(
            tried[seen.example.side](self._facts(seen, mutant.of)) != seen.example.speaks
            for seen in self.own[mutant.of.id]
        )

    def _facts(self, seen: _Seen, rule: Rule) -> Facts:
        return seen.stated if rule.when_it_runs == (0, 0) else seen.final

    def _affected(self, mutant: Mutant) -> Iterable[_Seen]:
        """The examples that can see the fault, the rule's own first."""
        rule = mutant.of
        if mutant.rule is None:
            # Who drops a rule drops its examples with it.
            yield from (seen for seen in self.spoke[rule.id] if seen.example.rule != rule.id)
            return
        if not mutant.in_condition:
            yield from self.spoke[rule.id]
            return
        pairs = [(speaks(rule, side), speaks(mutant.rule, side)) for side in rule.sides]
        for seen in (*self.own[rule.id], *(s for s in self.seen if s.example.rule != rule.id)):
            facts = self._facts(seen, rule)
            if any(before(facts) != after(facts) for before, after in pairs):
                yield seen


def _absences(rule: Rule | None) -> set[tuple[str, str]]:
    """The states and items whose absence a rule asks for; a new one may come before it is settled."""
    if rule is None:
        return set()
    return {(test.id, str(test.value)) for test in tests_of(rule.when) if test.of_absence}
