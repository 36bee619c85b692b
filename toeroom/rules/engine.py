"""The rules run by durable_rules, in the subset of it that was found to lose nothing.

The library's ready ways lose conclusions in silence: two patterns never share a fact, batches
break off, `any` multiplies, absence depends on the order of facts. So: flat scalar facts, each
rule opened up into branches of plain conjunctions with one pattern a key, at most 16 keys a
branch; facts asserted one by one; conclusions put back by a loop out here; absence settled between
steps; one host with its timers silenced, and every fact retracted before
the next run.
"""

from __future__ import annotations

import itertools
import operator
import threading
from collections.abc import Callable, Iterable
from typing import Any

import durable_rules_engine
from durable.engine import Host, MessageNotHandledException

from toeroom.errors import BookFault
from toeroom.rules.facts import Facts, key_of
from toeroom.rules.fixpoint import OTHER, Fired
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Test
from toeroom.rules.strata import Layer, conclusions
from toeroom.vocabulary import SIDES, Vocabulary

MOST_KEYS = 16
MOST_BRANCHES = 400

Atom = tuple[str, str, str | float]
Branch = frozenset[Atom]
_OPERATORS = {"!=": "$neq", "<": "$lt", "<=": "$lte", ">": "$gt", ">=": "$gte"}
_COMPARE: dict[str, Callable[[Any, Any], bool]] = {
    "=": operator.eq,
    "!=": operator.ne,
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}


class _QuietHost(Host):  # type: ignore[misc]
    """A host without the two timers that would poll for ever: all work is done as facts arrive."""

    def _run(self) -> None:
        pass


_HOST = _QuietHost()
"""One for the process: the library never frees a host."""
_LOCK = threading.Lock()
_NUMBERS = itertools.count(1)


class Engine:
    """A set of rules in the process's host, as a ruleset of its own. Threads take turns."""

    def __init__(self, layers: Iterable[Layer], vocabulary: Vocabulary) -> None:
        self.layers = tuple(layers)
        self.ruleset = f"rules-{next(_NUMBERS)}"
        self.recorded: list[Fired] = []
        self.asserted: list[dict[str, Any]] = []
        self.concluded: dict[Fired, tuple[str, ...]] = {}
        self.atoms: dict[str, set[tuple[str, str | float]]] = {}
        definition: dict[str, Any] = {}
        for layer in self.layers:
            for rule in layer.rules:
                for side in rule.sides:
                    self.concluded[rule.id, side] = conclusions(rule, side, vocabulary)
                    for number, branch in enumerate(branches(rule, side)):
                        definition[f"{rule.id}/{side}/{number}"] = self._definition(branch, (rule.id, side))
        # The library cannot take an empty ruleset.
        definition = definition or {"none": {"all": [{"m_0": {"k": "none"}}], "run": lambda c: None}}
        self._register(definition)

    def _register(self, definition: dict[str, Any]) -> None:
        try:
            with _LOCK:
                _HOST.register_rulesets({self.ruleset: definition})
        except durable_rules_engine.error as error:
            raise BookFault(
                f"the rules are too branched for the rule engine ({error})",
                mend="put parts of the widest 'any of' conditions into derived states of their own",
            ) from None

    def _definition(self, branch: Branch, name: Fired) -> dict[str, Any]:
        patterns: dict[str, list[dict[str, Any]]] = {}
        for key, op, value in sorted(branch, key=str):
            test = {"v": value} if op == "=" else {_OPERATORS[op]: {"v": value}}
            patterns.setdefault(key, [{"k": key}]).append(test)
            self.atoms.setdefault(key, set()).add((op, value))
        record = self.recorded.append
        ordered = [{f"m_{i}": {"$and": tests}} for i, tests in enumerate(patterns.values())]
        return {"all": ordered, "run": lambda c: record(name)}

    def run(self, facts: Facts) -> frozenset[Fired]:
        """The rules that speak, by side."""
        with _LOCK:
            self._take_back()
            return self._run(facts)

    def _take_back(self) -> None:
        """Takes back the facts of the last run.

        Only now: taking back is where the library can end the process (DEVELOPERS.md, traps), and a
        command that plans one case then never does it.
        """
        while self.asserted:
            self._send(_HOST.retract_fact, self.asserted.pop())

    def _run(self, facts: Facts) -> frozenset[Fired]:
        self.recorded.clear()
        known = dict(facts)
        fired: set[Fired] = set()
        new = known
        for layer in self.layers:
            while new:
                for key, value in new.items():
                    self._assert(key, value)
                new = {}
                for name in self.recorded:
                    if name not in fired:
                        fired.add(name)
                        new.update({key: "yes" for key in self.concluded[name] if key not in known})
                self.recorded.clear()
                known.update(new)
            new = {key: "no" for key in layer.closes if key not in known}
            known.update(new)
        for key, value in new.items():
            self._assert(key, value)
        return frozenset(fired | set(self.recorded))

    def _assert(self, key: str, value: str | float) -> None:
        # A fact that no pattern can take is only refused by the library; it is not sent.
        if any(_could_hold(op, wanted, value) for op, wanted in self.atoms.get(key, ())):
            fact = {"id": key, "sid": 1, "k": key, "v": value}
            self.asserted.append(fact)
            self._send(_HOST.assert_fact, fact)

    def _send(self, verb: Any, fact: dict[str, Any]) -> None:
        try:
            state = verb(self.ruleset, dict(fact))
        except MessageNotHandledException:
            return
        if state and state.get("exception"):
            raise RuntimeError(f"durable_rules: {state['exception']}")


