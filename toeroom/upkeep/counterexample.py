"""The smallest case that breaks a guarantee, and whether the engines show it too."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from toeroom.case import Case
from toeroom.plan import Line, Plan
from toeroom.rules.fixpoint import ORDER, OTHER
from toeroom.rules.model import Rule, Then
from toeroom.rules.planning import Planner
from toeroom.upkeep.encoded_claims import places
from toeroom.upkeep.guarantees import (
    Claim,
    Claims,
    Concluded,
    DoneBy,
    Figure,
    Guarantee,
    OneValue,
    OnFeet,
    Standing,
)
from toeroom.upkeep.solver import Formula, Term, at_most, fraction, z3
from toeroom.upkeep.stated import Stated, day_in
from toeroom.vocabulary import PERSON, SIDES

MOST_DECIMALS = 9
AFTER_ALL_RULES = 1_000_000


# --- finding it --------------------------------------------------------------------------------------
def smallest(
    solver: Term, stated: Stated, ways: list[Formula], as_of: date, name: str, title: str
) -> Case | None:
    """A case with as few stated facts as can be in which one of `ways` holds; the first way where it can.

    Of several as small, the one whose facts come first in the vocabulary: the same on every run.
    None where no case can be written down with the decimals that a case allows.
    """
    found = _fewest(solver, stated, z3.Or(*ways))
    solver.push()
    try:
        solver.add(at_most(len(found), stated.flags))
        way = next((w for w in ways if solver.check(w) == z3.sat), z3.Or(*ways))
        solver.add(way)
        _prefer(solver, stated.as_of.is_(as_of))
        _prefer(solver, z3.Not(z3.Or(*stated.flags_of["right"])))
        _prefer_first(solver, stated.flags, len(found))
        solver.check()
        return _in_decimals(solver, stated, name, title)
    finally:
        solver.pop()


def _fewest(solver: Term, stated: Stated, broken: Formula) -> list[Formula]:
    """The stated facts of a smallest breaking case: first by leaving out, then by asking for fewer."""
    solver.check(broken)
    held = _stated_in(solver.model(), stated)
    absent = [z3.Not(flag) for flag in stated.flags]
    for flag in list(held):
        names = {f.get_id() for f in held} - {flag.get_id()}
        without = [no for no, f in zip(absent, stated.flags, strict=True) if f.get_id() not in names]
        if flag.get_id() in {f.get_id() for f in held} and solver.check(broken, *without) == z3.sat:
            held = _stated_in(solver.model(), stated)
    while held:
        solver.push()
        solver.add(at_most(len(held) - 1, stated.flags))
        fewer = solver.check(broken) == z3.sat
        if fewer:
            held = _stated_in(solver.model(), stated)
        solver.pop()
        if not fewer:
            break
    return held


def _stated_in(model: Term, stated: Stated) -> list[Formula]:
    return [f for f in stated.flags if z3.is_true(model.eval(f, model_completion=True))]


def _prefer(solver: Term, wish: Formula) -> bool:
    """Asserts `wish` where it can still hold."""
    possible: bool = solver.check(wish) == z3.sat
    if possible:
        solver.add(wish)
    return possible


def _prefer_first(solver: Term, wishes: list[Formula], most: int) -> None:
    """Asserts as many as `most` of the wishes, the first that can still hold."""
    for wish in wishes:
        if most == 0:
            return
        most -= _prefer(solver, wish)


def _in_decimals(solver: Term, stated: Stated, name: str, title: str) -> Case | None:
    """The case of the last model, its numbers made short and its days those of the plan where they may be."""
    model = solver.model()
    for flag in stated.flags:
        solver.add(flag if z3.is_true(model.eval(flag, model_completion=True)) else z3.Not(flag))
    today = day_in(model, stated.as_of)
    for day in stated.dates.values():
        if z3.is_true(model.eval(day.stated, model_completion=True)):
            _prefer(solver, day.is_(today))
    for measured in stated.measures.values():
        if z3.is_true(model.eval(measured.stated, model_completion=True)):
            solver.check()
            value = solver.model().eval(measured.number, model_completion=True).as_fraction()
            if not any(_prefer(solver, measured.number == fraction(near)) for near in decimals_near(value)):
                return None
    solver.check()
    return stated.as_case(solver.model(), name, title)


def decimals_near(value: Fraction) -> Iterator[Decimal]:
    """Decimal numbers beside `value`, the shortest first."""
    value = Fraction(value)
    for digits in range(MOST_DECIMALS + 1):
        scale = 10**digits
        for whole in dict.fromkeys((math.floor(value * scale), math.ceil(value * scale))):
            yield Decimal(whole).scaleb(-digits)


# --- showing it --------------------------------------------------------------------------------------
class Witness:
    """Looks at a case with the engines: which guarantees its plan breaks, and by what."""

    def __init__(self, planner: Planner, guarantees: tuple[Guarantee, ...]) -> None:
        self.planner = planner
        asking = tuple(_as_rule(guarantee) for guarantee in guarantees)
        self.asking = Planner((*planner.rules, *asking), planner.vocabulary, planner.version)

    def breaks(self, guarantee: Guarantee, case: Case) -> list[str]:
        """What in the plan of `case`, worked out by both engines, breaks the guarantee; empty if nothing."""
        return self.broken_in(case, [guarantee])[guarantee.id]

    def broken_in(self, case: Case, guarantees: Iterable[Guarantee]) -> dict[str, list[str]]:
        """The same for several guarantees, by id."""
        plan, spoke = self.planner.plan(case), self.asking.run(case).fired
        gone = {side for side in SIDES if case.finding("leg_amputated", side) == "yes"}
        said = _Said(plan, gone)
        found: dict[str, list[str]] = {}
        for guarantee in guarantees:
            found[guarantee.id] = []
            for side in guarantee.sides:
                asked = (_name(guarantee), PERSON if guarantee.about == "missing foot" else side)
                if asked in spoke and (guarantee.about != "missing foot" or side in gone):
                    found[guarantee.id] += said.wrong(guarantee, side)
        return found


def _name(guarantee: Guarantee) -> str:
    return f"guarantee {guarantee.id}"


def _as_rule(guarantee: Guarantee) -> Rule:
    """A rule that says nothing and speaks where the guarantee's condition holds, after all others."""
    return Rule(
        id=_name(guarantee),
        title=guarantee.title,
        about="foot" if guarantee.about == "foot" else PERSON,
        stage="guard",
        step=AFTER_ALL_RULES,
        when=guarantee.when,
        then=Then(),
        pages=(),
        sources=guarantee.sources,
        author="",
        reviewed="",
        review_by="",
        without_feet=guarantee.without_feet or guarantee.about == "missing foot",
        file=guarantee.file,
        line=guarantee.line,
    )


