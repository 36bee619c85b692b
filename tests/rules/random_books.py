"""Runs random rule bases through both engines and prints how many cases differed.

Run as a process of its own (`python -m tests.rules.random_books SEED BOOKS`): the library never
frees the rules it was given.
"""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from datetime import date
from decimal import Decimal

from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.case import Case
from toeroom.errors import BookFault, EnginesDiffer
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Source, Test, Then
from toeroom.rules.planning import Planner
from toeroom.vocabulary import PERSON, Vocabulary

FINDINGS = ["bunion", "callus", "swelling", "open_wound", "sensation_lost", "pulses_absent", "leg_amputated"]
OF_PERSON = ["diabetes", "fall_history", "poor_sight"]
MEASURES = ["toe_pressure_mmhg", "insert_age_months", "toe_height_mm"]
STATES = ["needs_depth", "needs_width", "circulation_doubt", "foot_deformity", "reduced_supply"]
ITEMS = ["extra_width", "deep_toe_box", "stretch_upper", "custom_insert", "rocker_sole", "limit_walking"]
CASES_A_BOOK = 6


def condition(
    chance: random.Random, about: str, states: list[str], items: list[str], depth: int
) -> Condition:
    """A random condition; states and items are those an earlier or this step may test."""
    roll = chance.random()
    if depth and roll < 0.45:
        parts = tuple(condition(chance, about, states, items, depth - 1) for _ in range(chance.randint(2, 3)))
        return All(parts) if chance.random() < 0.6 else AnyOf(parts)
    if depth and (about == PERSON or roll < 0.6):
        which = chance.choice(["either foot", "each foot", "both sides"] + ["other foot"] * (about == "foot"))
        return Feet(which, condition(chance, "foot", states, items, depth - 1))
    return test(chance, about, states, items)


def test(chance: random.Random, about: str, states: list[str], items: list[str]) -> Test:
    """A random test that can stand in a condition about a foot or the person."""
    kinds = ["finding"] * 4 + (["measure"] + ["derived"] * 3 * bool(states) if about == "foot" else [])
    kinds += ["plan"] * bool(items)
    kind = chance.choice(kinds)
    if kind == "finding":
        term = chance.choice(FINDINGS if about == "foot" else OF_PERSON)
        op, value = chance.choice([("=", "yes"), ("=", "no"), ("=", "unknown"), ("!=", "yes"), ("!=", "no")])
        return Test("finding", term, op, value, "foot" if about == "foot" else PERSON)
    if kind == "measure":
        op = chance.choice(["<", "<=", ">", ">=", "stated", "missing"])
        value = Decimal(chance.randint(10, 40)) if op[0] in "<>" else ""
        return Test("measure", chance.choice(MEASURES), op, value, "foot")
    if kind == "derived":
        op, value = chance.choice([("=", "yes"), ("=", "yes"), ("!=", "yes"), ("=", "no")])
        return Test("derived", chance.choice(states), op, value, "foot")
    return Test("plan", chance.choice(items), "=", chance.choice(["yes", "yes", "no"]), about)


def rule(chance: random.Random, number: int) -> Rule:
    """A random rule: assess steps 1 to 3, advise 1 and 2, guard 1."""
    about = chance.choice(["foot", "foot", PERSON])
    stage = chance.choice(["assess", "assess", "advise", "advise", "guard"])
    step = chance.randint(1, {"assess": 3, "advise": 2, "guard": 1}[stage])
    if stage == "assess":
        about = "foot"
        then = Then(conclude=((chance.choice(STATES), "yes"),))
    elif stage == "advise":
        then = Then(advise=(chance.choice(ITEMS),))
    else:
        then = Then(hold_back=(chance.choice(ITEMS),))
    items = ITEMS if stage != "assess" else []
    when = condition(chance, about, STATES, items, chance.randint(0, 3))
    return Rule(
        id=f"r{number}", title="random", about=about, stage=stage, step=step, when=when, then=then,
        pages=(), sources=(Source("common-practice"),), author="test", reviewed="2026-01-01",
        review_by="2027-01-01", without_feet=chance.random() < 0.2,
    )  # fmt: skip


def case(chance: random.Random) -> Case:
    """A random case over the same few words."""
    values = ["yes", "no", "unknown"]
    findings = {(f, s): chance.choice(values) for f in FINDINGS for s in ("left", "right")}
    findings |= {("leg_amputated", s): chance.choice(["no"] * 5 + ["yes"]) for s in ("left", "right")}
    findings |= {(f, PERSON): chance.choice(values) for f in OF_PERSON}
    places = [(m, s) for m in MEASURES for s in ("left", "right")]
    measures = {p: Decimal(chance.randint(20, 80)) / 2 for p in chance.sample(places, 3)}
    return Case("random", date(2026, 11, 25), findings=findings, measures=measures)


def planner(chance: random.Random, vocabulary: Vocabulary) -> Planner:
    """A planner over random rules; a rule whose tests come too early is moved later, or left out."""
    kept: list[Rule] = []
    for number in range(chance.randint(3, 25)):
        new = rule(chance, number)
        for step in (new.step, 4, 5):
            try:
                Planner((*kept, replace(new, step=step)), vocabulary, "random")
            except BookFault:
                continue
            kept.append(replace(new, step=step))
            break
    return Planner(tuple(kept), vocabulary, "random")


def main(seed: int, books: int) -> None:
    vocabulary = open_book(ROOT).vocabulary
    chance = random.Random(seed)
    ran = spoke = differed = 0
    for _ in range(books):
        made = planner(chance, vocabulary)
        try:
            _ = made.engines
        except BookFault:
            continue  # too many branches: the reader refuses such a book
        for _ in range(CASES_A_BOOK):
            ran += 1
            one = case(chance)
            spoke += bool(made.run(one).fired)
            try:
                made.plan(one)
            except EnginesDiffer:
                differed += 1
    print(ran, spoke, differed)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
