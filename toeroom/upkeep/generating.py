"""Cases made so that given rules speak: for every rule and for every pair of rules.

The same rules, seed and number give the same case, whichever process asks for it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from random import Random

from toeroom.case import Case, Place
from toeroom.measures.calculated import calculate
from toeroom.rules.model import Rule, tests_of
from toeroom.upkeep.situations import Situation, Situations, TooMany, Want, place_of
from toeroom.vocabulary import PERSON, SIDES, Measure, Vocabulary

AS_OF = date(2026, 11, 25)
DRAWS = 3000
SITUATIONS_A_RULE = 24
TRIES = 8


@dataclass(frozen=True, slots=True)
class Stated:
    """What leads to one value of a calculation: measures, choices and days; all others left open."""

    value: str | float | None
    measures: tuple[tuple[Place, Decimal], ...]
    choices: tuple[tuple[str, str], ...]
    dates: tuple[tuple[str, date], ...]


class CaseMaker:
    """Makes cases for the situations of a set of rules."""

    def __init__(self, situations: Situations, seed: int = 1) -> None:
        self.vocabulary: Vocabulary = situations.vocabulary
        self.seed = seed
        self.places = [(i, s) for i in self.vocabulary.findings for s in self.vocabulary.sides_of(i)]
        self.by_rule: dict[tuple[str, str], list[Situation]] = {}
        for rule in situations.rules:
            for side in rule.sides:
                self.by_rule[rule.id, side] = _some(situations, rule, side, seed)
        self.rules = [rule for rule in situations.rules if any(self.by_rule[rule.id, s] for s in rule.sides)]
        self.situations = situations
        self._pools: dict[tuple[str, str], list[Stated]] = {}
        self._fitting: dict[tuple[str, str, Want], list[Stated]] = {}
        tests = [test for rule in situations.rules for test in tests_of(rule.when)]
        self._limits: dict[str, list[Decimal]] = {}
        for test in tests:
            if isinstance(test.value, Decimal):
                self._limits.setdefault(test.id, []).append(test.value)

    def pairs(self) -> list[tuple[int, int]]:
        """Every rule by itself, then every two rules, in an order mixed by the seed."""
        count = range(len(self.rules))
        mixed = list(itertools.combinations(count, 2))
        Random(self.seed).shuffle(mixed)
        return [*((i, i) for i in count), *mixed]

    def case(self, number: int, pair: tuple[int, int]) -> Case:
        """Case `number`, in which both rules of `pair` speak where that can be found."""
        chance = Random(f"{self.seed}/{number}")
        one, other = (self.rules[i] for i in pair)
        situation = self._both(one, other, chance)
        return self.of_situation(situation, chance, f"made-{number}", more=chance.choice((0, 0, 1, 3, 8)))

    def _both(self, one: Rule, other: Rule, chance: Random) -> Situation:
        found = None
        for _ in range(TRIES):
            first, second = (self._one(rule, chance) for rule in (one, other))
            found = self.situations.merged(first, second)
            if found is not None:
                return found
        return self._one(chance.choice((one, other)), chance)

    def _one(self, rule: Rule, chance: Random) -> Situation:
        sides = [side for side in rule.sides if self.by_rule[rule.id, side]]
        return chance.choice(self.by_rule[rule.id, chance.choice(sides)])

    # --- from a situation to a case -------------------------------------------------------------------
    def of_situation(
        self, situation: Situation, chance: Random, name: str, more: int = 0, *, others_no: bool = False
    ) -> Case:
        """A case in which a situation holds, and `more` findings besides that it says nothing of.

        `others_no`: all of those are no; of feet that nothing is said of too.
        """
        findings: dict[Place, str] = {}
        measures: dict[Place, Decimal] = {}
        choices: dict[str, str] = {}
        dates: dict[str, date] = {}
        calculated: list[tuple[str, str, Want]] = []
        left_out: set[Place] = set()
        for key, want in situation.wants.items():
            term_id, side = place_of(key)
            term_id = term_id.removeprefix("stump.")
            if term_id in self.vocabulary.findings:
                findings[term_id, side] = _word(want, chance, unless_no=term_id == "leg_amputated")
            elif term_id in self.vocabulary.measures:
                self._measure((term_id, side), want, chance, measures, left_out)
            elif term_id in self.vocabulary.choices:
                word = chance.choice(sorted(want.words or ("",)))
                if word:
                    choices[term_id] = word
            else:
                calculated.append((term_id, side, want))
        for term_id, side, want in calculated:
            self._calculated(term_id, side, want, chance, (situation, measures, choices, dates, left_out))
        if others_no:
            findings = {**dict.fromkeys(self.places, "no"), **findings}
        for place in chance.sample(self.places, more):
            if place not in findings and place[0] != "leg_amputated":
                findings[place] = chance.choice(("yes", "yes", "no"))
        stated = {place: value for place, value in findings.items() if value != "unknown"}
        return Case(name, AS_OF, findings=stated, measures=measures, choices=choices, dates=dates)

    def _measure(
        self, place: Place, want: Want, chance: Random, into: dict[Place, Decimal], left_out: set[Place]
    ) -> None:
        if want.is_stated is False:
            left_out.add(place)
            return
        measure = self.vocabulary.measures[place[0]]
        near = [limit + step for limit in self._limits.get(place[0], []) for step in _STEPS]
        fit = [
            number for number in near if measure.low <= number <= measure.high and want.holds(float(number))
        ]
        into[place] = chance.choice(fit) if fit else _between(measure, want, chance)

    def _calculated(
        self,
        term_id: str,
        side: str,
        want: Want,
        chance: Random,
        so_far: tuple[Situation, dict[Place, Decimal], dict[str, str], dict[str, date], set[Place]],
    ) -> None:
        situation, measures, choices, dates, left_out = so_far
        key = (term_id, side, want)
        if key not in self._fitting:
            self._fitting[key] = [one for one in self._pool(term_id, side) if want.holds(one.value)]
        pool = self._fitting[key]
        for stated in chance.sample(pool, min(len(pool), TRIES)):
            fits = all(
                measures.get(place, number) == number
                and place not in left_out
                and situation.wants.get(f"{place[1]}.{place[0]}", want_any).holds(float(number))
                for place, number in stated.measures
            )
            if fits and all(dates.get(term, day) == day for term, day in stated.dates):
                measures.update(stated.measures)
                dates.update(stated.dates)
                choices.update((k, v) for k, v in stated.choices if k not in choices)
                return

    def _pool(self, term_id: str, side: str) -> list[Stated]:
        if (term_id, side) not in self._pools:
            chance = Random(f"{self.seed}/{term_id}/{side}")
            own = [self._draw(term_id, side, (side,), chance) for _ in range(DRAWS)]
            if len({stated.value for stated in own}) < 3 and side in SIDES:
                own += [self._draw(term_id, side, SIDES, chance) for _ in range(DRAWS)]
            self._pools[term_id, side] = own
        return self._pools[term_id, side]

    def _draw(self, term_id: str, side: str, feet: Iterable[str], chance: Random) -> Stated:
        """One way of stating what a calculation looks at, and what comes of it."""
        measures: dict[Place, Decimal] = {}
        choices: dict[str, str] = {}
        dates: dict[str, date] = {}
        last: Decimal | None = None
        for from_id in self.vocabulary.calculated[term_id].from_ids:
            if from_id in self.vocabulary.measures:
                measure = self.vocabulary.measures[from_id]
                on = (PERSON,) if measure.scope == PERSON else SIDES if side == PERSON else tuple(feet)
                for one in on:
                    if chance.random() < 0.92:
                        last = measures[from_id, one] = _drawn(measure, last, chance)
            elif from_id in self.vocabulary.choices and chance.random() < 0.7:
                choices[from_id] = chance.choice(self.vocabulary.choices[from_id].one_of)
            elif from_id in self.vocabulary.dates and chance.random() < 0.85:
                dates[from_id] = AS_OF + timedelta(days=chance.randint(-400, 20))
        case = Case("draw", AS_OF, measures=measures, choices=choices, dates=dates)
        found = calculate(case, term_id, side)
        value = found if found is None or isinstance(found, str) else float(found)
        return Stated(value, tuple(measures.items()), tuple(choices.items()), tuple(dates.items()))


want_any = Want()
_FINE = tuple(Decimal(step) for step in ("0", "0", "0.5", "0.1", "0.2", "0.3"))
_STEPS = tuple(Decimal(step) for step in ("0", "0.1", "-0.1", "1", "-1", "5", "-5"))


def _some(situations: Situations, rule: Rule, side: str, seed: int) -> list[Situation]:
    chance = Random(f"{seed}/{rule.id}/{side}")
    found: list[Situation] = []
    for _ in range(4):
        try:
            found += itertools.islice(situations.leading_to(rule, side, chance), SITUATIONS_A_RULE // 4)
        except TooMany:
            continue
    return found


def _word(want: Want, chance: Random, *, unless_no: bool) -> str:
    words = sorted(want.words or ())
    if unless_no and words == ["no", "unknown"]:
        return chance.choice(("no", "unknown", "unknown"))
    return chance.choice(words)


def _between(measure: Measure, want: Want, chance: Random) -> Decimal:
    low = max(want.low, float(measure.low))
    high = min(want.high, float(measure.high))
    for _ in range(TRIES):
        number = Decimal(round(chance.uniform(low, high) * 10)) / 10
        if want.holds(float(number)) and measure.low <= number <= measure.high:
            return number
    return Decimal(str(round((low + high) / 2, 6))) if math.isfinite(low + high) else measure.low


def _drawn(measure: Measure, last: Decimal | None, chance: Random) -> Decimal:
    """A number in the range, often close to the one drawn before: differences are small in practice."""
    low, high = int(measure.low), int(measure.high)
    if last is not None and chance.random() < 0.6 and low <= last <= high:
        near = last + chance.randint(*chance.choice(((-24, 24), (-3, 3)))) + chance.choice(_FINE)
        return min(max(near, measure.low), measure.high)
    return Decimal(chance.randint(low, high))


def numbered(maker: CaseMaker, pairs: Sequence[tuple[int, int]], numbers: Iterable[int]) -> Iterable[Case]:
    """The cases of these numbers, round after round over the pairs."""
    for number in numbers:
        yield maker.case(number, pairs[number % len(pairs)])
