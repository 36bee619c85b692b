"""A decision: what a trainee commits to at a stage, and everything that can be chosen."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from toeroom.case import Place
from toeroom.errors import BadInput, nearest
from toeroom.rules.planning import Planner
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

SPEEDS = ("soon", "today")
"""How fast a stop is referred: within the days the service asks for, or this very day."""
LONGEST_SAYING = 2000


@dataclass(frozen=True, slots=True)
class Decision:
    """What is decided so far: it stands until it is altered.

    stop: feet that are not fitted today; `person` where somebody is sent on with no foot to fit.
    how_fast: of the referral that goes with a stop. say: to the wearer, in the trainee's own words.
    """

    stop: frozenset[str] = frozenset()
    how_fast: str = ""
    items: frozenset[Place] = frozenset()
    say: str = ""

    def as_json(self) -> dict[str, Any]:
        """Plain values, in a fixed order: the same decision gives the same text."""
        return {
            "stop": sorted(self.stop),
            "how_fast": self.how_fast,
            "items": sorted(f"{item}@{side}" for item, side in self.items),
            "say": self.say,
        }


@dataclass(frozen=True)
class Offer:
    """Every plan item of the book and the sides it can be chosen for, section by section."""

    vocabulary: Vocabulary
    sides: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def read(self, text: str) -> Place:
        """`item@side` as a place; the side may be left out where there is one. `BadInput` else."""
        item, _, side = text.partition("@")
        if item not in self.sides:
            raise BadInput(f"'{item}' is not a plan item", mend=nearest(item, self.sides))
        sides = self.sides[item]
        if not side and len(sides) == 1:
            return item, sides[0]
        if side not in sides:
            raise BadInput(f"'{item}' is chosen for {' or '.join(sides)}", mend=f"write {item}@{sides[0]}")
        return item, side


def offer_of(planner: Planner) -> Offer:
    """What a trainee can choose: the items the rules can give, where they can give them."""
    found: dict[str, set[str]] = {item: set() for item in planner.vocabulary.plan_items}
    for rule in planner.rules:
        for item in rule.then.advise:
            found[item].update(rule.sides)
        for item in rule.then.advise_person:
            found[item].add(PERSON)
    ordered = {i: tuple(s for s in (*SIDES, PERSON) if s in sides) for i, sides in found.items() if sides}
    return Offer(planner.vocabulary, ordered)


def decision_from(
    offer: Offer,
    *,
    stop: Iterable[str] = (),
    how_fast: str = "",
    items: Iterable[str] = (),
    say: str = "",
) -> Decision:
    """A decision of texts; `BadInput` for a side, a speed or an item that there is not."""
    sides = frozenset(stop)
    if wrong := sorted(sides - {*SIDES, PERSON}):
        raise BadInput(f"'{wrong[0]}' cannot be stopped", mend=f"use {', '.join((*SIDES, PERSON))}")
    if how_fast and how_fast not in SPEEDS:
        raise BadInput(f"how fast cannot be '{how_fast}'", mend=f"use {' or '.join(SPEEDS)}")
    if len(say) > LONGEST_SAYING:
        raise BadInput("what is said is too long", mend=f"at most {LONGEST_SAYING} characters")
    return Decision(
        sides, (how_fast or "soon") if sides else "", frozenset(offer.read(text) for text in items), say
    )
