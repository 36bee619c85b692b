"""Whose plan changes from one book to another, and how: over given cases and over made ones."""

from __future__ import annotations

import multiprocessing
import os
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import chain
from pathlib import Path

from toeroom.book import Book, open_book
from toeroom.case import Case, case_as_yaml, parse_case, read_case
from toeroom.errors import BadInput
from toeroom.rules.facts import FactMaker
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Test
from toeroom.rules.planning import Outcome
from toeroom.upkeep.differences import KINDS, Difference, differences, said
from toeroom.upkeep.generating import CaseMaker
from toeroom.upkeep.recording import case_files
from toeroom.upkeep.situations import Situations
from toeroom.upkeep.unlike import Unlike
from toeroom.vocabulary import Vocabulary

CHUNK = 2500
NAMED = 3
OLD = "~old"
Guarantees = Callable[[Book, Book], list[str]]
"""Says, a line each, which guarantees hold for one book and not for the other."""


@dataclass(slots=True)
class Group:
    """All cases in which one thing changed.

    `cases` counts them; `named` are those of files; `smallest` is the size and number of the made
    case that states least; `rules` counts the rules that spoke otherwise.
    """

    kind: str
    what: str
    sides: set[str] = field(default_factory=set)
    ways: Counter[str] = field(default_factory=Counter)
    cases: int = 0
    named: list[str] = field(default_factory=list)
    smallest: tuple[int, int] | None = None
    rules: Counter[str] = field(default_factory=Counter)

    def add(self, other: Group) -> None:
        """Takes in another part of the same group."""
        self.sides |= other.sides
        self.ways += other.ways
        self.cases += other.cases
        self.named += other.named
        self.rules += other.rules
        both = [found for found in (self.smallest, other.smallest) if found is not None]
        self.smallest = min(both) if both else None


@dataclass(slots=True)
class Part:
    """What some of the cases showed. `together`: for each rule of the new book those it spoke with, as
    bits of their ranks.
    """

    cases: int = 0
    changed: int = 0
    groups: dict[tuple[str, str], Group] = field(default_factory=dict)
    together: dict[int, int] = field(default_factory=dict)

    def add(self, other: Part) -> None:
        """Takes in what other cases showed."""
        self.cases += other.cases
        self.changed += other.changed
        for key, group in other.groups.items():
            self.groups.setdefault(key, Group(group.kind, group.what)).add(group)
        for rank, bits in other.together.items():
            self.together[rank] = self.together.get(rank, 0) | bits


@dataclass(frozen=True, slots=True)
class Comparison:
    """How two books differ. `groups` come worst first, and the commonest first within a kind."""

    added: tuple[str, ...]
    removed: tuple[str, ...]
    changed: tuple[str, ...]
    files: int
    files_changed: tuple[str, ...]
    made: int
    made_changed: int
    rules_reached: int
    rules: int
    pairs_reached: int
    groups: tuple[Group, ...]
    unread: tuple[str, ...]
    guarantees: tuple[str, ...]
    smallest: dict[tuple[str, str], str]
    """By kind and thing changed: a made case that shows it, as a case file."""


def compare(
    old: Path,
    new: Path,
    *,
    files: Sequence[Path] = (),
    kept: Iterable[tuple[str, str]] = (),
    made: int = 100_000,
    seed: int = 1,
    workers: int | None = None,
    guarantees: Guarantees | None = None,
    tell: Callable[[int], None] = lambda done: None,
) -> Comparison:
    """Compares the book in folder `old` with that in `new`.

    Looks at the case files given and those beside the new book, at the cases `kept` elsewhere (a name and the
    text of each), and at `made` cases in which every
    rule speaks, and every two rules together, as far as such a case is found. `tell` is told how many of
    the made cases were looked at.
    """
    two = Pair(open_book(old), open_book(new))
    total = Part()
    paths = [*files, *case_files(two.new.cases_demo)]
    of_files, changed_files, unread = _given(two, chain(_read(two, paths), _parsed(two, kept)))
    total.add(of_files)
    of_made = _made(old, new, two, made, seed, workers, tell)
    total.add(of_made)
    worst_first = sorted(total.groups.values(), key=lambda g: (KINDS.index(g.kind), -g.cases, g.what))
    texts = {
        (group.kind, group.what): case_as_yaml(two.case(seed, group.smallest[1]), two.vocabulary)
        for group in worst_first
        if group.smallest is not None
    }
    return Comparison(
        added=two.added,
        removed=two.removed,
        changed=two.changed,
        files=of_files.cases,
        files_changed=tuple(changed_files),
        made=of_made.cases,
        made_changed=of_made.changed,
        rules_reached=len(of_made.together),
        rules=len(two.new.rules),
        pairs_reached=sum((bits & -(2 << rank)).bit_count() for rank, bits in of_made.together.items()),
        groups=tuple(worst_first),
        unread=tuple(unread),
        guarantees=tuple(guarantees(two.old, two.new)) if guarantees else (),
        smallest=texts,
    )