def _could_hold(op: str, wanted: str | float, value: str | float) -> bool:
    return isinstance(wanted, str) == isinstance(value, str) and _COMPARE[op](value, wanted)


def branches(rule: Rule, side: str) -> list[Branch]:
    """The rule on `side` as alternatives, each a set of tests that must all hold.

    Raises `BookFault` where there are too many, or one has more keys than the library can join.
    """
    if rule.about == "foot":
        guard: list[Branch] = [frozenset({(f"{side}.there", "=", "yes")})]
    elif rule.without_feet:
        guard = [frozenset()]
    else:
        guard = [frozenset({("person.feet", "=", "some")})]
    found = _minimal(_join([guard, _alternatives(rule.when, side, "")], rule))
    for branch in found:
        keys = {key for key, _, _ in branch}
        if len(keys) > MOST_KEYS:
            raise BookFault(
                f"rule '{rule.id}' joins {len(keys)} facts in one branch, more than {MOST_KEYS}",
                file=rule.file,
                line=rule.line,
                mend="put a part of it into a derived state of its own",
            )
    return found


def _alternatives(condition: Condition, side: str, prefix: str) -> list[Branch]:
    if isinstance(condition, Test):
        key, op, value = key_of(condition, side)
        return [frozenset({(f"{side}.{prefix}{condition.id}" if prefix else key, op, value)})]
    if isinstance(condition, Feet):
        return _feet_alternatives(condition, side)
    parts = [_alternatives(part, side, prefix) for part in condition.parts]
    if isinstance(condition, AnyOf):
        return _minimal([branch for part in parts for branch in part])
    assert isinstance(condition, All)
    return _join(parts)


def _feet_alternatives(condition: Feet, side: str) -> list[Branch]:
    if condition.which == "other foot":
        return _alternatives(condition.part, OTHER[side], "")
    prefix = "stump." if condition.which == "either stump" else ""
    feet = [_alternatives(condition.part, s, prefix) for s in SIDES]
    if condition.which in ("either foot", "either stump"):
        return _minimal([*feet[0], *feet[1]])
    if condition.which == "each foot":
        feet = [
            [frozenset({(f"{s}.there", "=", "no")}), *alternatives]
            for s, alternatives in zip(SIDES, feet, strict=True)
        ]
    return _join(feet)


def _join(parts: list[list[Branch]], rule: Rule | None = None) -> list[Branch]:
    joined: list[Branch] = [frozenset()]
    for part in parts:
        joined = _minimal([a | b for a, b in itertools.product(joined, part) if not _contradict(a | b)])
        if len(joined) > MOST_BRANCHES:
            where = {"file": rule.file, "line": rule.line} if rule else {}
            raise BookFault(
                f"a rule opens up into more than {MOST_BRANCHES} branches",
                mend="split it, or put a part of it into a derived state",
                **where,  # type: ignore[arg-type]
            )
    return joined


def _contradict(branch: Branch) -> bool:
    """Whether two tests of a branch want one key to equal two values."""
    wanted: dict[str, str | float] = {}
    return any(op == "=" and wanted.setdefault(key, value) != value for key, op, value in branch)


def _minimal(found: list[Branch]) -> list[Branch]:
    """Without the branches that another branch makes needless; shortest first."""
    kept: list[Branch] = []
    for branch in sorted(set(found), key=lambda b: (len(b), sorted(b, key=str))):
        if not any(other <= branch for other in kept):
            kept.append(branch)
    return kept
