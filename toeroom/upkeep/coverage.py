"""What no example looks at: rules that never speak, tests that were never seen to go both ways."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from toeroom.book import Book
from toeroom.errors import BookFault
from toeroom.rules.explaining import wanted
from toeroom.rules.facts import Facts
from toeroom.rules.fixpoint import OTHER, Holds, compiled
from toeroom.rules.model import Condition, Feet, Rule, Test
from toeroom.upkeep.recording import Example, examples_of
from toeroom.vocabulary import SIDES


@dataclass(frozen=True, slots=True)
class Coverage:
    """How far the examples reach.

    never: rules that spoke in none. one_way: tests, and what each always was.
    """

    rules: int
    tests: int
    never: tuple[Rule, ...]
    one_way: tuple[tuple[Rule, Test, bool], ...]

    @property
    def faults(self) -> list[BookFault]:
        """A line for each rule and test that no example looks at."""
        found = [
            BookFault(
                f"rule '{rule.id}' speaks in no example",
                file=rule.file,
                line=rule.line,
                mend="add a case in which it speaks",
            )
            for rule in self.never
        ]
        for rule, test, always in self.one_way:
            found.append(
                BookFault(
                    f"rule '{rule.id}': '{test.id}: {wanted(test, 'this side')}' "
                    f"{'always holds' if always else 'never holds'} where it is looked at",
                    file=rule.file,
                    line=test.line or rule.line,
                    mend=f"add a case in which it does {'not' if always else 'hold'}",
                )
            )
        return found


def coverage(book: Book, extra: Sequence[Path] = ()) -> Coverage:
    """The coverage of the book by its examples and by the case files beside it and in `extra`."""
    return covered_by(book, examples_of(book, extra))


def covered_by(book: Book, examples: Iterable[Example]) -> Coverage:
    """The coverage of the book by these examples.

    A test of a rule about a foot counts on either foot that is there; one behind `either foot`
    counts on both.
    """
    places = [(rule, test, list(_tried(rule, test))) for rule in book.rules for test in _tests(rule.when, "")]
    spoke: set[str] = set()
    seen: set[tuple[int, bool]] = set()
    for example in examples:
        outcome = book.planner.run(example.case)
        spoke.update(rule_id for rule_id, _ in outcome.read | outcome.fired)
        stated = book.planner.facts.facts(example.case, example.case.findings)
        for number, (rule, _, tried) in enumerate(places):
            facts = stated if rule.when_it_runs == (0, 0) else outcome.facts
            for there, holds in tried:
                if (number, True) in seen and (number, False) in seen:
                    break
                if _looked_at(there, facts):
                    seen.add((number, holds(facts)))
    one_way = [
        (rule, test.test, (number, True) in seen)
        for number, (rule, test, _) in enumerate(places)
        if not {(number, True), (number, False)} <= seen
    ]
    never = tuple(rule for rule in book.rules if rule.id not in spoke)
    return Coverage(len(book.rules), len(places), never, tuple(one_way))


@dataclass(frozen=True, slots=True)
class _Placed:
    """A test and the feet that it is looked at on: '' for the rule's own."""

    test: Test
    which: str


def _tests(condition: Condition, which: str) -> Iterator[_Placed]:
    if isinstance(condition, Test):
        yield _Placed(condition, which)
    elif isinstance(condition, Feet):
        yield from _tests(condition.part, condition.which)
    else:
        for part in condition.parts:
            yield from _tests(part, which)


def _tried(rule: Rule, placed: _Placed) -> Iterator[tuple[str, Holds]]:
    """The test on each side it is looked at, with the side whose foot must be there for it ('' for none)."""
    prefix = "stump." if placed.which == "either stump" else ""
    about_feet = placed.which not in ("", "other foot")
    for side in SIDES if about_feet else rule.sides:
        at = OTHER[side] if placed.which == "other foot" else side
        there = at if at in SIDES and placed.which not in ("either stump", "both sides") else ""
        if placed.test.id == "leg_amputated":
            there = ""
        yield there, compiled(placed.test, at, prefix)


def _looked_at(there: str, facts: Facts) -> bool:
    return not there or facts[f"{there}.there"] == "yes"
