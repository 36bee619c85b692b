"""How long Ask takes: `python bench/asking.py`. Figures are printed as the table in docs/timings.md.

Every question and note under tests/answers is asked once to warm up and once for the clock; then 1,000
lines of them go through `toeroom ask -` as a process, and texts of 20,000 characters are understood.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median, quantiles

from toeroom.answers.answering import Answerer
from toeroom.book import open_book

ROOT = Path(__file__).parent.parent
TEXTS = ROOT / "tests" / "answers"
LINES, LONG, LONG_TEXTS = 1_000, 20_000, 20


def texts() -> list[str]:
    """Every question and note the tests hold, each once, in a stable order."""
    found: dict[str, None] = {}
    for path in sorted(TEXTS.glob("*.jsonl")):
        for line in path.read_text("utf-8").splitlines():
            found[" ".join(json.loads(line)["text"].split())] = None
    return list(found)


def milliseconds(run: Callable[[], object]) -> float:
    """How long one run took."""
    start = time.perf_counter()
    run()
    return (time.perf_counter() - start) * 1000


def row(name: str, taken: list[float], aim: str) -> None:
    """A row of the table: median, 95th percentile, worst."""
    high = quantiles(taken, n=20)[-1] if len(taken) > 1 else taken[0]
    print(f"| {name} | {median(taken):.1f} | {high:.1f} | {max(taken):.1f} | {aim} |")


def long_texts(asked: list[str]) -> list[str]:
    """Texts of 20,000 characters: notes run together, and letters and marks at random."""
    chance = random.Random(1)
    notes = [". ".join(chance.choices(asked, k=LONG // 20))[:LONG] for _ in range(LONG_TEXTS // 2)]
    letters = "abcdefghijklmnopqrstuvwxyz    ,.;?!'\"0123456789/-()°½\n"
    return [*notes, *("".join(chance.choices(letters, k=LONG)) for _ in range(LONG_TEXTS // 2))]


def main() -> None:
    asked, answerer = texts(), Answerer(open_book())
    print("| what | median ms | p95 ms | worst ms | aim |\n| --- | ---: | ---: | ---: | --- |")
    row("the first answer of a process", [milliseconds(lambda: answerer.reply(asked[0]))], "")
    for text in asked:
        answerer.reply(text)
    taken = [milliseconds(partial(answerer.reply, text)) for text in asked]
    row(f"an answer ({len(asked)} texts)", taken, "p95 under 60")
    lines = "\n".join((asked * (LINES // len(asked) + 1))[:LINES]) + "\n"
    command = [sys.executable, "-m", "toeroom", "ask", "--json", "-"]

    def through_a_process() -> object:
        return subprocess.run(command, input=lines, text=True, cwd=ROOT, check=True, capture_output=True)

    row("1,000 lines through `ask -`", [milliseconds(through_a_process)], "")
    long = [milliseconds(partial(answerer.reply, text)) for text in long_texts(asked)]
    row("a text of 20,000 characters", long, "under 1,000")


if __name__ == "__main__":
    main()
