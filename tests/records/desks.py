"""Several desks (processes) editing the same and different cases at once; then: is any edit lost?

`python -m tests.records.desks URL DESKS SECONDS` prints what was found as JSON. Each desk adds one to a
number in the notes (two desks clash there and begin again) or turns a finding of its own (those merge).
"""

from __future__ import annotations

import json
import os
import random
import sys
import time
from collections import Counter
from typing import NoReturn

from tests.records.quick import QuickPlanning
from toeroom.records.checking import check_store
from toeroom.records.document import FieldChange, changed_text, fields_of
from toeroom.records.store import Conflict, Saved, Store, Version, open_store

OWN = ("bunion", "hammertoe", "callus", "claw_toes", "thick_nails", "flat_foot", "high_arch", "narrow_heel")
FEWEST = 5
"""Additions each desk makes at least, however slow the machine is."""
SHARED = ("shared-1", "shared-2")
START = "case: {}\nas_of: 2026-11-25\nnotes: 0 additions\n"


def edited(url: str, desks: int, seconds: float) -> dict[str, object]:
    """What the desks did in `seconds`, and what of it the store has lost."""
    planning = QuickPlanning()
    planning("case: warm", "warm")
    readers = []
    for desk in range(desks):
        reader, writer = os.pipe()
        if not os.fork():
            os.close(reader)
            _work(url, planning, desk, time.monotonic() + seconds, writer)
        os.close(writer)
        readers.append(reader)
    told = []
    for reader in readers:
        with os.fdopen(reader) as stream:
            told.append(json.loads(stream.read() or '{"error": "no word"}'))
        os.wait()
    errors = [one["error"] for one in told if "error" in one]
    if errors:
        return {"errors": errors}
    with open_store(url, planning=planning) as store:
        lost = [*_lost_counts(store, told), *_lost_turns(store, told)]
        report = check_store(store)
    total: Counter[str] = sum((Counter(one["did"]) for one in told), Counter())
    return {
        **total,
        "desks": desks,
        "lost": lost,
        "cases": report.cases,
        "versions": report.versions,
        "faults": [str(fault) for fault in report.faults[:5]],
    }


def _work(url: str, planning: QuickPlanning, desk: int, until: float, told: int) -> NoReturn:
    try:
        result: dict[str, object] = _edits(open_store(url, planning=planning), desk, until)
    except BaseException as error:
        result = {"error": repr(error)}
    os.write(told, json.dumps(result).encode())
    os._exit(0)


def _edits(store: Store, desk: int, until: float) -> dict[str, object]:
    """Edits until the time is up. counts: additions by case; turns: the desk's last finding by case."""
    chance = random.Random(desk)
    did: Counter[str] = Counter()
    counts: Counter[str] = Counter()
    turns: dict[str, str] = {}
    cases = (*SHARED, f"own-{desk}")
    for code in cases:
        store.save(START.format(code), "AA")
    while time.monotonic() < until or sum(counts.values()) < FEWEST:
        code = chance.choice(cases)
        if chance.random() < 0.5:
            _add_one(store, code, desk, chance, did)
            counts[code] += 1
        else:
            turns[code] = _turn(store, code, desk, chance, did)
    return {"did": did, "counts": counts, "turns": turns}


def _read(store: Store, code: str, chance: random.Random) -> Version:
    """A person takes a while between opening a case and saving it."""
    began = store.load(code)
    time.sleep(chance.uniform(0, 0.02))
    return began


def _add_one(store: Store, code: str, desk: int, chance: random.Random, did: Counter[str]) -> None:
    while True:
        began = _read(store, code, chance)
        notes = fields_of(began.text)["notes"]
        # With the desk's name: the same words from two desks would be one change, and no loss.
        added = f"{int(notes.split()[0]) + 1} additions, last by desk {desk}"
        changed = changed_text(began.text, (FieldChange("notes", notes, added),))
        if isinstance(store.save(changed, "AA", began.number), Saved):
            did["saved"] += 1
            return
        did["conflicts"] += 1


def _turn(store: Store, code: str, desk: int, chance: random.Random, did: Counter[str]) -> str:
    field = f"left.{OWN[desk]}"
    began = _read(store, code, chance)
    before = fields_of(began.text).get(field)
    after = "no" if before == "yes" else "yes"
    result = store.save(changed_text(began.text, (FieldChange(field, before, after),)), "BB", began.number)
    while isinstance(result, Conflict):
        did["conflicts"] += 1
        did["merged"] += 1
        assert result.offer.text is not None, result.clashes
        result = store.save(result.offer.text, "BB", result.latest.number)
    did["saved"] += 1
    return after


def _lost_counts(store: Store, told: list[dict[str, dict[str, int]]]) -> list[str]:
    total: Counter[str] = sum((Counter(one["counts"]) for one in told), Counter())
    return [
        f"{code}: {count} additions, and the notes say {found}"
        for code, count in total.items()
        if (found := fields_of(store.load(code).text)["notes"]).split()[0] != str(count)
    ]


def _lost_turns(store: Store, told: list[dict[str, dict[str, str]]]) -> list[str]:
    return [
        f"{code}: desk {desk} turned its finding to {value}"
        for desk, one in enumerate(told)
        for code, value in one["turns"].items()
        if fields_of(store.load(code).text)[f"left.{OWN[desk]}"] != value
    ]


if __name__ == "__main__":
    print(json.dumps(edited(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]))))
