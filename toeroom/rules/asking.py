"""What to ask next: the question whose answer would move the plan furthest."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from toeroom.case import Case, Place
from toeroom.plan import Plan, Question
from toeroom.rules.planning import Outcome, Planner
from toeroom.vocabulary import PERSON, Choice, Finding

STOP_WEIGHT = 10.0
"""That a plan stops or does not weighs more than any single item."""
WEIGHTS = {
    "stop": 4.0,
    "footwear": 2.0,
    "insert": 1.5,
    "alteration": 1.5,
    "build": 1.0,
    "socks": 1.0,
    "paperwork": 1.0,
    "measuring": 0.5,
    "advice": 0.5,
    "followup": 0.5,
}
STATE_WEIGHT = 0.5


@dataclass(frozen=True, slots=True)
class Profile:
    """What counts of a plan when two are compared: whether it stops, its items, its states."""

    stop: bool
    standings: dict[Place, str]
    states: frozenset[tuple[str, str, str]]


def profile(planner: Planner, outcome: Outcome) -> Profile:
    """The profile of an outcome, without building the whole plan."""
    advised: set[Place] = set()
    held: set[Place] = set()
    states: set[tuple[str, str, str]] = set()
    for rule_id, side in outcome.fired:
        then = planner.by_id[rule_id].then
        advised.update((item, side) for item in then.advise)
        advised.update((item, PERSON) for item in then.advise_person)
        held.update((item, side) for item in then.hold_back)
        for term_id, value in then.conclude:
            derived = planner.vocabulary.derived[term_id]
            if derived.shown:
                states.add((term_id, side if derived.scope == "foot" else PERSON, value))
    stop = any(term_id in ("no_fitting_today", "urgent_referral") for term_id, _, _ in states)
    standings = {place: "held_back" if place in held else "advised" for place in advised}
    return Profile(stop, standings, frozenset(states))


def distance(planner: Planner, one: Profile, other: Profile) -> float:
    """How far two plans lie apart; zero where they say the same."""
    total = STOP_WEIGHT if one.stop != other.stop else 0.0
    for place in one.standings.keys() | other.standings.keys():
        if one.standings.get(place) != other.standings.get(place):
            total += WEIGHTS[planner.vocabulary.plan_items[place[0]].section]
    return total + STATE_WEIGHT * len(one.states ^ other.states)


def ask_next(
    planner: Planner, case: Case, limit: int = 8, *, among: Collection[str] | None = None
) -> tuple[Question, ...]:
    """The questions worth most, best first; ties in the order of the vocabulary, left before right.

    `among`: only questions about these terms, and the others are not worked out.
    """
    outcome = planner.run(case)
    numbers = planner.facts.numbers(case)
    found: list[Question] = []
    for finding, side in _open_findings(planner, case, outcome):
        if among is not None and finding.id not in among:
            continue
        yes, no = (
            profile(planner, planner.run(varied, None if finding.id == "leg_amputated" else numbers))
            for varied in (case.with_finding(finding.id, side, value) for value in ("yes", "no"))
        )
        weight = distance(planner, yes, no)
        if weight:
            why = f"if yes: {_gains(planner, yes, no)}; if no: {_gains(planner, no, yes)}"
            found.append(Question(finding.id, side, finding.label, finding.ask(side), why, round(weight, 2)))
    for choice in _asked_choices(planner, case, outcome):
        if among is not None and choice.id not in among:
            continue
        profiles = [
            profile(planner, planner.run(replace(case, choices={**case.choices, choice.id: option})))
            for option in choice.one_of
        ]
        weight = max(distance(planner, a, b) for a in profiles for b in profiles)
        gains = (_gains(planner, p, profiles[i - 1]) for i, p in enumerate(profiles))
        why = "; ".join(f"{option}: {gain}" for option, gain in zip(choice.one_of, gains, strict=True))
        found.append(Question(choice.id, PERSON, choice.label, choice.question, why, round(weight, 2)))
    return tuple(sorted(found, key=lambda question: -question.weight)[:limit])


def with_questions(planner: Planner, case: Case, plan: Plan, limit: int = 8) -> Plan:
    """The same plan with what to ask next."""
    return replace(plan, ask_next=ask_next(planner, case, limit))


def _open_findings(planner: Planner, case: Case, outcome: Outcome) -> Iterator[tuple[Finding, str]]:
    """Findings that nobody stated, of feet that are there, and that make sense to ask by now."""
    stated = {side for (_, side), value in case.findings.items() if value != "unknown"}
    for finding in planner.vocabulary.findings.values():
        for side in planner.vocabulary.sides_of(finding.id):
            if side != PERSON and outcome.facts[f"{side}.there"] == "no":
                continue
            if outcome.findings.get((finding.id, side), "unknown") != "unknown":
                continue
            if finding.asked_first and side in stated:
                continue
            after = finding.asked_after
            if not after or any(outcome.findings.get((i, side)) == "yes" for i in after):
                yield finding, side


def _asked_choices(planner: Planner, case: Case, outcome: Outcome) -> Iterator[Choice]:
    wanted = {term_id for rule_id, _ in outcome.fired for term_id in planner.by_id[rule_id].then.ask}
    for choice in planner.vocabulary.choices.values():
        if choice.id in wanted and choice.id not in case.choices:
            yield choice


def _gains(planner: Planner, this: Profile, other: Profile, most: int = 2) -> str:
    """What `this` plan has advised that `other` has not: the weightiest labels, in words."""
    items = planner.vocabulary.plan_items
    gained = {
        place[0]
        for place, standing in this.standings.items()
        if standing == "advised" and other.standings.get(place) != "advised"
    }
    ordered = sorted(gained, key=lambda i: (-WEIGHTS[items[i].section], items[i].rank))
    labels = [items[i].label.lower() if i else "" for i in ordered[:most]]
    return ", ".join(labels) if labels else "nothing more"
