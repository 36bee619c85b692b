"""Which single findings, were they otherwise, would bring an item into a plan or take it out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from toeroom.case import Case, Place
from toeroom.rules.asking import profile
from toeroom.rules.planning import Planner
from toeroom.vocabulary import PERSON

ABSENT = "absent"


@dataclass(frozen=True, slots=True)
class Turn:
    """A finding that is `value` instead of what it is, and what an item then is: before and after, by side.

    The standings are advised, held_back or absent.
    """

    id: str
    side: str
    value: str
    item: str
    item_side: str
    before: str
    after: str


def turns(planner: Planner, case: Case, items: Iterable[Place]) -> tuple[Turn, ...]:
    """Every single finding, yes or no, that would change the standing of one of `items` (item, side).

    By the plain engine alone. What is there comes first, then what is not, then what nobody stated.
    """
    wanted = tuple(items)
    numbers = planner.facts.numbers(case)
    now = profile(planner, planner.run(case, numbers)).standings
    found: list[Turn] = []
    for varied, term_id, side, value in _otherwise(planner, case):
        outcome = planner.run(varied, None if term_id == "leg_amputated" else numbers)
        found += _turned(wanted, now, profile(planner, outcome).standings, (term_id, side, value))
    order = ("yes", "no", "unknown")
    return tuple(sorted(found, key=lambda turn: order.index(case.finding(turn.id, turn.side))))


def _otherwise(planner: Planner, case: Case) -> Iterator[tuple[Case, str, str, str]]:
    for term_id in planner.vocabulary.findings:
        for side in planner.vocabulary.sides_of(term_id):
            gone = side != PERSON and case.finding("leg_amputated", side) == "yes"
            if gone and term_id != "leg_amputated":
                continue
            for value in ("yes", "no"):
                if case.finding(term_id, side) != value:
                    yield case.with_finding(term_id, side, value), term_id, side, value


def _turned(
    wanted: Sequence[Place], now: dict[Place, str], then: dict[Place, str], finding: tuple[str, str, str]
) -> Iterator[Turn]:
    for item, side in wanted:
        before, after = now.get((item, side), ABSENT), then.get((item, side), ABSENT)
        if before != after:
            yield Turn(*finding, item, side, before, after)
