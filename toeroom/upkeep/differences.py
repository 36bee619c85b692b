"""How two plans of one case differ, said by what changed and how bad that may be."""

from __future__ import annotations

from dataclasses import dataclass, field

from toeroom.case import Place
from toeroom.rules.planning import Outcome, Planner
from toeroom.vocabulary import PERSON

KINDS = (
    "stop lost",
    "held back no longer",
    "stop gained",
    "held back now",
    "item lost",
    "item gained",
    "caution lost",
    "caution gained",
    "state changed",
    "figures changed",
)
"""What can change, worst first."""
STOPS = ("no_fitting_today", "urgent_referral")


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that changed in a plan: its kind, what it is, where, and what it was and is."""

    kind: str
    what: str
    side: str
    before: str
    after: str


@dataclass(slots=True)
class Said:
    """What the rules that spoke said."""

    standings: dict[Place, str] = field(default_factory=dict)
    states: dict[Place, str] = field(default_factory=dict)
    cautions: set[Place] = field(default_factory=set)
    figures: dict[Place, str] = field(default_factory=dict)


def said(planner: Planner, outcome: Outcome) -> Said:
    """What an outcome says, without making the whole plan of it."""
    found = Said()
    held: set[Place] = set()
    vocabulary = planner.vocabulary
    spoke = sorted(outcome.fired, key=lambda fired: (planner.rank[fired[0]], fired[1]))
    for rule_id, side in spoke:
        then = planner.by_id[rule_id].then
        found.standings.update(((item, side), "advised") for item in then.advise)
        found.standings.update(((item, PERSON), "advised") for item in then.advise_person)
        held.update((item, side) for item in then.hold_back)
        for term_id, value in then.conclude:
            derived = vocabulary.derived[term_id]
            if derived.shown:
                place = (term_id, side if derived.scope == "foot" else PERSON)
                values = {value, *found.states.get(place, value).split(" and ")}
                found.states[place] = " and ".join(sorted(values))
        for item, pairs in then.detail:
            found.figures[item, side] = ", ".join(f"{name} {value}" for name, value in pairs)
    found.standings.update((place, "held back") for place in held & found.standings.keys())
    _cautions(planner, outcome, found)
    return found


def _cautions(planner: Planner, outcome: Outcome, found: Said) -> None:
    for rule_id, side in (*outcome.fired, *outcome.read):
        for caution in planner.by_id[rule_id].then.cautions:
            sides = ("left", "right", PERSON) if side == PERSON else (side, PERSON)
            if not caution.on or any((i, s) in found.standings for i in caution.on for s in sides):
                found.cautions.add((caution.text, side))


def differences(planner: Planner, before: Said, after: Said) -> list[Difference]:
    """What changed from one plan to the other. `planner` tells the section of an item."""
    found = [*_states(before, after), *_items(planner, before, after)]
    for text, side in before.cautions - after.cautions:
        found.append(Difference("caution lost", text, side, "said", "not said"))
    for text, side in after.cautions - before.cautions:
        found.append(Difference("caution gained", text, side, "not said", "said"))
    for place in before.figures.keys() & after.figures.keys():
        was, now = before.figures[place], after.figures[place]
        if was != now:
            found.append(Difference("figures changed", *place, was, now))
    return found


def _states(before: Said, after: Said) -> list[Difference]:
    found = []
    for place in before.states.keys() | after.states.keys():
        was, now = (said.states.get(place, "not concluded") for said in (before, after))
        if was != now:
            kind = "state changed"
            if place[0] in STOPS:
                kind = "stop lost" if now == "not concluded" else "stop gained"
            found.append(Difference(kind, *place, was, now))
    return found


def _items(planner: Planner, before: Said, after: Said) -> list[Difference]:
    found = []
    for place in before.standings.keys() | after.standings.keys():
        was, now = (said.standings.get(place, "absent") for said in (before, after))
        if was == now:
            continue
        item = planner.vocabulary.plan_items.get(place[0])
        found.append(
            Difference(_kind(was, now, item is not None and item.section == "stop"), *place, was, now)
        )
    return found


def _kind(was: str, now: str, of_stop: bool) -> str:
    if of_stop and "advised" in (was, now):
        return "stop lost" if was == "advised" else "stop gained"
    if (was, now) == ("held back", "advised"):
        return "held back no longer"
    if (was, now) == ("advised", "held back"):
        return "held back now"
    return "item lost" if now == "absent" else "item gained"
