"""What a text was understood to state, beside what a case states: each to be confirmed before it counts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from toeroom.answers.sides import BOTH, UNSAID
from toeroom.case import Case
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

if TYPE_CHECKING:
    from toeroom.answers.understand import Understood


@dataclass(frozen=True, slots=True)
class Proposal:
    """One thing to be confirmed. `said` is what was understood, with the words it came from.

    sides: where it would be stated; none as long as nobody said which foot.
    stands: what the case states there and the text contradicts, as (side, value).
    known: the case states all of it already.
    """

    said: Understood
    sides: tuple[str, ...]
    stands: tuple[tuple[str, str], ...]
    known: bool

    @property
    def value(self) -> str:
        """What is stated, as a case states it."""
        return self.said.state if self.said.value is None else f"{self.said.value:g}"


def proposals(understood: Iterable[Understood], case: Case, vocabulary: Vocabulary) -> tuple[Proposal, ...]:
    """What of `understood` a case can state, in the order of the text."""
    return tuple(_proposal(one, case) for one in understood if _holds(one, vocabulary))


def on_side(proposal: Proposal, side: str, case: Case) -> Proposal:
    """The same with the side said: left, right or both."""
    return _proposal(replace(proposal.said, side=side), case)


def with_confirmed(case: Case, confirmed: Sequence[Proposal]) -> Case:
    """`case` with what was confirmed; nothing else in it changes."""
    findings, measures = dict(case.findings), dict(case.measures)
    for one in confirmed:
        for side in one.sides:
            if one.said.value is None:
                findings[one.said.id, side] = one.said.state
            else:
                measures[one.said.id, side] = Decimal(one.value)
    return replace(case, findings=findings, measures=measures)


def _proposal(one: Understood, case: Case) -> Proposal:
    sides = _sides(one)
    bare = Proposal(one, sides, (), False)
    stated = {side: now for side in sides if (now := _stated(one, side, case))}
    stands = tuple((side, now) for side, now in stated.items() if now not in (bare.value, "unknown"))
    return replace(bare, stands=stands, known=bool(sides) and stated == dict.fromkeys(sides, bare.value))


def _stated(one: Understood, side: str, case: Case) -> str:
    if one.value is None:
        return case.findings.get((one.id, side), "")
    number = case.measures.get((one.id, side))
    # 104 and 104.0 are one number.
    return "" if number is None else f"{float(number):g}"


def _sides(one: Understood) -> tuple[str, ...]:
    if one.side == UNSAID:
        return ()
    if one.side == PERSON:
        return (PERSON,)
    return SIDES if one.side == BOTH else (one.side,)


def _holds(one: Understood, vocabulary: Vocabulary) -> bool:
    if one.value is None:
        return one.id in vocabulary.findings
    measure = vocabulary.measures.get(one.id)
    return measure is not None and measure.low <= Decimal(str(one.value)) <= measure.high
