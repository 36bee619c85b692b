"""From a case to the flat facts that both engines look at.

A fact is a key and a value. Keys: `left.bunion`, `person.diabetes`, `left.toe_room_mm`;
`left.toe_room_mm.is` (stated or missing); `left.there` (is there a foot); `person.feet` (some or
none); `left.stump.open_wound` for a side whose leg is amputated; `left.needs_depth` and
`person.ulcer_risk=3` for derived states, `left.plan.extra_width` for plan items (yes or no).
"""

from __future__ import annotations

from collections.abc import Iterable

from toeroom.case import Case, Place
from toeroom.measures.calculated import calculate, present_sides
from toeroom.rules.model import Rule, Test, tests_of
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

Facts = dict[str, str | float]


class FactMaker:
    """Makes the facts that a set of rules can look at; what no rule looks at is left out."""

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary) -> None:
        rules = tuple(rules)
        tests = [test for rule in rules for test in tests_of(rule.when)]
        details = {v.partition("@")[0] for rule in rules for _, pairs in rule.then.detail for _, v in pairs}
        self.vocabulary = vocabulary
        named = {i for rule in rules for caution in rule.then.cautions for i in caution.named}
        used = {test.id for test in tests} | details | named
        self.measures = [i for i in vocabulary.measures if i in used]
        self.calculated = [i for i in vocabulary.calculated if i in used]
        self.choices = [i for i in vocabulary.choices if i in used]
        self.findings = [i for i in vocabulary.findings if i in used | {"leg_amputated"}]
        self.blank: Facts = {
            f"{side}.{i}": "unknown" for i in self.findings for side in vocabulary.sides_of(i)
        }

    def numbers(self, case: Case) -> Facts:
        """The facts that do not depend on findings, but for which feet are there."""
        facts: Facts = {}
        for term_id in self.measures:
            for side in self.vocabulary.sides_of(term_id):
                value = case.measures.get((term_id, side))
                facts[f"{side}.{term_id}.is"] = "missing" if value is None else "stated"
                if value is not None:
                    facts[f"{side}.{term_id}"] = float(value)
        for term_id in self.calculated:
            for side in self.vocabulary.sides_of(term_id):
                result = calculate(case, term_id, side)
                facts[f"{side}.{term_id}.is"] = "missing" if result is None else "stated"
                if result is not None:
                    facts[f"{side}.{term_id}"] = result if isinstance(result, str) else float(result)
        for term_id in self.choices:
            chosen = case.choices.get(term_id)
            facts[f"{PERSON}.{term_id}.is"] = "missing" if chosen is None else "stated"
            if chosen is not None:
                facts[f"{PERSON}.{term_id}"] = chosen
        return facts

    def facts(self, case: Case, findings: dict[Place, str], numbers: Facts | None = None) -> Facts:
        """All facts of a case with `findings` as they are to be read.

        `numbers` are those of `numbers(case)` where they were worked out already for a case that
        differs in findings only (and not in which feet are there).
        """
        facts = dict(self.blank)
        for (term_id, side), value in findings.items():
            key = f"{side}.{term_id}"
            if key in facts:
                facts[key] = value
        facts.update(self.numbers(case) if numbers is None else numbers)
        there = present_sides(case)
        facts[f"{PERSON}.feet"] = "some" if there else "none"
        for side in SIDES:
            facts[f"{side}.there"] = "yes" if side in there else "no"
            if side not in there:
                self._clear(facts, side)
        return facts

    def _clear(self, facts: Facts, side: str) -> None:
        """Of a side without a foot only that is kept, and what is stated of its stump."""
        for key in [k for k in facts if k.startswith(f"{side}.")]:
            value = facts.pop(key)
            term_id = key.removeprefix(f"{side}.")
            if term_id in ("leg_amputated", "there"):
                facts[key] = value
            elif term_id in self.vocabulary.findings:
                facts[f"{side}.stump.{term_id}"] = value


def key_of(test: Test, side: str) -> tuple[str, str, str | float]:
    """A test on `side` as key, operator and value of a fact."""
    place = side if test.scope == "foot" else PERSON
    if test.kind == "plan":
        return f"{side}.plan.{test.id}", "=", str(test.value)
    if test.op in ("stated", "missing"):
        return f"{place}.{test.id}.is", "=", test.op
    if test.op == "this side":
        return f"{PERSON}.{test.id}", "=", side
    if test.kind == "derived":
        return derived_key(test, place)
    if isinstance(test.value, str):
        return f"{place}.{test.id}", test.op, test.value
    return f"{place}.{test.id}", test.op, float(test.value)


def derived_key(test: Test, place: str) -> tuple[str, str, str]:
    """A test of a derived state: is it, or is it not, concluded."""
    held = "yes" if test.op == "=" and test.value != "no" else "no"
    value = str(test.value)
    return (f"{place}.{test.id}" if value in ("yes", "no") else f"{place}.{test.id}={value}"), "=", held


def concluded_key(term_id: str, value: str, place: str) -> str:
    """The key under which a concluded state stands."""
    return f"{place}.{term_id}" if value == "yes" else f"{place}.{term_id}={value}"
