"""Why an item stands in a plan, or why it does not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from toeroom.case import Case
from toeroom.plan import Line, Plan, Reason
from toeroom.rules.explaining import Failed
from toeroom.rules.model import Rule
from toeroom.rules.planning import Outcome, Planner
from toeroom.vocabulary import PERSON, SIDES


@dataclass(frozen=True, slots=True)
class Silent:
    """A rule that could have given the item and did not: what failed."""

    rule: str
    title: str
    side: str
    failed: tuple[Failed, ...]

    def as_json(self) -> dict[str, Any]:
        failed = [{"id": f.id, "side": f.side, "wanted": f.wanted, "known": f.known} for f in self.failed]
        return {"rule": self.rule, "title": self.title, "side": self.side, "failed": failed}


@dataclass(frozen=True, slots=True)
class Why:
    """An item on a side: its line where there is one, else the rules that stayed silent.

    `chain` has the reasons of every derived state that the line rests on, down to what was stated.
    """

    item: str
    side: str
    line: Line | None
    chain: tuple[tuple[str, str, str, tuple[Reason, ...]], ...]
    silent: tuple[Silent, ...]

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"id": self.item, "side": self.side}
        if self.line is None:
            return {**found, "standing": "absent", "silent": [s.as_json() for s in self.silent]}
        chain = [
            {"id": i, "side": side, "value": value, "reasons": [r.as_json() for r in reasons]}
            for i, side, value, reasons in self.chain
        ]
        return {**found, **self.line.as_json(), "derived": chain}


def why(
    planner: Planner, case: Case, plan: Plan, outcome: Outcome, item: str, side: str | None
) -> tuple[Why, ...]:
    """Why `item` stands on `side`, or on every side it stands on; where it stands nowhere, why not."""
    sides = (side,) if side else tuple(s for s in (*SIDES, PERSON) if plan.line(item, s))
    if not sides:
        sides = _possible_sides(planner, item)
    return tuple(_why(planner, case, plan, outcome, item, s) for s in sides)


def _possible_sides(planner: Planner, item: str) -> tuple[str, ...]:
    found = {s for rule in planner.rules for s in rule.sides if item in rule.then.advise}
    if any(item in rule.then.advise_person for rule in planner.rules):
        found.add(PERSON)
    return tuple(s for s in (*SIDES, PERSON) if s in found)


def _why(planner: Planner, case: Case, plan: Plan, outcome: Outcome, item: str, side: str) -> Why:
    line = plan.line(item, side)
    if line is not None:
        return Why(item, side, line, _chain(plan, (*line.reasons, *line.held_back_by)), ())
    explainer = planner.explainer(case, outcome)
    silent = []
    for rule in planner.rules:
        for tried in _tried_sides(rule, item, side):
            silent.append(Silent(rule.id, rule.title, tried, explainer.failed(rule, tried)))
    return Why(item, side, None, (), tuple(silent))


def _tried_sides(rule: Rule, item: str, side: str) -> tuple[str, ...]:
    """The sides on which `rule` would have to speak to give `item` on `side`."""
    own = (side,) if item in rule.then.advise and side in rule.sides else ()
    return own or (rule.sides if item in rule.then.advise_person and side == PERSON else ())


def _chain(plan: Plan, reasons: tuple[Reason, ...]) -> tuple[tuple[str, str, str, tuple[Reason, ...]], ...]:
    """The derived states and items that reasons rest on, and theirs, each once, nearest first."""
    found: dict[tuple[str, str, str], tuple[Reason, ...]] = {}
    states = {(s.id, s.side, s.value): s.reasons for s in plan.states}
    waiting = list(reasons)
    while waiting:
        for match in waiting.pop(0).matched:
            key = (match.id, match.side, str(match.value))
            line = plan.line(match.id, match.side) if match.kind == "plan" else None
            rests_on = line.reasons if line else states.get(key, ())
            if rests_on and key not in found:
                found[key] = rests_on
                waiting.extend(rests_on)
    return tuple((*key, rests_on) for key, rests_on in found.items())
