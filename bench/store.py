"""The record store: how long things take with 100,000 cases, and what it stands: `python bench/store.py`.

`timings`, `kills`, `full`, `desks` run one part alone; `--cases`, `--rounds` and `--seconds` say how much.
Figures are printed as the tables in docs/records.md.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from statistics import median, quantiles

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from sqlalchemy import create_engine  # noqa: E402

from tests.records.filling import NoDisk, full_of_ballast, full_of_pages, small_disk  # noqa: E402
from tests.records.postgres import Unavailable, postgres  # noqa: E402
from toeroom.book import Book, open_book  # noqa: E402
from toeroom.case import Case, case_as_yaml  # noqa: E402
from toeroom.records.address import address_of  # noqa: E402
from toeroom.records.checking import check_store  # noqa: E402
from toeroom.records.copying import contents, fill_new  # noqa: E402
from toeroom.records.planning import BookPlanning, Planned  # noqa: E402
from toeroom.records.store import Document, Store, open_store  # noqa: E402

AS_OF = date(2026, 11, 25)
REALLY_PLANNED = 400
AT_ONCE = 2_000
TITLES = ("bunion", "numb feet", "wide", "swollen", "after an ulcer", "brace", "high arch", "papers", "lift")


class Borrowed:
    """Plans of cases planned before, under each case's own id: planning 100,000 takes an hour."""

    def __init__(self, book: Book, chance: random.Random) -> None:
        self.book = book
        real = BookPlanning(book)
        texts = [case_as_yaml(made_up(book, chance, n), book.vocabulary) for n in range(REALLY_PLANNED)]
        self.planned = [real(text, "bench") for text in texts]
        self.bodies = [text.partition("\n")[2] for text in texts]
        self._turn = itertools.cycle(range(REALLY_PLANNED))

    def documents(self, first: int, number: int) -> Iterator[Document]:
        """Case files to save, each with the body of one that is planned."""
        for n in range(first, first + number):
            code = f"c-{n:06}"
            yield Document(code, f"case: {code}\n{self.bodies[n % REALLY_PLANNED]}", None)

    def __call__(self, text: str, name: str) -> Planned:
        code = text.partition("\n")[0].removeprefix("case: ")
        found = self.planned[int(code[2:]) % REALLY_PLANNED]
        plan = found.plan.replace(f'"case":"{found.case.id}"', f'"case":"{code}"', 1)
        case = Case(code, found.case.as_of, title=found.case.title)
        return Planned(case, found.book, found.stop, plan, found.due)


