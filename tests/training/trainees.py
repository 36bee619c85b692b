"""Trainees that follow a script: one who does all of it, one who forgets, one who harms, one at random."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from toeroom.case import Case
from toeroom.rules.asking import ask_next
from toeroom.rules.planning import Planner
from toeroom.training.decisions import Decision, offer_of
from toeroom.training.marking import Moment, moment_of
from toeroom.training.walk import Walk

MOST_ASKED = 12
FIGURES = ("arm_pressure_mmhg", "ankle_pressure_mmhg", "toe_pressure_mmhg")
SOLD = ("footwear", "build", "insert", "alteration")

Trainee = Callable[[Walk], Walk]


def as_planned(planner: Planner, moment: Moment) -> Decision:
    """The decision that the plan itself would be."""
    items = frozenset((line.id, line.side) for line in moment.plan.lines if line.advised)
    return Decision(moment.stopped, ("today" if moment.urgent else "soon") if moment.stopped else "", items)


def _ask_what_matters(walk: Walk, most: int) -> None:
    """Asks for the pressures, then what is worth most, round after round, as long as something is."""
    for figure in FIGURES:
        if any(term.id == figure for term in walk.may_ask()):
            walk.ask(figure)
    while most > 0:
        may = {term.id for term in walk.may_ask()}
        worth = dict.fromkeys(q.id for q in ask_next(walk.planner, walk.known, most, among=may))
        if not worth:
            return
        for term_id in worth:
            walk.ask(term_id)
        most -= len(worth)


def perfect(walk: Walk) -> Walk:
    """Asks all that matters, does what the plan says, ends where nothing is left to be fitted."""
    while not walk.closed:
        _ask_what_matters(walk, 99)
        moment = moment_of(walk.planner, walk.known)
        walk.decide(as_planned(walk.planner, moment), end=moment.over)
    return walk


def careless(walk: Walk) -> Walk:
    """Asks one thing a stage and forgets half of what is to be chosen, but stops where it is due."""
    while not walk.closed:
        questions = ask_next(walk.planner, walk.known, 1, among={term.id for term in walk.may_ask()})
        if questions:
            walk.ask(questions[0].id)
        moment = moment_of(walk.planner, walk.known)
        whole = as_planned(walk.planner, moment)
        walk.decide(replace(whole, items=frozenset(sorted(whole.items)[::2])), end=moment.over)
    return walk


def reckless(walk: Walk) -> Walk:
    """Asks what matters, then goes on whatever was said, and sells all that there is, to both feet."""
    sold = frozenset(
        (item, side)
        for item, sides in offer_of(walk.planner).sides.items()
        if walk.planner.vocabulary.plan_items[item].section in SOLD
        for side in sides
    )
    while not walk.closed:
        _ask_what_matters(walk, MOST_ASKED)
        walk.decide(Decision(items=sold))
    return walk


def at_random(seed: str) -> Trainee:
    """Asks and chooses by the throw of a die that the seed loads."""

    def walk_on(walk: Walk) -> Walk:
        die = random.Random(f"{seed} {walk.case.id}")
        offered = [(item, side) for item, sides in offer_of(walk.planner).sides.items() for side in sides]
        while not walk.closed:
            may = [term.id for term in walk.may_ask()]
            for term_id in die.sample(may, min(len(may), die.randrange(6))):
                walk.ask(term_id)
            stop = frozenset(side for side in ("left", "right") if die.random() < 0.15)
            items = frozenset(die.sample(offered, die.randrange(12)))
            walk.decide(Decision(stop, die.choice(("soon", "today")) if stop else "", items))
        return walk

    return walk_on


def walked(planner: Planner, case: Case, trainee: Trainee) -> Walk:
    """The walk of a trainee through a case, to its end."""
    return trainee(Walk(planner, case))
