"""The prover's encoding held against the plain engine, case by case."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

from toeroom.case import Case, Place
from toeroom.measures.dates import plus_months
from toeroom.rules.model import tests_of
from toeroom.rules.planning import Planner
from toeroom.upkeep.encoding import Encoding
from toeroom.upkeep.solver import Formula, Term, z3
from toeroom.vocabulary import SIDES

AS_OF = date(2026, 11, 25)
FRESH_AFTER = 50
"""A solver keeps every number it was ever asked about, and slows down."""
EDGES = (Decimal(0), Decimal("0.01"), Decimal("-0.01"), Decimal("0.005"), Decimal(1))


class Comparison:
    """An encoding, ready to be asked about case after case."""

    def __init__(self, planner: Planner) -> None:
        self.planner = planner
        self.encoding = Encoding(planner.rules, planner.vocabulary)
        self.asked = 0
        self.solver = self._fresh()
        self.symbols = {**self.encoding.read, **self.encoding.spoke}
        self.silent = {name: z3.Not(symbol) for name, symbol in self.symbols.items()}

    def _fresh(self) -> Term:
        solver = z3.SimpleSolver()
        solver.add(*self.encoding.stated.domain, *self.encoding.definitions)
        return solver

    def outcome(self, case: Case) -> list[Formula]:
        """What the plain engine says of a case, as formulas: who spoke, and how findings are read."""
        outcome = self.planner.run(case)
        spoke = outcome.read | outcome.fired
        said = [symbol if name in spoke else self.silent[name] for name, symbol in self.symbols.items()]
        for place, answer in self.encoding.findings.items():
            if answer is not self.encoding.stated.findings[place]:
                said.append(answer.is_(outcome.findings.get(place, "unknown")))
        return said

    def agrees(self, case: Case) -> bool:
        """Whether the encoding says of `case` what the engine says, and nothing else."""
        self.asked += 1
        if self.asked % FRESH_AFTER == 0:
            self.solver = self._fresh()
        stated = self.encoding.stated.as_formulas(case)
        return bool(self.solver.check(*stated, *self.outcome(case)) == z3.sat)

    def differing(self, case: Case) -> list[tuple[str, str]]:
        """The rules on which the two differ."""
        assert self.solver.check(*self.encoding.stated.as_formulas(case)) == z3.sat
        model, outcome = self.solver.model(), self.planner.run(case)
        spoke = outcome.read | outcome.fired
        return sorted(n for n, s in self.symbols.items() if z3.is_true(model.eval(s)) != (n in spoke))


class Cases:
    """Random cases whose numbers and days lie at the edges that the rules know."""

    def __init__(self, planner: Planner, chance: random.Random) -> None:
        self.vocabulary, self.chance = planner.vocabulary, chance
        self.limits: dict[str, list[Decimal]] = defaultdict(list)
        for test in (t for rule in planner.rules for t in tests_of(rule.when)):
            if isinstance(test.value, Decimal):
                self.limits[test.id].append(test.value)
        self.places = [
            (i, s) for i in self.vocabulary.findings if i != "leg_amputated" for s in self._sides(i)
        ]

    def _sides(self, term_id: str) -> tuple[str, ...]:
        return self.vocabulary.sides_of(term_id)

    def one(self) -> Case:
        """A case; how much of it is stated varies."""
        chance = self.chance
        share = chance.choice([0.05, 0.15, 0.4, 0.9])
        values = chance.choice([["yes", "no", "unknown"], ["yes", "no", "no", "no"], ["yes"]])
        findings = {p: chance.choice(values) for p in self.places if chance.random() < share}
        for side in SIDES:
            if chance.random() < 0.3:
                findings["leg_amputated", side] = chance.choice(["yes", "no", "unknown"])
        if chance.random() < 0.5:
            findings["us_medicare", "person"] = "yes"
        return Case(
            "random",
            self._day(AS_OF) if chance.random() < 0.3 else AS_OF,
            findings=findings,
            measures=dict(self._measures(chance.choice([0, 0.3, 0.8]))),
            choices={
                i: chance.choice(c.one_of)
                for i, c in self.vocabulary.choices.items()
                if chance.random() < 0.5
            },
            dates={i: self._day(AS_OF) for i in self.vocabulary.dates if chance.random() < 0.5},
        )

    def _day(self, about: date) -> date:
        """A day some months off, or beside it: where windows open and close."""
        months = self.chance.choice([0, -1, -3, -4, -6, -12, 2])
        start = self.chance.choice([about, date(2027, 2, 28), date(2028, 2, 29), date(2026, 8, 31)])
        return plus_months(start, months) + timedelta(days=self.chance.choice([0, 0, 1, -1, 2, 40]))

    def _measures(self, share: float) -> Iterator[tuple[Place, Decimal]]:
        chance = self.chance
        made: dict[Place, Decimal] = {}
        for term_id, measure in self.vocabulary.measures.items():
            for side in self._sides(term_id):
                if chance.random() >= share:
                    continue
                if self.limits[term_id] and chance.random() < 0.7:
                    value = chance.choice(self.limits[term_id]) + chance.choice(EDGES)
                else:
                    value = Decimal(chance.randint(int(measure.low * 10), int(measure.high * 10))) / 10
                made[term_id, side] = value
        self._near(made)
        for (term_id, side), value in made.items():
            low, high = self.vocabulary.measures[term_id].low, self.vocabulary.measures[term_id].high
            yield (term_id, side), min(max(value, low), high)

    def _near(self, made: dict[Place, Decimal]) -> None:
        """Makes some numbers such that a calculation lands on, or beside, a limit."""
        chance = self.chance
        for side in SIDES:
            for result, high, low in (
                ("toe_room_mm", "shoe_inner_length_mm", "foot_length_mm"),
                ("width_overhang_mm", "ball_width_mm", "shoe_inner_width_mm"),
            ):
                if (low, side) in made and chance.random() < 0.7:
                    limit = chance.choice(self.limits[result] or [Decimal(0)])
                    made[high, side] = made[low, side] + limit + chance.choice(EDGES)
            arm = made.get(("arm_pressure_mmhg", "person"))
            if arm is not None and self.limits["ankle_arm_index"] and chance.random() < 0.7:
                index = chance.choice(self.limits["ankle_arm_index"]) + chance.choice(EDGES)
                made["ankle_pressure_mmhg", side] = (index * arm).quantize(Decimal("0.0001"))
        if ("skin_temp_c", "left") in made and chance.random() < 0.7:
            made["skin_temp_c", "right"] = made["skin_temp_c", "left"] + Decimal("2.2") + chance.choice(EDGES)
        if ("foot_length_mm", "left") in made and chance.random() < 0.7:
            apart = chance.choice(
                [Decimal("6.6667"), Decimal("6.6666"), Decimal("8.4667"), Decimal("8.4666")]
            )
            made["foot_length_mm", "right"] = made["foot_length_mm", "left"] + chance.choice(
                [apart, -apart, 0]
            )
