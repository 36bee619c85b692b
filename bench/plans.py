"""How long planning takes: `make bench`. Figures are printed as the table in docs/timings.md."""

from __future__ import annotations

import random
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median, quantiles

from toeroom.book import Book, open_book
from toeroom.case import Case, read_case
from toeroom.rules.asking import ask_next
from toeroom.vocabulary import Vocabulary

ROOT = Path(__file__).parent.parent
DEMO = ROOT / "cases_demo" / "bunion-and-numb-feet.yaml"
AS_OF = date(2026, 11, 25)


def milliseconds(run: Callable[[], object], times: int) -> list[float]:
    """How long each of `times` runs took."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append((time.perf_counter() - start) * 1000)
    return taken


def random_case(chance: random.Random, vocabulary: Vocabulary, share: float) -> Case:
    """A case with a share of all findings stated."""
    places = [(i, side) for i in vocabulary.findings for side in vocabulary.sides_of(i)]
    stated = chance.sample(places, int(len(places) * share))
    return Case("bench", AS_OF, findings={place: chance.choice(["yes", "no", "no"]) for place in stated})


def row(name: str, taken: list[float], aim: str) -> None:
    """A row of the table."""
    high = quantiles(taken, n=20)[-1] if len(taken) > 1 else taken[0]
    print(f"| {name} | {median(taken):.2f} | {high:.2f} | {aim} |")


def processes() -> None:
    command = [sys.executable, "-m", "toeroom", "plan", str(DEMO)]

    def run(*more: str) -> object:
        return subprocess.run([*command, *more], cwd=ROOT, check=True, capture_output=True)

    row("`toeroom plan` as a process", milliseconds(run, 10), "under 500")
    row("the same, `--json`", milliseconds(lambda: run("--json"), 10), "")


def in_process(book: Book) -> None:
    planner, chance = book.planner, random.Random(1)
    row("opening the book", milliseconds(lambda: open_book(ROOT), 10), "")
    demo = read_case(DEMO, book.vocabulary)
    planner.plan(demo)
    row("a plan by both engines, demo case", milliseconds(lambda: planner.plan(demo), 200), "under 5")
    cases = [random_case(chance, book.vocabulary, 0.3) for _ in range(200)]
    several = iter(cases)
    row("a plan by both engines, 30 % of findings stated at random",
        milliseconds(lambda: planner.plan(next(several)), 200), "")  # fmt: skip
    half = random_case(chance, book.vocabulary, 0.5)
    asked = milliseconds(lambda: ask_next(planner, half), 20)
    row("what to ask next, half the findings stated", asked, "under 150")
    blank = Case("blank", AS_OF)
    row("what to ask next, nothing stated", milliseconds(lambda: ask_next(planner, blank), 20), "under 150")


def batch(book: Book, size: int = 10_000) -> None:
    chance = random.Random(2)
    cases = [random_case(chance, book.vocabulary, 0.2) for _ in range(size)]
    for name, work in (
        ("outcomes by the plain engine", book.planner.run),
        ("plans by the plain engine", book.planner.plain_plan),
        ("plans by both engines", book.planner.plan),
    ):
        start = time.perf_counter()
        for case in cases:
            work(case)
        taken = time.perf_counter() - start
        print(f"| {size:,} {name}, in all | {taken * 1000:,.0f} | | {size / taken:,.0f} a second |")


def main() -> None:
    book = open_book(ROOT)
    python = sys.version.split()[0]
    print(f"{len(book.rules)} rules, {len(book.vocabulary.findings)} findings, Python {python}\n")
    print("| what | median ms | 95 % ms | aim |\n| --- | ---: | ---: | --- |")
    processes()
    in_process(book)
    batch(book)


if __name__ == "__main__":
    main()
