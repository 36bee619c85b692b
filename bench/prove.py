"""The prover: how long it takes, and 20,000 random cases on which it must agree with the plain engine.

Run as `python bench/prove.py [CASES]` from the checkout.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from tests.upkeep.compared import AS_OF, Cases, Comparison  # noqa: E402
from toeroom.book import Book, open_book  # noqa: E402
from toeroom.upkeep.guarantees import chosen, guarantees_file, read_guarantees  # noqa: E402
from toeroom.upkeep.proving import Prover  # noqa: E402


def prove_all(book: Book) -> None:
    guarantees = chosen(read_guarantees(guarantees_file(book.folder), book.vocabulary), [])
    start = time.perf_counter()
    prover = Prover(book.planner)
    encoded = time.perf_counter()
    verdicts = list(prover.prove(guarantees, AS_OF))
    done = time.perf_counter()
    held = sum(verdict.holds for verdict in verdicts)
    print(f"| encoding {len(book.rules)} rules | {encoded - start:.2f} s |")
    print(f"| {held} of {len(verdicts)} guarantees proved | {done - encoded:.2f} s |")


def compare(book: Book, number: int, seed: int = 1) -> int:
    """How many of `number` random cases the encoding and the engine disagree on."""
    comparison = Comparison(book.planner)
    cases = Cases(book.planner, random.Random(seed))
    start, differing, spoke = time.perf_counter(), 0, set()
    for _ in range(number):
        case = cases.one()
        outcome = book.planner.run(case)
        spoke |= outcome.read | outcome.fired
        if not comparison.agrees(case):
            differing += 1
            print("differs:", comparison.differing(case), case, flush=True)
    taken = time.perf_counter() - start
    print(f"| {number:,} random cases, {differing} differing | {taken:.0f} s |")
    print(f"| rules and sides that spoke in one of them | {len(spoke)} of {len(comparison.symbols)} |")
    return differing


def main() -> int:
    book = open_book(ROOT)
    print("| what | |\n| --- | ---: |")
    prove_all(book)
    return 1 if compare(book, int(sys.argv[1]) if len(sys.argv) > 1 else 20_000) else 0


if __name__ == "__main__":
    sys.exit(main())
