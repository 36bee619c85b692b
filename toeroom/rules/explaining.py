"""Why a rule spoke, and why one did not."""

from __future__ import annotations

from dataclasses import dataclass

from toeroom.case import Case
from toeroom.plan import Match
from toeroom.rules.facts import Facts, key_of
from toeroom.rules.fixpoint import OTHER, compiled
from toeroom.rules.model import Condition, Feet, Rule, Test
from toeroom.rules.reading import NUMBER_WORDS
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

Read = dict[tuple[str, str], tuple[str, tuple[Match, ...]]]
"""Findings that a rule filled in: place to rule id and what it rested on."""

_WORDS = {op: words for words, op in NUMBER_WORDS.items()}


@dataclass(frozen=True, slots=True)
class Failed:
    """A test that did not hold: what was wanted of which side, and what is known."""

    id: str
    side: str
    wanted: str
    known: str


class Explainer:
    """Looks back from the final facts of a case."""

    def __init__(self, vocabulary: Vocabulary, case: Case, facts: Facts, read: Read) -> None:
        self.vocabulary, self.case, self.facts, self.read = vocabulary, case, facts, read

    def matched(self, rule: Rule, side: str) -> tuple[Match, ...]:
        """What `rule` found true when it spoke for `side`, each thing once."""
        return tuple(dict.fromkeys(self._matched(rule.when, side, "")))

    def _matched(self, condition: Condition, side: str, prefix: str) -> list[Match]:
        if not compiled(condition, side, prefix)(self.facts):
            return []
        if isinstance(condition, Test):
            return [self._match(condition, side, prefix)]
        if isinstance(condition, Feet):
            sides, prefix = _sides(condition, side)
            there = [s for s in sides if condition.which != "each foot" or self.facts[f"{s}.there"] == "yes"]
            return [m for s in there for m in self._matched(condition.part, s, prefix)]
        return [m for part in condition.parts for m in self._matched(part, side, prefix)]

    def _match(self, test: Test, side: str, prefix: str) -> Match:
        place = side if test.scope == "foot" or test.kind == "plan" else PERSON
        if test.kind == "finding":
            value = self.facts[f"{place}.{prefix}{test.id}"]
            rule, rests_on = self.read.get((test.id, place), ("", ()))
            return Match("finding", test.id, place, str(value), rule, rests_on)
        if test.kind == "derived":
            _, _, held = key_of(test, side)
            return Match("derived", test.id, place, self._derived_value(test, held))
        if test.kind == "plan":
            return Match("plan", test.id, place, "advised" if test.value == "yes" else "not advised")
        value = self.facts.get(f"{place}.{test.id}", "missing")
        return Match(test.kind, test.id, place, _number(value), from_=self._inputs(test, place))

    def _derived_value(self, test: Test, held: str | float) -> str:
        if str(test.value) in ("yes", "no"):
            return str(held)
        return str(test.value) if held == "yes" else f"not {test.value}"

    def _inputs(self, test: Test, place: str) -> tuple[Match, ...]:
        if test.kind != "calculated":
            return ()
        found = []
        for term_id in self.vocabulary.calculated[test.id].from_ids:
            for side in _input_sides(self.vocabulary, term_id, place):
                value = self._stated(term_id, side)
                kind = "date" if term_id in self.vocabulary.dates else "measure"
                found.append(Match(kind, term_id, side, value))
        return tuple(found)

    def _stated(self, term_id: str, side: str) -> str | float:
        if term_id in self.vocabulary.dates:
            day = self.case.dates.get(term_id)
            return day.isoformat() if day else "missing"
        if term_id in self.vocabulary.choices:
            return self.case.choices.get(term_id, "missing")
        measure = self.case.measures.get((term_id, side))
        return "missing" if measure is None else _number(float(measure))

    def failed(self, rule: Rule, side: str) -> tuple[Failed, ...]:
        """The tests that kept `rule` from speaking for `side`."""
        if rule.about == "foot" and self.facts[f"{side}.there"] != "yes":
            return (Failed("leg_amputated", side, "a foot on this side", "none"),)
        if rule.about == "person" and not rule.without_feet and self.facts["person.feet"] != "some":
            return (Failed("leg_amputated", PERSON, "at least one foot", "none"),)
        return tuple(dict.fromkeys(self._failed(rule.when, side, "")))

    def _failed(self, condition: Condition, side: str, prefix: str) -> list[Failed]:
        if compiled(condition, side, prefix)(self.facts):
            return []
        if isinstance(condition, Test):
            place = side if condition.scope == "foot" or condition.kind == "plan" else PERSON
            return [
                Failed(condition.id, place, wanted(condition, side), self._known(condition, side, prefix))
            ]
        if isinstance(condition, Feet):
            sides, prefix = _sides(condition, side)
            return [f for s in sides for f in self._failed(condition.part, s, prefix)]
        return [f for part in condition.parts for f in self._failed(part, side, prefix)]

    def _known(self, test: Test, side: str, prefix: str) -> str:
        key, _, _ = key_of(test, side)
        if prefix:
            key = f"{side}.{prefix}{test.id}"
        if test.kind in ("derived", "plan"):
            return "yes" if self.facts.get(key) == "yes" else "no"
        value = self.facts.get(key.removesuffix(".is"), self.facts.get(key, "not stated"))
        return str(_number(value))


def wanted(test: Test, side: str) -> str:
    """What a test asks for, in words."""
    if test.op == "this side":
        return side
    if test.op in ("stated", "missing"):
        return test.op
    if test.op in _WORDS:
        return f"{_WORDS[test.op]} {test.value}"
    return f"not {test.value}" if test.op == "!=" else str(test.value)


def _sides(condition: Feet, side: str) -> tuple[tuple[str, ...], str]:
    if condition.which == "other foot":
        return (OTHER[side],), ""
    return SIDES, "stump." if condition.which == "either stump" else ""


def _input_sides(vocabulary: Vocabulary, term_id: str, place: str) -> tuple[str, ...]:
    if vocabulary.by_id[term_id].scope != "foot":
        return (PERSON,)
    # A value of the person that rests on a measure of the foot rests on that of both feet.
    return SIDES if place == PERSON or term_id == "skin_temp_c" else (place,)


def _number(value: str | float) -> str | int | float:
    if isinstance(value, float):
        return int(value) if value.is_integer() else round(value, 6)
    return value
