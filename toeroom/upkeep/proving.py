"""Proving guarantees for every possible case, or finding the smallest case that breaks them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from toeroom.book import Book
from toeroom.case import Case
from toeroom.rules.planning import Planner
from toeroom.upkeep.counterexample import Witness, smallest, with_note
from toeroom.upkeep.encoded_claims import EncodedClaims
from toeroom.upkeep.encoding import Encoding
from toeroom.upkeep.guarantees import Guarantee, chosen, guarantees_file, read_guarantees
from toeroom.upkeep.solver import either, z3

PROVED, REFUTED, EMPTY, UNDECIDED = "proved", "refuted", "empty", "undecided"
ABSENT = "not stated"
PATIENCE_MS = 60_000


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of a guarantee.

    standing: proved (holds in every case), refuted (`case` breaks it, by `broken`), empty (its
    condition holds in no case, so it says nothing), undecided (`broken` says why).
    """

    guarantee: Guarantee
    standing: str
    case: Case | None = None
    broken: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        return self.standing == PROVED


class Prover:
    """The rules of a planner, encoded once and asked about guarantee after guarantee."""

    def __init__(self, planner: Planner) -> None:
        self.planner = planner
        self.encoding = Encoding(planner.rules, planner.vocabulary)
        self.claims = EncodedClaims(self.encoding)
        self.solver = z3.Solver()
        self.solver.set("timeout", PATIENCE_MS)
        self.solver.add(*self.encoding.stated.domain, *self.encoding.definitions)

    def prove(self, guarantees: Iterable[Guarantee], as_of: date) -> Iterator[Verdict]:
        """A verdict on each guarantee. `as_of` is the day of the plan in counterexamples, where it may be."""
        guarantees = tuple(guarantees)
        witness: Witness | None = None
        for guarantee in guarantees:
            standing = self.standing(guarantee)
            if standing == REFUTED:
                witness = witness or Witness(self.planner, guarantees)
                yield self._refuted(guarantee, witness, as_of)
            else:
                why = ("the solver found no answer in time",) if standing == UNDECIDED else ()
                yield Verdict(guarantee, standing, None, why)

    def standing(self, guarantee: Guarantee) -> str:
        """The verdict in a word, without a case: for many rule books in a row."""
        broken = self.solver.check(either(*(self.claims.broken(guarantee, s) for s in guarantee.sides)))
        if broken != z3.unsat:
            return REFUTED if broken == z3.sat else UNDECIDED
        applies = self.solver.check(either(*(self.claims.applies(guarantee, s) for s in guarantee.sides)))
        if applies != z3.sat:
            return EMPTY if applies == z3.unsat else UNDECIDED
        return PROVED

    def _refuted(self, guarantee: Guarantee, witness: Witness, as_of: date) -> Verdict:
        ways = [self.claims.broken(guarantee, side) for side in guarantee.sides]
        name, title = f"breaks-{guarantee.id}", f"Breaks: {guarantee.title}"
        case = smallest(self.solver, self.encoding.stated, ways, as_of, name, title)
        if case is None:
            return Verdict(guarantee, UNDECIDED, None, ("broken only by numbers that no case can state",))
        broken = witness.breaks(guarantee, case)
        if not broken:
            why = "the engines do not show what the solver found: tell who maintains the prover"
            return Verdict(guarantee, UNDECIDED, case, (why,))
        return Verdict(guarantee, REFUTED, with_note(case, broken), tuple(broken))


def active_guarantees(book: Book) -> tuple[Guarantee, ...]:
    """The guarantees of a book; none where it has no file of them."""
    path = guarantees_file(book.folder)
    return chosen(read_guarantees(path, book.vocabulary), []) if path.is_file() else ()


def guarantees_changed(old: Book, new: Book) -> list[str]:
    """A line for each guarantee of either book that does not stand alike in both, lost ones first."""
    before, after = (_standings(book) for book in (old, new))
    lost: list[str] = []
    other: list[str] = []
    for guarantee_id in dict.fromkeys([*before, *after]):
        was, is_ = before.get(guarantee_id, ABSENT), after.get(guarantee_id, ABSENT)
        if was != is_:
            (lost if was == PROVED else other).append(f"{guarantee_id}: {was} → {is_}")
    return [*lost, *other]


def some_guarantee_fails(book: Book) -> Callable[[Planner], bool]:
    """Says of the rules of a planner whether a guarantee of `book` does not hold for them."""
    guarantees = active_guarantees(book)

    def fails(planner: Planner) -> bool:
        prover = Prover(planner)
        return any(prover.standing(guarantee) == REFUTED for guarantee in guarantees)

    return fails


def _standings(book: Book) -> dict[str, str]:
    prover = Prover(book.planner)
    return {guarantee.id: prover.standing(guarantee) for guarantee in active_guarantees(book)}


def prove(planner: Planner, guarantees: Iterable[Guarantee], as_of: date | None = None) -> list[Verdict]:
    """A verdict on each guarantee for the rules of `planner`."""
    return list(Prover(planner).prove(guarantees, as_of or date.today()))
