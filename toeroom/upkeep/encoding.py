"""A rule book as formulas: what its rules conclude of every case at once.

Shares with the two engines only the rules as they were read. Each rule tried for a side becomes a
symbol with one definition; symbols only lean on what a case states, on earlier steps, and within a
step on what is already defined, so a case fixes them all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from toeroom.case import Place
from toeroom.errors import BookFault
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Test
from toeroom.upkeep.encoded_values import DAYS, OTHER, QUANTITIES, YES_NO, quantity
from toeroom.upkeep.solver import Formula, both, either, one, z3
from toeroom.upkeep.stated import Answer, Stated
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

Spoken = tuple[str, str]
"""A rule's id and the side it is tried for."""
Key = tuple[str, str, str]
"""A state with its value and place, or a plan item with '' and its place."""

NEVER = one(False)


class Encoding:
    """The formulas of a set of rules.

    read, spoke: the symbol of each rule and side, for the rules that read and for all others.
    findings: the findings as they are read. definitions: to be asserted before anything is asked.
    """

    def __init__(self, rules: Iterable[Rule], vocabulary: Vocabulary) -> None:
        self.rules, self.vocabulary = tuple(rules), vocabulary
        self.stated = Stated(vocabulary)
        self.definitions: list[Formula] = []
        self.read: dict[Spoken, Formula] = {}
        self.spoke: dict[Spoken, Formula] = {}
        self.concluded: dict[Key, Formula] = {}
        self.held_by: dict[Place, list[Formula]] = defaultdict(list)
        self.findings: dict[Place, Answer] = self.stated.findings
        self._encode()

    def _encode(self) -> None:
        reading = [rule for rule in self.rules if rule.then.reads or rule.then.corrects]
        for rule in reading:
            for side in rule.sides:
                self.read[rule.id, side] = self._defined(f"read {rule.id} {side}", self._speaks(rule, side))
        self.findings = self._as_read(reading)
        steps: dict[tuple[int, int], list[Rule]] = defaultdict(list)
        for rule in self.rules:
            if not (rule.then.reads or rule.then.corrects):
                steps[rule.when_it_runs].append(rule)
        for step in sorted(steps):
            self._step(steps[step])

    def _defined(self, name: str, formula: Formula) -> Formula:
        symbol = z3.Bool(name)
        self.definitions.append(symbol == formula)
        return symbol

    # --- reading -----------------------------------------------------------------------------------
    def _as_read(self, reading: list[Rule]) -> dict[Place, Answer]:
        """The findings with blanks filled and corrections made; where both are read, yes wins."""
        wanted: dict[tuple[Place, str], list[Formula]] = defaultdict(list)
        for rule in reading:
            for side in rule.sides:
                for pairs, over in ((rule.then.reads, False), (rule.then.corrects, True)):
                    for term_id, value in pairs:
                        place = term_id, side if self.vocabulary.by_id[term_id].scope == "foot" else PERSON
                        stated = self.stated.findings.get(place)
                        if stated is not None:
                            open_ = z3.Not(stated.is_(value)) if over else stated.is_("unknown")
                            wanted[place, value].append(both(self.read[rule.id, side], open_))
        found = dict(self.stated.findings)
        for place in {place for place, _ in wanted}:
            stated = found[place]
            yes, no = (either(NEVER, *wanted[place, value]) for value in ("yes", "no"))
            name = f"{place[1]}.{place[0]} as read"
            found[place] = Answer(
                self._defined(f"{name}=yes", either(yes, both(stated.yes, z3.Not(no)))),
                self._defined(f"{name}=no", both(z3.Not(yes), either(no, stated.no))),
            )
        return found

    # --- steps -------------------------------------------------------------------------------------
    def _step(self, rules: list[Rule]) -> None:
        """Rules that lean on nothing of their own step first; those left lean on each other in a ring."""
        waiting = [(rule, side) for rule in rules for side in rule.sides]
        while waiting:
            coming = {key for rule, side in waiting for key in self._conclusions(rule, side)}
            ready = [(r, s) for r, s in waiting if not coming.intersection(self._keys(r.when, s))]
            if not ready:
                self._ring(waiting, coming)
                return
            formulas = [self._speaks(rule, side) for rule, side in ready]
            for (rule, side), formula in zip(ready, formulas, strict=True):
                self._speak(rule, side, formula)
            waiting = [entry for entry in waiting if entry not in ready]

    def _ring(self, waiting: list[tuple[Rule, str]], coming: set[Key]) -> None:
        """Rules that lean on each other: as many rounds as there are conclusions reach all of them."""
        before = dict(self.concluded)
        for number in range(len(coming)):
            gained: dict[Key, list[Formula]] = defaultdict(list)
            for rule, side in waiting:
                formula = self._speaks(rule, side)
                for key in self._conclusions(rule, side):
                    gained[key].append(formula)
            for key, formulas in gained.items():
                whole = either(before.get(key, NEVER), *formulas)
                self.concluded[key] = self._defined(f"{key} round {number} of {waiting[0][0].id}", whole)
        formulas = [self._speaks(rule, side) for rule, side in waiting]
        self.concluded = before
        for (rule, side), formula in zip(waiting, formulas, strict=True):
            self._speak(rule, side, formula)

    def _speak(self, rule: Rule, side: str, formula: Formula) -> None:
        symbol = self.spoke[rule.id, side] = self._defined(f"{rule.id} {side}", formula)
        for key in self._conclusions(rule, side):
            self.concluded[key] = either(self.concluded.get(key, NEVER), symbol)
        for item in rule.then.hold_back:
            self.held_by[item, side].append(symbol)

    def _conclusions(self, rule: Rule, side: str) -> list[Key]:
        states = [(i, value, self._place(i, side)) for i, value in rule.then.conclude]
        items = [(i, "", side) for i in rule.then.advise]
        return [*states, *items, *((i, "", PERSON) for i in rule.then.advise_person)]

    def _place(self, term_id: str, side: str) -> str:
        return side if self.vocabulary.by_id[term_id].scope == "foot" else PERSON

    # --- conditions --------------------------------------------------------------------------------
    def _speaks(self, rule: Rule, side: str) -> Formula:
        return self.applies(rule.when, rule.about, side, rule.without_feet)

    def applies(self, when: Condition, about: str, side: str, without_feet: bool) -> Formula:
        """A condition of a rule tried for `side`: of a foot that is there; of a person with a foot."""
        holds = self.holds(when, side)
        if about == "foot":
            return both(self.stated.there(side), holds)
        return holds if without_feet else both(self.stated.feet, holds)

    def holds(self, condition: Condition, side: str, of_stump: bool = False) -> Formula:
        """Whether a condition holds, looked at from `side` (left, right or person)."""
        if isinstance(condition, Test):
            return self._stump(condition, side) if of_stump else self._test(condition, side)
        if isinstance(condition, Feet):
            return self._feet(condition, side)
        parts = [self.holds(part, side, of_stump) for part in condition.parts]
        return both(one(True), *parts) if isinstance(condition, All) else either(NEVER, *parts)

    def _feet(self, condition: Feet, side: str) -> Formula:
        if condition.which == "other foot":
            return self.holds(condition.part, OTHER[side])
        feet = [self.holds(condition.part, s, condition.which == "either stump") for s in SIDES]
        if condition.which in ("either foot", "either stump"):
            return either(*feet)
        if condition.which == "each foot":
            feet = [either(z3.Not(self.stated.there(s)), f) for s, f in zip(SIDES, feet, strict=True)]
        return both(*feet)

    def _keys(self, condition: Condition, side: str) -> Iterator[Key]:
        """The states and items a condition asks for, from `side`."""
        if isinstance(condition, All | AnyOf):
            for part in condition.parts:
                yield from self._keys(part, side)
        elif isinstance(condition, Feet):
            for s in (OTHER[side],) if condition.which == "other foot" else SIDES:
                yield from self._keys(condition.part, s)
        elif condition.kind in ("derived", "plan"):
            yield self._key(condition, side)

    def _key(self, test: Test, side: str) -> Key:
        if test.kind == "plan":
            return test.id, "", side
        value = str(test.value)
        return test.id, "yes" if value == "no" else value, self._place(test.id, side)

    # --- tests -------------------------------------------------------------------------------------
    def _stump(self, test: Test, side: str) -> Formula:
        """A finding of a side whose leg is amputated; nothing else is known of a stump."""
        if test.kind != "finding" or test.scope != "foot" or test.id == "leg_amputated":
            return NEVER
        return both(z3.Not(self.stated.there(side)), self._answered(test, self.findings[test.id, side]))

    def _test(self, test: Test, side: str) -> Formula:
        if test.kind in ("derived", "plan"):
            concluded = self.concluded.get(self._key(test, side), NEVER)
            return z3.Not(concluded) if test.of_absence else concluded
        place = side if test.scope == "foot" else PERSON
        if test.kind == "finding":
            answered = self._answered(test, self.findings[test.id, place])
            # Of a side without a foot only that is known that the leg is amputated.
            return answered if test.id == "leg_amputated" else self._seen(place, answered)
        if test.kind == "choice":
            return self._chosen(test, side)
        return self._seen(place, self._valued(test, place))

    def _seen(self, place: str, formula: Formula) -> Formula:
        return both(self.stated.there(place), formula) if place in SIDES else formula

    def _answered(self, test: Test, answer: Answer) -> Formula:
        is_ = answer.is_(str(test.value))
        return z3.Not(is_) if test.op == "!=" else is_

    def _chosen(self, test: Test, side: str) -> Formula:
        if test.op in ("stated", "missing"):
            chosen = self.stated.chosen(test.id)
            return chosen if test.op == "stated" else z3.Not(chosen)
        wanted = side if test.op == "this side" else str(test.value)
        return self.stated.choices[test.id].get(wanted, NEVER)

    def _valued(self, test: Test, place: str) -> Formula:
        if test.id in YES_NO:
            holds = YES_NO[test.id](self.stated)
            if test.value not in ("yes", "no"):
                return one(test.op == "!=")
            asked_for_yes = (str(test.value) == "yes") == (test.op == "=")
            return holds if asked_for_yes else z3.Not(holds)
        if test.id in DAYS:
            return NEVER if test.op == "=" else DAYS[test.id](self.stated)
        number = quantity(self.stated, test.id, place)
        if number is None:
            raise BookFault(
                f"the prover does not know the calculation '{test.id}'",
                mend=f"it knows {', '.join((*QUANTITIES, *YES_NO))}",
            )
        if test.op in ("stated", "missing"):
            return number.stated if test.op == "stated" else z3.Not(number.stated)
        assert not isinstance(test.value, str)
        return number.holds(test.op, test.value)

    # --- the plan ----------------------------------------------------------------------------------
    def in_plan(self, item: str, place: str) -> Formula:
        """Whether an item is in the plan, advised or held back."""
        return self.concluded.get((item, "", place), NEVER)

    def held(self, item: str, place: str) -> Formula:
        """Whether an item is in the plan and held back."""
        return both(self.in_plan(item, place), either(NEVER, *self.held_by.get((item, place), ())))

    def advised(self, item: str, place: str) -> Formula:
        """Whether an item is in the plan and not held back."""
        return both(self.in_plan(item, place), z3.Not(self.held(item, place)))

    def state(self, term_id: str, value: str, side: str) -> Formula:
        """Whether a state is concluded of `side`, or of the person."""
        return self.concluded.get((term_id, value, self._place(term_id, side)), NEVER)
