"""Kills writers with signal 9 in mid-work, then looks for every version they were told is saved.

`python -m tests.records.killing URL ROUNDS SEED` prints what was found as JSON. A process of its own,
because it forks: the writers start at once, with all that is imported.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from typing import NoReturn

from tests.records.quick import QuickPlanning
from toeroom.records.checking import check_store
from toeroom.records.store import Saved, Store, open_store

CASES = 5
NEW_EVERY = 5
"""Every so many rounds a writer is killed while it makes a store as well."""


def killed(url: str, rounds: int, seed: int) -> dict[str, object]:
    """What was acknowledged in `rounds` of writing and killing, and what of it is missing afterwards."""
    chance = random.Random(seed)
    planning = QuickPlanning()
    planning("case: warm", "warm")
    # Makes it once here, so that the writers need not import what makes tables.
    open_store(url, planning=planning).close()
    acknowledged: list[str] = []
    silent = half_made = 0
    for number in range(rounds):
        lines = _round(url, planning, chance)
        acknowledged += lines
        silent += not lines
        if number % NEW_EVERY == 0:
            half_made += _killed_while_making(f"{url}-{number}", planning, chance)
    with open_store(url, planning=planning) as store:
        missing = [line for line in acknowledged if not _is_there(store, line)]
        report = check_store(store)
    return {
        "rounds": rounds,
        "rounds_killed_before_the_first": silent,
        "stores_half_made": half_made,
        "acknowledged": len(acknowledged),
        "missing": missing[:5],
        "versions": report.versions,
        "faults": [str(fault) for fault in report.faults[:5]],
    }


def _round(url: str, planning: QuickPlanning, chance: random.Random) -> list[str]:
    reader, writer = os.pipe()
    seed, delay = chance.random(), chance.uniform(0, 0.03)
    at_work = chance.random() < 0.8
    child = os.fork()
    if not child:
        os.close(reader)
        _write_for_ever(url, planning, random.Random(seed), writer)
    os.close(writer)
    with os.fdopen(reader) as stream:
        # Mostly once it writes, however slow the machine is; else while it opens the store.
        first = stream.readline() if at_work else ""
        time.sleep(delay)
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        lines = (first + stream.read()).splitlines()
    if not os.WIFSIGNALED(status):
        raise SystemExit(f"a writer ended by itself: {lines[-1:]}")
    return lines


def _killed_while_making(url: str, planning: QuickPlanning, chance: random.Random) -> bool:
    """Whether a store was left that is neither whole nor absent."""
    _round(url, planning, chance)
    if not os.path.exists(url):
        return False
    with open_store(url, planning=planning, make=False) as store:
        return bool(check_store(store).faults)


def _write_for_ever(url: str, planning: QuickPlanning, chance: random.Random, told: int) -> NoReturn:
    try:
        store = open_store(url, planning=planning)
        latest = {listed.case: listed.version for listed in store.cases()}
        while True:
            code = f"case-{chance.randrange(CASES)}"
            text = (
                f"case: {code}\nas_of: 2026-11-25\nnotes: {chance.random()} {'x' * chance.randrange(3000)}\n"
            )
            saved = store.save(text, "KL", latest.get(code))
            assert isinstance(saved, Saved)
            latest[code] = saved.version.number
            os.write(told, f"{code} {saved.version.number} {saved.version.hash}\n".encode())
    except BaseException as error:
        os.write(told, f"{error!r}\n".encode())
        os._exit(1)


def _is_there(store: Store, line: str) -> bool:
    code, number, mark = line.split()
    return store.load(code, int(number)).hash == mark


if __name__ == "__main__":
    print(json.dumps(killed(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))))
