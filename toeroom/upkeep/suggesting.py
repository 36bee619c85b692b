"""Cases that would notice what nothing notices yet: for who keeps the cases of a book."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import islice
from random import Random

from toeroom.book import Book
from toeroom.case import Case
from toeroom.rules.facts import key_of
from toeroom.rules.model import Rule, tests_of
from toeroom.rules.planning import Planner
from toeroom.upkeep.generating import CaseMaker
from toeroom.upkeep.mutants import Mutant
from toeroom.upkeep.mutating import Watch
from toeroom.upkeep.recording import Example, Kept, kept
from toeroom.upkeep.situations import Situation, Situations, TooMany, Want
from toeroom.vocabulary import SIDES

TRIES = 300


def noticing_cases(book: Book, survivors: Sequence[Mutant], seed: int = 1) -> dict[str, tuple[Case, Kept]]:
    """Cases with their plans, by id, of which each notices a fault that no other one does.

    A fault for which none was found in `TRIES` tries is passed over: most of those change no plan.
    """
    watch = Watch(book, ())
    maker = CaseMaker(Situations(book.rules, book.vocabulary), seed)
    found: dict[str, tuple[Case, Kept]] = {}
    for number, mutant in enumerate(survivors):
        if watch.notices(mutant):
            continue
        case = _noticing(book, watch, maker, mutant, f"{seed}/{number}")
        if case is not None:
            name = f"{mutant.of.id}-{len(found) + 1}"[-64:].strip("-")
            case = replace(case, id=name)
            plan = kept(book.planner.plain_plan(case), book.vocabulary)
            found[name] = (case, plan)
            watch.add(Example(name, case, plan=plan))
    return _needed(watch, survivors, found)


def _noticing(book: Book, watch: Watch, maker: CaseMaker, mutant: Mutant, seed: str) -> Case | None:
    planner = watch.planner(mutant)
    if planner is None:
        return None
    chance = Random(seed)
    for case in islice(_cases(book, maker, mutant, chance), TRIES):
        if _differs(book.planner, planner, case):
            return case
    return None


def _differs(one: Planner, other: Planner, case: Case) -> bool:
    before, after = one.run(case), other.run(case)
    if (before.read, before.fired) == (after.read, after.fired) and one.by_id.keys() != other.by_id.keys():
        return False
    return kept(one.plan_of(case, before), one.vocabulary) != kept(other.plan_of(case, after), one.vocabulary)


def _cases(book: Book, maker: CaseMaker, mutant: Mutant, chance: Random) -> Iterator[Case]:
    """Cases in which the rule speaks, as it is and with the fault, alone and with what rests on it."""
    changed = [mutant.rule if rule is mutant.of else rule for rule in book.rules]
    rules = tuple(rule for rule in changed if rule is not None)
    versions = [maker.situations]
    if mutant.in_condition:
        versions.append(Situations(rules, book.vocabulary))
    while True:
        for situations in versions:
            own = next((r for r in situations.rules if r.id == mutant.of.id), mutant.of)
            for rule in (own, *_resting_on(own, situations)):
                for situation in _situations(situations, rule, mutant, chance):
                    for more in (0, 2, 6):
                        yield maker.of_situation(situation, chance, "made", more)
                    yield maker.of_situation(situation, chance, "made", others_no=True)


def _situations(situations: Situations, rule: Rule, mutant: Mutant, chance: Random) -> Iterator[Situation]:
    """Situations of a rule on each side; narrowed to where the fault shows, where that can be said."""
    for side in rule.sides:
        try:
            for situation in islice(situations.leading_to(rule, side, chance), 2):
                found = [situation]
                for narrow in _narrowing(situations, side, mutant, chance):
                    both = situations.merged(situation, narrow)
                    found += [both] if both is not None else []
                yield from reversed(found)
        except TooMany:
            continue


def _narrowing(situations: Situations, side: str, mutant: Mutant, chance: Random) -> Iterator[Situation]:
    """The limit that was moved, on each side; or what has an item advised that is no longer held back."""
    rule = mutant.rule
    if rule is None:
        return
    tests = list(zip(tests_of(mutant.of.when), tests_of(rule.when), strict=False))
    for was, now in tests:
        if was != now and isinstance(was.value, Decimal) and isinstance(now.value, Decimal):
            low, high = sorted((float(was.value), float(now.value)))
            for place in (side, *SIDES):
                yield Situation({key_of(was, place)[0]: Want(low=low, high=high, is_stated=True)})
            return
    for item in sorted({*mutant.of.then.hold_back} - {*rule.then.hold_back}):
        for giver, at in situations.givers.get(f"{side}.plan.{item}", ()):
            yield from islice(situations.leading_to(giver, at, chance), 1)


def _resting_on(rule: Rule, situations: Situations, deep: int = 3) -> list[Rule]:
    """The rules that look at what a rule concludes or advises, and those that look at what those do."""
    given = {i for i, _ in rule.then.conclude} | {*rule.then.advise, *rule.then.advise_person}
    found = [r for r in situations.rules if r.id != rule.id and given & {t.id for t in tests_of(r.when)}]
    further = (
        [more for near in found[:4] for more in _resting_on(near, situations, deep - 1)] if deep > 1 else []
    )
    return list({r.id: r for r in (*found, *further)}.values())[:8]


def _needed(
    watch: Watch, survivors: Sequence[Mutant], found: dict[str, tuple[Case, Kept]]
) -> dict[str, tuple[Case, Kept]]:
    """The cases without those whose faults others notice as well: greedily, the most telling first."""
    notices: dict[str, set[int]] = {name: set() for name in found}
    for number, mutant in enumerate(survivors):
        for name in watch.noticing(mutant):
            notices[name].add(number)
    left = set().union(*notices.values())
    chosen: dict[str, tuple[Case, Kept]] = {}
    while left:
        best = max(notices, key=lambda name: len(notices[name] & left))
        chosen[best] = found[best]
        left -= notices[best]
    return dict(sorted(chosen.items()))