class _Said:
    """What a finished plan says, claim by claim."""

    def __init__(self, plan: Plan, gone: set[str]) -> None:
        self.plan, self.gone = plan, gone

    def wrong(self, guarantee: Guarantee, side: str) -> list[str]:
        """What breaks the guarantee on `side`, in words; empty where nothing does."""
        found = []
        if guarantee.never is not None and self.true(guarantee.never, side):
            leaves = [self._shown(leaf, at) for leaf, at in self._leaves(guarantee.never, side)]
            found += [text for text in leaves if text] or ["there is no foot of which it could be false"]
        if guarantee.always is not None and not self.true(guarantee.always, side):
            leaves = [
                f"missing: {in_words(leaf, at)}"
                for leaf, at in self._leaves(guarantee.always, side)
                if not self.true(leaf, at)
            ]
            found += leaves or ["missing: a foot of which it could be true"]
        return list(dict.fromkeys(found))

    def _leaves(self, claim: Claim, side: str) -> Iterator[tuple[Claim, str]]:
        if isinstance(claim, Claims):
            for part in claim.parts:
                yield from self._leaves(part, side)
        elif isinstance(claim, OnFeet):
            for s in self._feet(claim, side):
                yield from self._leaves(claim.part, s)
        else:
            yield claim, side

    def _feet(self, claim: OnFeet, side: str) -> list[str]:
        sides = (OTHER[side],) if claim.which == "other foot" else SIDES
        return [s for s in sides if s not in self.gone]

    def true(self, claim: Claim, side: str) -> bool:
        """Whether a claim is true of the plan, looked at from `side`."""
        if isinstance(claim, Claims):
            parts = (self.true(part, side) for part in claim.parts)
            return all(parts) if claim.every else any(parts)
        if isinstance(claim, OnFeet):
            parts = (self.true(claim.part, s) for s in self._feet(claim, side))
            return all(parts) if claim.which == "each foot" else any(parts)
        if isinstance(claim, Standing):
            return bool(self._lines(claim, side))
        if isinstance(claim, Concluded):
            return (claim.id, claim.value) in self._states(side)
        if isinstance(claim, OneValue):
            return sum(i == claim.id for i, _ in self._states(side)) == 1
        line = self.plan.line(claim.item, side)
        if isinstance(claim, DoneBy):
            return line is None or line.by == claim.who
        return line is not None and _compared(claim, line)

    def _lines(self, claim: Standing, side: str) -> list[Line]:
        lines = [self.plan.line(claim.item, place) for place in places(claim.where, side)]
        return [line for line in lines if line is not None and _stands(claim, line)]

    def _states(self, side: str) -> list[tuple[str, str]]:
        return [(s.id, s.value) for s in self.plan.states if s.side in (side, PERSON)]

    def _shown(self, claim: Claim, side: str) -> str:
        """A forbidden thing that is there, and the rules that gave it."""
        if not self.true(claim, side):
            return ""
        if isinstance(claim, Standing):
            return "; ".join(
                f"{claim.how} {_of(line.side)}: {line.id} (by {_rules(line)})"
                for line in self._lines(claim, side)
            )
        return in_words(claim, side)


def _compared(claim: Figure, line: Line) -> bool:
    value = line.detail.get(claim.name)
    if not isinstance(value, int | float):
        return False
    limit = float(claim.limit)
    return value == limit if claim.op == "=" else bool(ORDER[claim.op](value, limit))


def _stands(claim: Standing, line: Line) -> bool:
    return claim.how == "in the plan" or claim.how == line.standing.replace("_", " ")


def _rules(line: Line) -> str:
    return ", ".join(dict.fromkeys(reason.rule for reason in line.reasons))


def _of(side: str) -> str:
    return f"on the {side}" if side in SIDES else "for the person"


def in_words(claim: Claim, side: str) -> str:
    """A single claim as a person would say it."""
    if isinstance(claim, Standing):
        where = {"here": _of(side), PERSON: "for the person"}.get(claim.where, "anywhere")
        return f"{claim.item} {claim.how} {where}"
    if isinstance(claim, Concluded):
        return f"{claim.id} {claim.value} concluded {_of(side)}"
    if isinstance(claim, OneValue):
        return f"exactly one value of {claim.id}"
    if isinstance(claim, DoneBy):
        return f"{claim.item} done by the {claim.who}"
    assert isinstance(claim, Figure)
    return f"{claim.item} {_of(side)} with {claim.name} {claim.op} {claim.limit}"


def with_note(case: Case, broken: list[str]) -> Case:
    """The case with a note of what its plan gets wrong."""
    return replace(case, notes="; ".join(broken))