def made_up(book: Book, chance: random.Random, number: int) -> Case:
    """A case as a shop has it: a quarter of the findings stated, and days in the last year."""
    vocabulary = book.vocabulary
    places = [(i, side) for i in vocabulary.findings for side in vocabulary.sides_of(i)]
    stated = chance.sample(places, len(places) // 4)

    def day() -> date:
        return AS_OF - timedelta(chance.randrange(365))

    return Case(
        f"c-{number:06}",
        AS_OF,
        title=f"{chance.choice(TITLES)}, {chance.choice(TITLES)}, number {number}",
        findings={place: chance.choice(["yes", "no", "no"]) for place in stated},
        dates={"foot_exam": day(), "delivered": day(), "inserts_changed": day(), "physician_visit": day()},
        notes="came with a daughter; old shoes kept for the lab " * chance.randrange(4),
    )


def milliseconds(run: Callable[[], object], times: int) -> list[float]:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        taken.append((time.perf_counter() - start) * 1000)
    return taken


def row(kind: str, name: str, taken: list[float], aim: str) -> None:
    print(f"| {kind} | {name} | {median(taken):.1f} | {quantiles(taken, n=20)[-1]:.1f} | {aim} |", flush=True)


def fill(url: str, cases: int, planning: Borrowed) -> None:
    with open_store(url, planning=planning) as store:
        start = time.perf_counter()
        for first in range(0, cases, AT_ONCE):
            store.save_all(list(planning.documents(first, min(AT_ONCE, cases - first))), "KL")
        print(f"filled with {cases:,} cases in {time.perf_counter() - start:.0f} s\n", flush=True)


def timings(kind: str, url: str, cases: int, planning: Borrowed) -> None:
    chance = random.Random(1)
    with open_store(url, planning=planning) as store:
        print(f"\n{kind}: {size(store) / 1e6:,.0f} MB\n")
        print("| store | what | median ms | 95 % ms | aim |\n| --- | --- | ---: | ---: | --- |")
        _looked_up(kind, store, cases, chance)
        _saved(kind, store, planning, chance)
        start = time.perf_counter()
        count = sum(1 for _ in store.documents())
        through = time.perf_counter() - start
        print(f"| {kind} | going through {count:,} documents, in all | {through * 1000:,.0f} | | |")
    row(kind, "opening the store", milliseconds(lambda: open_store(url).close(), 50), "")


def checked(url: str) -> None:
    with open_store(url) as store:
        start = time.perf_counter()
        report = check_store(store)
        print(
            f"\nchecked {report.versions:,} versions in {time.perf_counter() - start:.0f} s: {report.faults}"
        )


def _looked_up(kind: str, store: Store, cases: int, chance: random.Random) -> None:
    def code() -> str:
        return f"c-{chance.randrange(cases):06}"

    week = timedelta(7)
    looked: dict[str, Callable[[], object]] = {
        "list, the 50 saved last": lambda: store.cases(limit=50),
        "list, the 50 due first": lambda: store.cases(order="due", limit=50),
        "list, 50 by title": lambda: store.cases(order="title", limit=50),
        "find, two common words": lambda: store.cases("bunion wide", limit=50),
        "find, by a part of a title": lambda: store.cases(f"number {chance.randrange(400)}", limit=50),
        "find, nothing": lambda: store.cases("nothing-of-it", limit=50),
        "count of what is found": lambda: store.count("bunion wide"),
        f"due in the week to come, all {len(store.due_between(AS_OF, AS_OF + week)):,}": lambda: (
            store.due_between(AS_OF, AS_OF + week)
        ),
        "due in the week to come, the first 50": lambda: store.due_between(AS_OF, AS_OF + week, 50),
        "open a case": lambda: store.load(code()),
        "its plan": lambda: store.plan(code()),
        "its history": lambda: store.history(code()),
    }
    for name, run in looked.items():
        row(kind, name, milliseconds(run, 100), "95 % under 100")


def _saved(kind: str, store: Store, planning: Borrowed, chance: random.Random) -> None:
    def save(into: Store) -> None:
        began = into.load(f"c-{chance.randrange(1000):06}")
        into.save(began.text + "# again\n", "AB", began.number)

    row(kind, "open and save, already planned", milliseconds(lambda: save(store), 100), "")
    real = Store(store.engine, store.address, BookPlanning(planning.book))
    row(kind, "open, plan by both engines and save", milliseconds(lambda: save(real), 100), "")


def size(store: Store) -> int:
    if store.address.file is not None:
        return sum(path.stat().st_size for path in store.address.file.parent.glob("*.db*"))
    with store.reading() as connection:
        return int(connection.exec_driver_sql("SELECT pg_database_size(current_database())").scalar() or 0)


def driven(module: str, *arguments: object) -> None:
    """Runs a driver of the tests for longer, and prints what it found."""
    command = [sys.executable, "-m", f"tests.records.{module}", *map(str, arguments)]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, check=True)
    print(f"{module}: {done.stdout.decode().strip()}", flush=True)


def full(folder: Path, rounds: int) -> None:
    print(f"no page left: {json.dumps(full_of_pages(folder, rounds, 2))}", flush=True)
    try:
        with small_disk(folder / "disk") as disk:
            print(f"full disk: {json.dumps(full_of_ballast(disk, rounds, 2))}", flush=True)
    except NoDisk as why:
        print(f"full disk: skipped, {why}")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("part", nargs="?", choices=("timings", "kills", "full", "desks"))
    parser.add_argument("--cases", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=2_000)
    parser.add_argument("--seconds", type=float, default=60)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if asked.part in (None, "kills"):
            driven("killing", folder / "killed.db", asked.rounds, 2)
        if asked.part in (None, "full"):
            full(folder, asked.rounds)
        if asked.part in (None, "desks"):
            driven("desks", folder / "desks.db", 8, asked.seconds)
        planning, timed = None, str(folder / "t" / "timed.db")
        if asked.part in (None, "timings"):
            planning = Borrowed(open_book(), random.Random(1))
            fill(timed, asked.cases, planning)
            timings("SQLite", timed, asked.cases, planning)
            checked(timed)
        try:
            with postgres() as url:
                if asked.part in (None, "desks"):
                    driven("desks", url, 8, asked.seconds)
                    # What the desks left is not what is timed.
                    url = another_database(url)
                if planning is not None:
                    with open_store(timed) as store, store.reading() as connection:
                        fill_new(address_of(url), contents(connection))
                    timings("PostgreSQL", url, asked.cases, planning)
        except Unavailable as why:
            print(f"PostgreSQL: skipped, {why}")


def another_database(url: str) -> str:
    engine = create_engine(address_of(url).url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.exec_driver_sql("CREATE DATABASE timed")
    engine.dispose()
    return url.replace("/postgres?", "/timed?")


if __name__ == "__main__":
    main()