class Pair:
    """Two books, and cases for both."""

    def __init__(self, old: Book, new: Book) -> None:
        self.old, self.new = old, new
        before = {rule.id: _essence(rule) for rule in old.rules}
        after = {rule.id: _essence(rule) for rule in new.rules}
        self.added = tuple(i for i in after if i not in before)
        self.removed = tuple(i for i in before if i not in after)
        self.changed = tuple(i for i in after if i in before and before[i] != after[i])
        self.says_other = {i for i in self.changed if before[i].then != after[i].then}
        self.vocabulary = _both(old.vocabulary, new.vocabulary)
        # Facts that only one of the books looks at are needed to see where the other would differ.
        facts = FactMaker((*old.rules, *new.rules), self.vocabulary)
        old.planner.facts = new.planner.facts = facts
        self.unlike = Unlike(old.planner, new.planner, {*self.added, *self.removed, *self.changed})
        self._maker: tuple[int, CaseMaker] | None = None
        self._order: list[tuple[int, int]] = []
        self._changed_pairs: list[tuple[int, int]] = []

    def case(self, seed: int, number: int) -> Case:
        """Made case `number`: first every rule and every pair, then those of changed rules in turn."""
        maker = self._made_by(seed)
        if number >= len(self._order) and number % 2 and self._changed_pairs:
            return maker.case(number, self._changed_pairs[number // 2 % len(self._changed_pairs)])
        return maker.case(number, self._order[number % len(self._order)])

    def _made_by(self, seed: int) -> CaseMaker:
        if self._maker is None or self._maker[0] != seed:
            aside = [
                replace(rule, id=rule.id + OLD)
                for rule in self.old.rules
                if rule.id in self.removed or rule.id in self.changed
            ]
            maker = CaseMaker(Situations((*self.new.rules, *aside), self.vocabulary), seed)
            touched = {*self.added, *self.changed, *(rule.id for rule in aside)}
            numbers = {i for i, rule in enumerate(maker.rules) if rule.id in touched}
            self._order = maker.pairs()
            self._changed_pairs = [pair for pair in self._order if numbers & set(pair)]
            self._order.sort(key=lambda pair: (pair[0] != pair[1], not numbers & set(pair)))
            self._maker = seed, maker
        return self._maker[1]

    def look(self, case: Case, part: Part, number: int | None, name: str = "") -> bool:
        """Plans a case by both books and notes what differs; says whether anything does."""
        numbers = self.new.planner.facts.numbers(case)
        after = self.new.planner.run(case, numbers)
        part.cases += 1
        if number is not None:
            self._note_together(after, part)
        if not self.unlike.possible(after, self.says_other):
            return False
        before = self.old.planner.run(case, numbers)
        spoke = before.fired ^ after.fired | before.read ^ after.read
        others = {i for i, _ in after.fired | after.read if i in self.says_other}
        if not spoke and not others:
            return False
        planner = self.new.planner
        found = differences(planner, said(self.old.planner, before), said(planner, after))
        part.changed += bool(found)
        rules = {i for i, _ in spoke} | others
        for group in _grouped(found).values():
            group.cases = 1
            group.rules.update(rules)
            group.named = [name] if name else []
            if number is not None:
                size = len(case.findings) + len(case.measures) + len(case.dates) + len(case.choices)
                group.smallest = (size, number)
            key = (group.kind, group.what)
            part.groups.setdefault(key, Group(group.kind, group.what)).add(group)
        return bool(found)

    def _note_together(self, outcome: Outcome, part: Part) -> None:
        ranks = {self.new.planner.rank[i] for i, _ in outcome.fired | outcome.read}
        bits = 0
        for rank in ranks:
            bits |= 1 << rank
        for rank in ranks:
            part.together[rank] = part.together.get(rank, 0) | bits


def _grouped(found: Iterable[Difference]) -> dict[tuple[str, str], Group]:
    groups: dict[tuple[str, str], Group] = {}
    for one in found:
        group = groups.setdefault((one.kind, one.what), Group(one.kind, one.what))
        group.sides.add(one.side)
        group.ways[f"{one.before} → {one.after}"] += 1
    return groups


def _read(two: Pair, paths: Iterable[Path]) -> Iterator[tuple[str, Callable[[], Case]]]:
    return ((path.name, partial(read_case, path, two.vocabulary)) for path in paths)


def _parsed(two: Pair, kept: Iterable[tuple[str, str]]) -> Iterator[tuple[str, Callable[[], Case]]]:
    return ((name, partial(parse_case, text, two.vocabulary, name=name)) for name, text in kept)


def _given(two: Pair, cases: Iterable[tuple[str, Callable[[], Case]]]) -> tuple[Part, list[str], list[str]]:
    """What cases show of which there is a name and how to read each; what cannot be read is said."""
    part, changed, unread = Part(), [], []
    for name, read in cases:
        try:
            case = read()
        except BadInput as fault:
            unread.append(str(fault))
            continue
        if two.look(case, part, None, name):
            changed.append(name)
    return part, changed, unread


# --- made cases, by several processes ---------------------------------------------------------------
def _made(
    old: Path, new: Path, two: Pair, made: int, seed: int, workers: int | None, tell: Callable[[int], None]
) -> Part:
    chunks = [range(first, min(first + CHUNK, made)) for first in range(0, made, CHUNK)]
    workers = min(workers or os.cpu_count() or 1, len(chunks))
    total = Part()
    if workers <= 1:
        for chunk in chunks:
            total.add(_chunk(two, seed, chunk))
            tell(total.cases)
        return total
    # Threads may be about in whoever calls: a process that was forked from them could hang.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, context, _begin, (old, new, seed)) as pool:
        for part in pool.map(_of_chunk, chunks):
            total.add(part)
            tell(total.cases)
    return total


_WORKER: list[tuple[Pair, int]] = []
"""The books of this process, where it is one that was started to work."""


def _begin(old: Path, new: Path, seed: int) -> None:
    _WORKER[:] = [(Pair(open_book(old), open_book(new)), seed)]


def _of_chunk(numbers: range) -> Part:
    two, seed = _WORKER[0]
    return _chunk(two, seed, numbers)


def _chunk(two: Pair, seed: int, numbers: range) -> Part:
    part = Part()
    for number in numbers:
        two.look(two.case(seed, number), part, number)
    return part


# --- what counts as a change of a rule --------------------------------------------------------------
def _essence(rule: Rule) -> Rule:
    """The rule without its place, wording, sources and examples: what plans can depend on."""
    return replace(
        rule, when=_unplaced(rule.when), title="", pages=(), sources=(), author="", reviewed="", review_by="",
        reviewed_by="", fires={}, silent={}, file="", line=0,
    )  # fmt: skip


def _unplaced(condition: Condition) -> Condition:
    if isinstance(condition, Test):
        return replace(condition, line=0)
    if isinstance(condition, Feet):
        return Feet(condition.which, _unplaced(condition.part))
    parts = tuple(_unplaced(part) for part in condition.parts)
    return All(parts) if isinstance(condition, All) else AnyOf(parts)


def _both(old: Vocabulary, new: Vocabulary) -> Vocabulary:
    """The words of both books; where they differ, those of the new one."""
    return replace(
        new,
        findings={**old.findings, **new.findings},
        measures={**old.measures, **new.measures},
        choices={**old.choices, **new.choices},
        dates={**old.dates, **new.dates},
        calculated={**old.calculated, **new.calculated},
        derived={**old.derived, **new.derived},
        plan_items={**old.plan_items, **new.plan_items},
        by_id={**old.by_id, **new.by_id},
    )
