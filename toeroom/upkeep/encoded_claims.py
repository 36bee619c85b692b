"""Guarantees as formulas: which cases break them."""

from __future__ import annotations

from collections.abc import Iterator

from toeroom.rules.model import Rule
from toeroom.upkeep.encoded_values import OTHER, Quantity, quantity
from toeroom.upkeep.encoding import NEVER, Encoding
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
from toeroom.upkeep.solver import Formula, both, either, fraction, one, z3
from toeroom.vocabulary import PERSON, SIDES

ORDER_OF_SIDES = (*SIDES, PERSON)


class EncodedClaims:
    """Formulas of guarantees over an encoding."""

    def __init__(self, encoding: Encoding) -> None:
        self.encoding, self.vocabulary = encoding, encoding.vocabulary

    def applies(self, guarantee: Guarantee, side: str) -> Formula:
        """Whether a guarantee has something to say of `side` in a case."""
        if guarantee.about == "missing foot":
            when = self.encoding.holds(guarantee.when, PERSON)
            return both(z3.Not(self.encoding.stated.there(side)), when)
        return self.encoding.applies(guarantee.when, guarantee.about, side, guarantee.without_feet)

    def broken(self, guarantee: Guarantee, side: str) -> Formula:
        """Whether a case breaks a guarantee on `side`."""
        wrong = [] if guarantee.never is None else [self.claim(guarantee.never, side)]
        if guarantee.always is not None:
            wrong.append(z3.Not(self.claim(guarantee.always, side)))
        return both(self.applies(guarantee, side), either(*wrong))

    def claim(self, claim: Claim, side: str) -> Formula:
        """Whether a claim is true of the plan, looked at from `side`."""
        if isinstance(claim, Claims):
            parts = [self.claim(part, side) for part in claim.parts]
            return both(one(True), *parts) if claim.every else either(NEVER, *parts)
        if isinstance(claim, OnFeet):
            return self._on_feet(claim, side)
        if isinstance(claim, Standing):
            return either(*(self._standing(claim, place) for place in places(claim.where, side)))
        if isinstance(claim, Concluded):
            return self.encoding.state(claim.id, claim.value, side)
        if isinstance(claim, OneValue):
            values = self.vocabulary.derived[claim.id].one_of
            return z3.PbEq([(self.encoding.state(claim.id, value, side), 1) for value in values], 1)
        if isinstance(claim, DoneBy):
            done = self.vocabulary.plan_items[claim.item].by == claim.who
            return one(True) if done else z3.Not(self.encoding.in_plan(claim.item, side))
        return self._figure(claim, side)

    def _on_feet(self, claim: OnFeet, side: str) -> Formula:
        there = self.encoding.stated.there
        if claim.which == "other foot":
            return both(there(OTHER[side]), self.claim(claim.part, OTHER[side]))
        if claim.which == "each foot":
            return both(*(either(z3.Not(there(s)), self.claim(claim.part, s)) for s in SIDES))
        return either(*(both(there(s), self.claim(claim.part, s)) for s in SIDES))

    def _standing(self, claim: Standing, place: str) -> Formula:
        of = {
            "advised": self.encoding.advised,
            "held back": self.encoding.held,
            "in the plan": self.encoding.in_plan,
        }
        return of[claim.how](claim.item, place)

    # --- numbers of items --------------------------------------------------------------------------
    def _figure(self, claim: Figure, place: str) -> Formula:
        """The last rule that gives the item a known number of that name decides."""
        given = list(self._given(claim, place))
        ways = []
        for i, (said, number) in enumerate(given):
            later = either(NEVER, *(said for said, _ in given[i + 1 :]))
            ops = (">=", "<=") if claim.op == "=" else (claim.op,)
            ways.append(both(said, z3.Not(later), *(number.holds(op, claim.limit) for op in ops)))
        return either(NEVER, *ways)

    def _given(self, claim: Figure, place: str) -> Iterator[tuple[Formula, Quantity]]:
        """Whether a rule gives the number, and the number, in the order in which rules are written."""
        for rule in self.encoding.rules:
            value = _detail(rule, claim)
            for side in rule.sides if value else ():
                at_place = (side == place and claim.item in rule.then.advise) or (
                    place == PERSON and claim.item in rule.then.advise_person
                )
                number = self._number(value, side)
                if at_place and number is not None:
                    yield both(self.encoding.spoke[rule.id, side], number.stated), number

    def _number(self, value: str, side: str) -> Quantity | None:
        term_id, _, at = value.partition("@")
        term, side = self.vocabulary.by_id.get(term_id), at or side
        if term is None:
            return Quantity(one(True), fraction(value))
        if term.scope == "foot" and side not in SIDES:
            return None
        return quantity(self.encoding.stated, term_id, side if term.scope == "foot" else PERSON)


def places(where: str, side: str) -> tuple[str, ...]:
    """The places a claim looks at from `side`."""
    return {"here": (side,), PERSON: (PERSON,)}.get(where, ORDER_OF_SIDES)


def _detail(rule: Rule, claim: Figure) -> str:
    for item, pairs in rule.then.detail:
        if item == claim.item:
            return dict(pairs).get(claim.name, "")
    return ""
