"""Marking a decision against the plan of what was known at that moment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from toeroom.case import Case, Place
from toeroom.plan import Line, Plan
from toeroom.rules.planning import Outcome, Planner
from toeroom.training.decisions import Decision
from toeroom.training.scheme import (
    HARM,
    ITEM_WEIGHTS,
    NEEDLESS_SPEED,
    NEEDLESS_STOP,
    SPEED,
    STOP,
    Verdict,
)
from toeroom.vocabulary import PERSON, SIDES

STOPPING, HURRY = "stop", "today"
"""The decisions that are no plan items: to stop, and how fast the referral goes."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A verdict on one thing that was decided, or not decided.

    item is a plan item's id, `stop` or `today`. kind: of a harmful act, as in the scheme.
    """

    item: str
    side: str
    verdict: Verdict
    weight: float
    kind: str = ""

    @property
    def place(self) -> Place:
        return self.item, self.side

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"item": self.item, "side": self.side, "verdict": self.verdict}
        return {**found, "weight": self.weight, **({"kind": self.kind} if self.kind else {})}


@dataclass(frozen=True, slots=True)
class Moment:
    """What was known at one moment, and what the rules make of it."""

    known: Case
    outcome: Outcome
    plan: Plan

    @property
    def urgent(self) -> bool:
        """Whether a clinician comes today, before anything else."""
        return bool(self.plan.state("urgent_referral", PERSON))

    @property
    def stopped(self) -> frozenset[str]:
        """The feet that the plan stops; the person where it sends somebody on and stops no foot."""
        feet = frozenset(side for side in SIDES if self.plan.state("no_fitting_today", side))
        return feet or (frozenset({PERSON}) if self.urgent else frozenset())

    @property
    def feet(self) -> frozenset[str]:
        """The feet that are there."""
        return frozenset(side for side in SIDES if self.outcome.facts[f"{side}.there"] == "yes")

    @property
    def over(self) -> bool:
        """Whether nothing is left to be fitted today, so that nothing more need be asked."""
        return self.urgent or bool(self.feet and self.feet <= self.stopped)


def moment_of(planner: Planner, known: Case) -> Moment:
    """The moment of a known case; the plan is worked out by both engines."""
    return Moment(known, planner.run(known), planner.plan(known))


def mark(planner: Planner, moment: Moment, decision: Decision) -> tuple[Mark, ...]:
    """The marks of `decision`, in a fixed order: stop and speed, then items as a plan orders them."""
    marker = _Marker(planner, moment, decision)
    marks = [*marker.stops(), *marker.speed(), *marker.items()]
    order = {item: rank for rank, item in enumerate((STOPPING, HURRY, *planner.vocabulary.plan_items))}
    return tuple(sorted(marks, key=lambda m: (order[m.item], (*SIDES, PERSON).index(m.side))))


class _Marker:
    def __init__(self, planner: Planner, moment: Moment, decision: Decision) -> None:
        self.planner, self.moment, self.decision = planner, moment, decision
        self.vocabulary, self.by_id = planner.vocabulary, planner.by_id
        self.advised = [line for line in moment.plan.lines if line.advised]
        self.held = _held(planner, moment)

    # --- stopping ----------------------------------------------------------------------------------
    def stops(self) -> Iterator[Mark]:
        due, stop = self.moment.stopped, self.decision.stop
        for side in sorted(due):
            covered = side in stop or PERSON in stop or (side == PERSON and bool(stop))
            if covered:
                yield Mark(STOPPING, side, "right", STOP)
            else:
                yield Mark(STOPPING, side, "harmful", HARM["went on"], "went on")
        for side in sorted(stop - due):
            if due != {PERSON} and not (side == PERSON and self.moment.over):
                yield Mark(STOPPING, side, "needless", NEEDLESS_STOP)

    def speed(self) -> Iterator[Mark]:
        if not self.decision.stop:
            return
        today = self.decision.how_fast == "today"
        if self.moment.urgent and today:
            yield Mark(HURRY, PERSON, "right", SPEED)
        elif self.moment.urgent:
            yield Mark(HURRY, PERSON, "harmful", HARM["too slow"], "too slow")
        elif today:
            yield Mark(HURRY, PERSON, "needless", NEEDLESS_SPEED)

    # --- items -------------------------------------------------------------------------------------
    def items(self) -> Iterator[Mark]:
        harmful = {place: kind for place in self.decision.items if (kind := self._harm(place))}
        chosen = self.decision.items - harmful.keys()
        for (item, side), kind in harmful.items():
            yield Mark(item, side, "harmful", HARM[kind], kind)
        spent: set[Place] = set()
        for lines in self._due():
            by = {place for place in chosen for line in lines if _covers(place, line)}
            spent |= by
            yield self._mark(lines[0].id, lines[0].side, "right" if by else "missed")
        for place in chosen - spent:
            if any(_covers(place, line) for line in self.advised):
                yield Mark(*place, "right", 0.0)
            else:
                yield self._mark(*place, "needless")

    def _mark(self, item: str, side: str, verdict: Verdict) -> Mark:
        return Mark(item, side, verdict, ITEM_WEIGHTS[self.vocabulary.plan_items[item].section])

    def _due(self) -> Iterator[list[Line]]:
        """What the plan expects: each a list of lines of which one is enough.

        With an urgent referral only that, and what goes with it. Of several kinds of shoe on a foot the
        first; of alternatives any one.
        """
        items = self.vocabulary.plan_items
        groups: dict[tuple[str, ...], list[Line]] = {}
        for line in self.advised:
            item = items[line.id]
            if self.moment.urgent and item.section != "stop" and not item.with_stop:
                continue
            if item.shoe:
                groups.setdefault(("shoe", line.side), []).append(line)
            else:
                groups.setdefault((item.alternative or line.id, line.side), []).append(line)
        for key, lines in groups.items():
            yield [min(lines, key=lambda line: items[line.id].shoe)] if key[0] == "shoe" else lines

    def _harm(self, place: Place) -> str:
        """The kind of harm in choosing `place` now; '' where there is none."""
        item, side = place
        if place in self.held:
            return "held back"
        if any(_covers(place, line) for line in self.advised):
            return ""
        sides = (side,) if side != PERSON else SIDES
        fired = self.moment.outcome.fired
        if any(item in self.by_id[rule].then.rules_out and s in sides for rule, s in fired):
            return "warned against"
        other = self.vocabulary.plan_items[item].opposite
        if other and any(line.id == other and line.side in (side, PERSON) for line in self.advised):
            return "the opposite"
        return ""


def _held(planner: Planner, moment: Moment) -> frozenset[Place]:
    """All that the rules hold back at this moment, whether or not anything advised it."""
    found = {
        (item, side)
        for rule_id, side in moment.outcome.fired
        for item in planner.by_id[rule_id].then.hold_back
    }
    feet = moment.feet
    everywhere = {item for item, _ in found if feet and all((item, foot) in found for foot in feet)}
    return frozenset(found | {(item, PERSON) for item in everywhere})


def _covers(chosen: Place, line: Line) -> bool:
    """Whether a choice is what a line says: what is chosen in general holds for a foot, and the other
    way about where the line is general."""
    item, side = chosen
    return item == line.id and (side == line.side or PERSON in (side, line.side))
