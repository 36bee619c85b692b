"""The plain engine: runs the rules of each step over and over until nothing new is concluded.

It looks at the conditions as they were read, and shares nothing with the other engine but the
parsed rules, the facts and the order of steps.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable, Sequence

from toeroom.rules.facts import Facts, key_of
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Test, tests_of
from toeroom.rules.strata import Layer, conclusions
from toeroom.vocabulary import SIDES, Vocabulary

Holds = Callable[[Facts], bool]
Fired = tuple[str, str]
"""A rule's id and the side it spoke for."""

ORDER = {"<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge}
OTHER = {"left": "right", "right": "left"}


class Fixpoint:
    """The rules of a book, ready to be run over facts."""

    def __init__(self, layers: Iterable[Layer], vocabulary: Vocabulary) -> None:
        self.steps = [_Step(layer, vocabulary) for layer in layers]

    def run(self, facts: Facts) -> frozenset[Fired]:
        """The rules that speak, by side. `facts` grows by all that is concluded."""
        fired: set[Fired] = set()
        for step in self.steps:
            step.run(facts, fired)
        return frozenset(fired)


class _Step:
    def __init__(self, layer: Layer, vocabulary: Vocabulary) -> None:
        own = {
            key for rule in layer.rules for side in rule.sides for key in conclusions(rule, side, vocabulary)
        }
        self.closes = layer.closes
        self.once: list[tuple[Fired, Holds, tuple[str, ...]]] = []
        self.chained: list[tuple[Fired, Holds, tuple[str, ...]]] = []
        for rule in layer.rules:
            for side in rule.sides:
                entry = ((rule.id, side), speaks(rule, side), conclusions(rule, side, vocabulary))
                looks_at = {key_of(t, s)[0] for t in tests_of(rule.when) for s in (side, *SIDES)}
                (self.chained if looks_at & own else self.once).append(entry)

    def run(self, facts: Facts, fired: set[Fired]) -> None:
        for name, holds, concluded in self.once:
            if holds(facts):
                fired.add(name)
                for key in concluded:
                    facts[key] = "yes"
        waiting = self.chained
        while waiting:
            still = []
            for entry in waiting:
                name, holds, concluded = entry
                if holds(facts):
                    fired.add(name)
                    for key in concluded:
                        facts[key] = "yes"
                else:
                    still.append(entry)
            if len(still) == len(waiting):
                break
            waiting = still
        for key in self.closes:
            facts.setdefault(key, "no")


def speaks(rule: Rule, side: str) -> Holds:
    """Whether `rule` speaks for `side`, as a function of the facts.

    A rule about a foot speaks only of a foot that is there; a rule about the person only where
    there is a foot at all, unless it says otherwise.
    """
    holds = compiled(rule.when, side)
    if rule.about == "foot":
        there = f"{side}.there"
        return lambda facts: facts[there] == "yes" and holds(facts)
    if rule.without_feet:
        return holds
    return lambda facts: facts["person.feet"] == "some" and holds(facts)


def compiled(condition: Condition, side: str, prefix: str = "") -> Holds:
    """A condition tried for `side`, as a function of the facts."""
    if isinstance(condition, Test):
        return _test(condition, side, prefix)
    if isinstance(condition, Feet):
        return _feet(condition, side)
    parts = [compiled(part, side, prefix) for part in condition.parts]
    if isinstance(condition, All):
        return _all_of(parts)
    assert isinstance(condition, AnyOf)
    return _any_of(parts)


# Plain loops: `all` and `any` over a generator take twice as long, and this runs millions of times
# for what to ask next.
def _all_of(parts: Sequence[Holds]) -> Holds:
    def holds(facts: Facts) -> bool:
        for part in parts:  # noqa: SIM110
            if not part(facts):
                return False
        return True

    return holds


def _any_of(parts: Sequence[Holds]) -> Holds:
    def holds(facts: Facts) -> bool:
        for part in parts:  # noqa: SIM110
            if part(facts):
                return True
        return False

    return holds


def _feet(condition: Feet, side: str) -> Holds:
    if condition.which == "other foot":
        return compiled(condition.part, OTHER[side])
    if condition.which == "either stump":
        left, right = (compiled(condition.part, s, "stump.") for s in SIDES)
        return lambda facts: left(facts) or right(facts)
    left, right = (compiled(condition.part, s) for s in SIDES)
    if condition.which == "either foot":
        return lambda facts: left(facts) or right(facts)
    if condition.which == "both sides":
        return lambda facts: left(facts) and right(facts)
    return lambda facts: (
        (facts["left.there"] == "no" or left(facts)) and (facts["right.there"] == "no" or right(facts))
    )


def _test(test: Test, side: str, prefix: str) -> Holds:
    key, op, value = key_of(test, side)
    if prefix:
        key = f"{side}.{prefix}{test.id}"
    if op == "=":
        return lambda facts: facts.get(key) == value
    if op == "!=":
        return lambda facts: facts.get(key, value) != value
    compare = ORDER[op]
    return lambda facts: key in facts and compare(facts[key], value)
