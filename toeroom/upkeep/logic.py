"""What rules say against, over or beside each other: found without any case."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from toeroom.book import Book
from toeroom.errors import BookFault
from toeroom.rules.model import All, Condition, Feet, Rule, Test, Then
from toeroom.upkeep.situations import Situations
from toeroom.vocabulary import PERSON

_FORBIDS = re.compile(r"^(never|no|not|do not|avoid|leave out|must not)\b", re.IGNORECASE)


def logic_faults(book: Book) -> list[BookFault]:
    """Rules that can never speak, that add nothing, or that are undone by others."""
    situations = Situations(book.rules, book.vocabulary)
    mute = [r for r in book.rules if not any(situations.can_speak(r, side) for side in r.sides)]
    rules = [rule for rule in book.rules if rule not in mute]
    return [
        *(_mute(rule, situations) for rule in mute),
        *_repeated(rules, situations),
        *_undone(rules, situations),
    ]


def _mute(rule: Rule, situations: Situations) -> BookFault:
    contradict = all(
        situations.alone(b) is None for side in rule.sides for b in situations.branches_of(rule, side)
    )
    if contradict:
        what, mend = "its conditions contradict each other", "take one of them out, or write 'any of'"
    else:
        what = "no rule leads to what it looks at, or only where its other conditions fail"
        mend = "look at the rules that conclude or advise it"
    return _fault(rule, f"can never speak: {what}", mend)


# --- rules that add nothing -------------------------------------------------------------------------
def _repeated(rules: list[Rule], situations: Situations) -> Iterator[BookFault]:
    for number, rule in enumerate(rules):
        for place, other in enumerate(rules):
            if rule is other or not _alike(rule, other):
                continue
            fault = _repeats(rule, other, situations, later=place < number)
            if fault is not None:
                yield fault
                break


def _alike(rule: Rule, other: Rule) -> bool:
    return (rule.about, rule.stage) == (other.about, other.stage)


def _repeats(rule: Rule, other: Rule, situations: Situations, later: bool) -> BookFault | None:
    """A fault of `rule` where `other` says as much; of two that are alike that of the `later` one."""
    if not _says_all(other.then, rule.then):
        return None
    same = _says_all(rule.then, other.then)
    side = rule.sides[0]
    if situations.contained(rule, side, other, traced=False):
        if not (same and situations.contained(other, side, rule, traced=False)):
            what = f"adds nothing: wherever it speaks, '{other.id}' speaks too and says as much"
            return _fault(rule, what, "retire it, or narrow the other")
        return _fault(rule, f"is a duplicate of '{other.id}'", "retire one of the two") if later else None
    if later and same and _near(rule.when, other.when):
        if situations.contained(other, side, rule, traced=False):
            return None  # said of the other, which adds nothing
        what = f"is '{other.id}' but for one value: nearly a duplicate"
        return _fault(rule, what, "make one rule of both, or say in the titles how they differ")
    return None


def _says_all(then: Then, of: Then) -> bool:
    """Whether `then` says all that `of` says."""
    return all(
        set(getattr(of, name)) <= set(getattr(then, name))
        for name in (
            "reads", "corrects", "conclude", "advise", "advise_person", "hold_back", "cautions", "ask",
            "detail",
        )
    )  # fmt: skip


def _near(one: Condition, other: Condition) -> bool:
    """Whether two conditions are the same but for the value or operator of a single test."""
    mine, theirs = list(_shape(one)), list(_shape(other))
    if len(mine) != len(theirs):
        return False
    unlike = [(a, b) for a, b in zip(mine, theirs, strict=True) if a != b]
    if len(unlike) != 1:
        return False
    a, b = unlike[0]
    return isinstance(a, Test) and isinstance(b, Test) and (a.kind, a.id) == (b.kind, b.id)


def _shape(condition: Condition) -> Iterator[Test | str]:
    if isinstance(condition, Test):
        yield replace(condition, line=0)
        return
    word = condition.which if isinstance(condition, Feet) else "all" if isinstance(condition, All) else "any"
    yield word
    for part in (condition.part,) if isinstance(condition, Feet) else condition.parts:
        yield from _shape(part)
    yield "end"


# --- rules that are undone ----------------------------------------------------------------------------
def _undone(rules: list[Rule], situations: Situations) -> Iterator[BookFault]:
    """Items that are held back wherever a rule, or all rules, advise them; and advice warned against."""
    givers: dict[tuple[str, str], list[Rule]] = defaultdict(list)
    holders: dict[tuple[str, str], list[Rule]] = defaultdict(list)
    for rule in rules:
        for item in rule.then.advise:
            givers[item, rule.about].append(rule)
        for item in rule.then.advise_person:
            givers[item, PERSON].append(rule)
        for item in rule.then.hold_back:
            holders[item, rule.about].append(rule)
    for (item, about), advising in givers.items():
        held = {rule.id: _holding(rule, holders[item, about], about, situations) for rule in advising}
        by = [holder for holder in held.values() if holder is not None]
        if len(by) == len(advising) and len(advising) > 1:
            names = ", ".join(sorted({f"'{rule.id}'" for rule in by}))
            yield _fault(
                advising[0], f"'{item}' is always held back, by {names}", "advise it where it can stand"
            )
            continue
        for rule in advising:
            holder = held[rule.id]
            if holder is not None:
                yield _held(rule, holder, item, situations)
    yield from _warned(rules, situations)


def _holding(rule: Rule, holders: list[Rule], about: str, situations: Situations) -> Rule | None:
    if rule.about != about:
        return None
    side = rule.sides[0]
    return next((h for h in holders if situations.contained(rule, side, h)), None)


def _held(rule: Rule, holder: Rule, item: str, situations: Situations) -> BookFault:
    side = rule.sides[0]
    if situations.contained(holder, side, rule):
        what = f"advises '{item}' in the same situation in which '{holder.id}' holds it back"
        return _fault(rule, what, "settle which of the two is meant")
    what = f"advises '{item}' only where '{holder.id}' holds it back"
    return _fault(rule, what, "advise it where it can stand, or leave it out")


def _warned(rules: list[Rule], situations: Situations) -> Iterator[BookFault]:
    """Advice that a caution on it forbids in the same situation."""
    for warner in rules:
        for caution in warner.then.cautions:
            if not caution.on or not _FORBIDS.match(caution.text):
                continue
            for rule in rules:
                items = set(caution.on) & {*rule.then.advise, *rule.then.advise_person}
                if items and rule.about == warner.about and _same(rule, warner, situations):
                    what = f"advises '{min(items)}', and '{warner.id}' warns against it in the same situation"
                    yield _fault(rule, what, "settle which of the two is meant")


def _same(one: Rule, other: Rule, situations: Situations) -> bool:
    side = one.sides[0]
    return situations.contained(one, side, other) and situations.contained(other, side, one)


def _fault(rule: Rule, what: str, mend: str) -> BookFault:
    return BookFault(f"rule '{rule.id}' {what}", file=rule.file, line=rule.line, mend=mend)
