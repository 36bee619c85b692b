"""Which statements of a case make a rule speak, and whether one situation contains another.

A rule opens up into branches; a branch asks something of keys. Here what is asked of a key is kept
as what it may still be (`Want`); states and plan items are traced back to rules that conclude them.
An answer "cannot be" is a proof; "can be" is not, because what other rules may conclude besides is
looked at only as far as it is forced.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from random import Random
from typing import TypeVar

from toeroom.rules.engine import Atom, Branch, branches
from toeroom.rules.model import Rule
from toeroom.rules.strata import conclusions
from toeroom.vocabulary import PERSON, SIDES, Derived, Vocabulary

T = TypeVar("T")
MOST_STEPS = 4000
"""After so many tries a search is given up, and the answer is "can be"."""
MOST_SPLITS = 64
DEEPEST = 6
UNTRACED = frozenset(str(number) for number in range(DEEPEST + 1))
"""Given as the states gone through so far, it ends every trace before it begins."""
_FINDING = frozenset({"yes", "no", "unknown"})


@dataclass(frozen=True, slots=True)
class Want:
    """What a fact may still be: one of `words`, or a number above `low` and below `high`.

    `low_open`, `high_open`: the bound itself is not meant. For a number `is_stated` says whether it
    must be there; None leaves it open.
    """

    words: frozenset[str] | None = None
    low: float = -math.inf
    high: float = math.inf
    low_open: bool = False
    high_open: bool = False
    is_stated: bool | None = None

    @property
    def possible(self) -> bool:
        """Whether anything is left."""
        if self.words is not None:
            return bool(self.words)
        bounded = self.low > -math.inf or self.high < math.inf
        if self.is_stated is False and bounded:
            return False
        open_end = self.low_open or self.high_open
        return self.low < self.high or (self.low == self.high and not open_end)

    def and_(self, other: Want) -> Want:
        """Both at once."""
        if self.words is not None or other.words is not None:
            words = (
                (self.words if other.words is None else other.words)
                if self.words is None or other.words is None
                else self.words & other.words
            )
            return Want(words)
        low, low_open = max((self.low, self.low_open), (other.low, other.low_open))
        high, closed = min((self.high, not self.high_open), (other.high, not other.high_open))
        stated = self.is_stated if other.is_stated is None else other.is_stated
        if None not in (self.is_stated, other.is_stated) and self.is_stated != other.is_stated:
            return Want(frozenset())
        return Want(None, low, high, low_open, not closed, stated)

    def within(self, other: Want) -> bool:
        """Whether whatever is this is the other too."""
        if self.words is not None or other.words is not None:
            return self.words is not None and other.words is not None and self.words <= other.words
        if other.is_stated is not None and self.is_stated != other.is_stated:
            return False
        above = (self.low, self.low_open) >= (other.low, other.low_open)
        return above and (self.high, not self.high_open) <= (other.high, not other.high_open)

    def holds(self, value: str | float | None) -> bool:
        """Whether a fact of this value (None: there is none) is what is wanted."""
        if self.words is not None:
            return value in self.words
        if value is None:
            return self.is_stated is not True
        if isinstance(value, str) or self.is_stated is False:
            return False
        above = value > self.low if self.low_open else value >= self.low
        return above and (value < self.high if self.high_open else value <= self.high)


@dataclass(frozen=True, slots=True)
class Situation:
    """What is asked of facts, and the states and plan items that are (`there`) or are not (`absent`)."""

    wants: dict[str, Want] = field(default_factory=dict)
    there: frozenset[str] = frozenset()
    absent: frozenset[str] = frozenset()


class Situations:
    """The situations of a set of rules."""

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary) -> None:
        self.rules, self.vocabulary = tuple(rules), vocabulary
        self.givers: dict[str, list[tuple[Rule, str]]] = defaultdict(list)
        self._branches: dict[tuple[str, str], list[Branch]] = {}
        self._alone: dict[Branch, Situation | None] = {}
        for rule in self.rules:
            for side in rule.sides:
                self._branches[rule.id, side] = branches(rule, side)
                for key in conclusions(rule, side, vocabulary):
                    self.givers[key].append((rule, side))

    def branches_of(self, rule: Rule, side: str) -> list[Branch]:
        """The branches of a rule on a side."""
        return self._branches[rule.id, side]

    # --- one branch -------------------------------------------------------------------------------
    def alone(self, branch: Branch) -> Situation | None:
        """The situation of a branch by itself; None where its tests contradict each other."""
        if branch not in self._alone:
            self._alone[branch] = self.joined(Situation(), branch)
        return self._alone[branch]

    def joined(self, situation: Situation, branch: Branch) -> Situation | None:
        """A situation in which a branch holds as well; None where it cannot."""
        wants = dict(situation.wants)
        there, absent = set(situation.there), set(situation.absent)
        for key, want in self._wants(branch, there, absent):
            wants[key] = wants[key].and_(want) if key in wants else want
            if not wants[key].possible:
                return None
        if there & absent or not self._feet_left(wants, branch):
            return None
        return Situation(wants, frozenset(there), frozenset(absent))

    def merged(self, one: Situation, other: Situation) -> Situation | None:
        """Both situations at once; None where they contradict each other."""
        wants = dict(one.wants)
        for key, want in other.wants.items():
            wants[key] = wants[key].and_(want) if key in wants else want
            if not wants[key].possible:
                return None
        there, absent = one.there | other.there, one.absent | other.absent
        return None if there & absent else Situation(wants, there, absent)

    def _feet_left(self, wants: dict[str, Want], branch: Branch) -> bool:
        gone = [wants.get(f"{side}.leg_amputated") == Want(frozenset({"yes"})) for side in SIDES]
        return not all(gone) or ("person.feet", "=", "some") not in branch

    def _wants(self, branch: Branch, there: set[str], absent: set[str]) -> Iterator[tuple[str, Want]]:
        # In a fixed order: made cases must not depend on how a process hashes.
        for atom in sorted(branch, key=str):
            key, _, value = atom
            side, _, term_id = key.partition(".")
            if key == "person.feet":
                continue
            if self._of_rules(key):
                (there if value == "yes" else absent).add(key)
                if value == "yes" and side in SIDES:
                    yield f"{side}.leg_amputated", Want(frozenset({"no", "unknown"}))
                continue
            if term_id == "there":
                yield f"{side}.leg_amputated", self._word(value == "no")
                continue
            if side in SIDES and term_id != "leg_amputated":
                yield f"{side}.leg_amputated", self._word(term_id.startswith("stump."))
            yield self._want(atom)

    def _word(self, gone: bool) -> Want:
        return Want(frozenset({"yes"}) if gone else frozenset({"no", "unknown"}))

    def _of_rules(self, key: str) -> bool:
        _, _, term_id = key.partition(".")
        name = term_id.partition("=")[0]
        return term_id.startswith("plan.") or isinstance(self.vocabulary.by_id.get(name), Derived)

    def _want(self, atom: Atom) -> tuple[str, Want]:
        key, op, value = atom
        side, _, term_id = key.partition(".")
        if key.endswith(".is"):
            term_id = term_id.removesuffix(".is")
            stated = value == "stated"
            choice = self.vocabulary.choices.get(term_id)
            if choice is None:
                return f"{side}.{term_id}", Want(is_stated=stated)
            return f"{side}.{term_id}", Want(frozenset(choice.one_of) if stated else frozenset({""}))
        if isinstance(value, str):
            term_id = term_id.removeprefix("stump.")
            choice = self.vocabulary.choices.get(term_id)
            every = frozenset(choice.one_of) if choice else _FINDING
            if term_id in self.vocabulary.calculated:
                every = frozenset({"yes", "no"})
            return key, Want(every & {value} if op == "=" else every - {value})
        measure = self.vocabulary.measures.get(term_id)
        low, high = (float(measure.low), float(measure.high)) if measure else (-math.inf, math.inf)
        every_number = Want(None, low, high, is_stated=True)
        if op in (">", ">="):
            return key, every_number.and_(Want(low=value, low_open=op == ">", is_stated=True))
        return key, every_number.and_(Want(high=value, high_open=op == "<", is_stated=True))

    # --- what leads there ---------------------------------------------------------------------------
    def leading_to(self, rule: Rule, side: str, chance: Random | None = None) -> Iterator[Situation]:
        """Situations in which a rule speaks for a side, states traced back to what a case states.

        In the order written, or shuffled by `chance`. Raises `_TooMany` in the end where the search is
        given up.
        """
        steps = [MOST_STEPS]
        for branch in _ordered(self.branches_of(rule, side), chance):
            situation = self.alone(branch)
            if situation is not None:
                agenda = [(key, frozenset[str]()) for key in sorted(situation.there)]
                yield from self._solve(situation, agenda, frozenset(), chance, steps)

    def _solve(
        self,
        situation: Situation,
        agenda: list[tuple[str, frozenset[str]]],
        traced: frozenset[str],
        chance: Random | None,
        steps: list[int],
    ) -> Iterator[Situation]:
        steps[0] -= 1
        if steps[0] < 0:
            raise TooMany
        if not agenda:
            if not any(self.forced(key, situation) for key in situation.absent):
                yield situation
            return
        (key, above), rest = agenda[0], agenda[1:]
        if key in traced:
            yield from self._solve(situation, rest, traced, chance, steps)
            return
        for rule, side in _ordered(self.givers.get(key, []), chance):
            for branch in _ordered(self.branches_of(rule, side), chance):
                wider = self.joined(situation, branch)
                own = self.alone(branch)
                if wider is None or own is None or own.there & (above | {key}):
                    continue
                more = [(k, above | {key}) for k in sorted(own.there)]
                yield from self._solve(wider, [*more, *rest], traced | {key}, chance, steps)

    def can_speak(self, rule: Rule, side: str) -> bool:
        """Whether any case makes the rule speak for the side; no is a proof."""
        try:
            return next(self.leading_to(rule, side), None) is not None
        except TooMany:
            return True

    # --- what follows -------------------------------------------------------------------------------
    def forced(self, key: str, situation: Situation, above: frozenset[str] = frozenset()) -> bool:
        """Whether a state or plan item is concluded in every case of a situation; yes is a proof."""
        if key in situation.there:
            return True
        if key in above or len(above) > DEEPEST:
            return False
        return any(
            self.entails(situation, branch, above | {key})
            for rule, side in self.givers.get(key, ())
            for branch in self.branches_of(rule, side)
        )

    def entails(self, situation: Situation, branch: Branch, above: frozenset[str] = frozenset()) -> bool:
        """Whether a branch holds in every case of a situation; yes is a proof."""
        asked = self.alone(branch)
        if asked is None or not asked.absent <= situation.absent:
            return False
        for key, want in asked.wants.items():
            if key not in situation.wants or not situation.wants[key].within(want):
                return False
        if ("person.feet", "=", "some") in branch and not self._some_foot(situation):
            return False
        return all(self.forced(key, situation, above) for key in sorted(asked.there))

    def _some_foot(self, situation: Situation) -> bool:
        there = Want(frozenset({"no", "unknown"}))
        return any(situation.wants.get(f"{s}.leg_amputated", Want(_FINDING)).within(there) for s in SIDES)

    def contained(self, rule: Rule, side: str, other: Rule, *, traced: bool = True) -> bool:
        """Whether `other` speaks on the side wherever `rule` does; yes is a proof.

        `traced`: also by way of states that other rules conclude.
        """
        feet = ("person.feet", "=", "some")
        above = frozenset[str]() if traced else UNTRACED
        wider = self.branches_of(other, side)
        if all(feet in branch for branch in self.branches_of(rule, side)):
            # Both ask for a foot in the same words: that part holds of itself.
            wider = [branch - {feet} for branch in wider]
        found = [s for b in self.branches_of(rule, side) if (s := self.alone(b)) is not None]
        return bool(found) and all(
            any(self.entails(part, branch, above) for branch in wider)
            for situation in found
            for part in self._split(situation)
        )

    def _split(self, situation: Situation) -> list[Situation]:
        """A situation as several in which every word is settled, where that is not too many."""
        open_keys = [k for k, w in situation.wants.items() if w.words is not None and len(w.words) > 1]
        count = math.prod(len(situation.wants[k].words or ()) for k in open_keys)
        if count > MOST_SPLITS:
            return [situation]
        choices = [[(k, w) for w in sorted(situation.wants[k].words or ())] for k in open_keys]
        return [
            replace(situation, wants={**situation.wants, **{k: Want(frozenset({w})) for k, w in picked}})
            for picked in product(*choices)
        ]


class TooMany(Exception):
    """A search was given up."""


def _ordered(found: Sequence[T], chance: Random | None) -> Sequence[T]:
    return found if chance is None or len(found) < 2 else chance.sample(found, len(found))


def place_of(key: str) -> tuple[str, str]:
    """The term and the side of a fact's key."""
    side, _, term_id = key.partition(".")
    return term_id, side if side in SIDES else PERSON
