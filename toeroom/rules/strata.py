"""When each rule runs, and when what was not concluded is settled as absent."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from toeroom.errors import BookFault
from toeroom.rules.facts import concluded_key
from toeroom.rules.model import Rule, Test, tests_of
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

Step = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Layer:
    """The rules of one step, and the keys that are `no` from its end on unless they were concluded."""

    step: Step
    rules: tuple[Rule, ...]
    closes: tuple[str, ...]


def conclusions(rule: Rule, side: str, vocabulary: Vocabulary) -> tuple[str, ...]:
    """The keys of the states and plan items that a rule concludes when it speaks for `side`."""
    then = rule.then
    states = [
        concluded_key(i, value, side if vocabulary.derived[i].scope == "foot" else PERSON)
        for i, value in then.conclude
    ]
    items = [f"{side}.plan.{i}" for i in then.advise]
    return (*states, *items, *(f"{PERSON}.plan.{i}" for i in then.advise_person))


def split_reading(rules: Iterable[Rule]) -> tuple[tuple[Rule, ...], tuple[Rule, ...]]:
    """The rules that fill in or correct findings, which run first and by themselves; and all others.

    Raises `BookFault` where a rule does both, or reads at another step than assess 0.
    """
    reading: list[Rule] = []
    others: list[Rule] = []
    for rule in rules:
        then = rule.then
        fills = bool(then.reads or then.corrects)
        if fills != (rule.when_it_runs == (0, 0)) or (fills and _concluded_names(rule)):
            raise BookFault(
                f"rule '{rule.id}': findings are filled in at assess, step 0, and nothing else is done there",
                file=rule.file,
                line=rule.line,
                mend="split the rule, or mend its step",
            )
        (reading if fills else others).append(rule)
    return tuple(reading), tuple(others)


def layers(rules: Iterable[Rule], vocabulary: Vocabulary) -> tuple[Layer, ...]:
    """The rules in the order in which they run.

    Raises `BookFault` where a rule tests something that a later step can still conclude, or tests
    the absence of something that its own step can still conclude.
    """
    rules = tuple(rules)
    last: dict[str, Step] = {}
    for rule in rules:
        for name in _concluded_names(rule):
            last[name] = max(last.get(name, rule.when_it_runs), rule.when_it_runs)
    for rule in rules:
        for test in tests_of(rule.when):
            _check_order(rule, test, last)
    by_step: dict[Step, list[Rule]] = defaultdict(list)
    for rule in rules:
        by_step[rule.when_it_runs].append(rule)
    closing: dict[Step, list[str]] = defaultdict(list)
    for key, name in _absence_keys(rules, vocabulary).items():
        closing[last.get(name, (0, 0))].append(key)
    steps = sorted(set(by_step) | set(closing))
    return tuple(Layer(s, tuple(by_step[s]), tuple(closing[s])) for s in steps)


def _concluded_names(rule: Rule) -> list[str]:
    """What a rule concludes, whatever the side: a state with its value, or a plan item."""
    then = rule.then
    states = [concluded_key(i, value, "any") for i, value in then.conclude]
    return [*states, *(f"any.plan.{i}" for i in (*then.advise, *then.advise_person))]


def _tested_name(test: Test) -> str:
    """The name, as above, that a test of a state or plan item looks at; '' for other tests."""
    if test.kind == "plan":
        return f"any.plan.{test.id}"
    if test.kind == "derived":
        return concluded_key(test.id, "yes" if test.value == "no" else str(test.value), "any")
    return ""


def _check_order(rule: Rule, test: Test, last: dict[str, Step]) -> None:
    name = _tested_name(test)
    if name not in last:
        return
    what, mend = "", ""
    if test.of_absence and last[name] >= rule.when_it_runs:
        what = f"rule '{rule.id}' tests that '{test.id}' is absent before that is settled"
        mend = "give this rule a later step than every rule that concludes it"
    elif last[name] > rule.when_it_runs:
        what = f"rule '{rule.id}' looks at '{test.id}', which a later step can still conclude"
        mend = "give this rule a later step or stage"
    if what:
        raise BookFault(what, file=rule.file, line=test.line, mend=mend)


def _absence_keys(rules: tuple[Rule, ...], vocabulary: Vocabulary) -> dict[str, str]:
    """Every key that some rule tests for absence, with its name."""
    found: dict[str, str] = {}
    for test in (t for rule in rules for t in tests_of(rule.when) if t.of_absence):
        name = _tested_name(test)
        sides = (*SIDES, PERSON) if test.kind == "plan" else vocabulary.sides_of(test.id)
        found.update({name.replace("any.", f"{side}.", 1): name for side in sides})
    return found
