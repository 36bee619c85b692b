"""Saves until the disk is full, again and again, then looks for every version that was said to be saved.

`python -m tests.records.filling pages|disk FOLDER ROUNDS SEED` prints what was found as JSON. `pages` tells
SQLite that it may have so many pages and no more; `disk` fills a small file system of its own (tmpfs; needs
root) with ballast.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import event

from tests.records.quick import QuickPlanning
from toeroom.errors import BadInput
from toeroom.records.checking import check_store
from toeroom.records.store import Saved, Store, open_store

DISK_BYTES = 64_000_000
ROOM = 150_000
"""At most so many bytes are left free each time: a few versions."""


class NoDisk(Exception):
    """No small file system can be made here; the message says why."""


def full_of_pages(folder: Path, rounds: int, seed: int) -> dict[str, object]:
    """What is left after SQLite was refused another page `rounds` times."""
    chance = random.Random(seed)
    url = str(folder / "pages.db")
    acknowledged: list[tuple[str, int, str]] = []
    for _ in range(rounds):
        with _open(url) as store:
            size = _pages(store)
            _limit(store, size + chance.randrange(ROOM // 4096))
            acknowledged += _until_full(store, chance)
    return _found(url, rounds, acknowledged)


def full_of_ballast(folder: Path, rounds: int, seed: int) -> dict[str, object]:
    """What is left after a small disk at `folder` was filled `rounds` times."""
    chance = random.Random(seed)
    url = str(folder / "disk.db")
    acknowledged: list[tuple[str, int, str]] = []
    with _open(url) as store:
        for _ in range(rounds):
            with ballast(folder, chance.randrange(ROOM)):
                acknowledged += _until_full(store, chance)
            # With room again the same open store goes on.
            acknowledged.append(_save(store, chance))
            if _pages(store) * 4096 > DISK_BYTES // 3:
                break
    return _found(url, rounds, acknowledged)


@contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """A file system of its own at `folder`. Raises `NoDisk` where this user may make none."""
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", str(folder)]
    try:
        subprocess.run(command, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError) as error:
        raise NoDisk("a small file system cannot be mounted here (needs root)") from error
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True, capture_output=True)


@contextmanager
def ballast(folder: Path, room: int) -> Iterator[None]:
    """Leaves so many bytes free at `folder`, about."""
    path = folder / "ballast"
    free = os.statvfs(folder)
    with path.open("wb") as stream:
        os.posix_fallocate(stream.fileno(), 0, max(4096, free.f_bavail * free.f_frsize - room))
    try:
        yield
    finally:
        path.unlink()


def _open(url: str) -> Store:
    return open_store(url, planning=QuickPlanning())


def _pages(store: Store) -> int:
    with store.reading() as connection:
        return int(connection.exec_driver_sql("PRAGMA page_count").scalar() or 0)


def _limit(store: Store, pages: int) -> None:
    def set_limit(raw: Any, _: object) -> None:
        raw.execute(f"PRAGMA max_page_count = {pages}")

    event.listen(store.engine, "connect", set_limit)
    store.engine.dispose()


def _until_full(store: Store, chance: random.Random) -> list[tuple[str, int, str]]:
    acknowledged = []
    while True:
        try:
            acknowledged.append(_save(store, chance))
        except BadInput as fault:
            if fault.what != "there is no room left on the disk":
                raise
            return acknowledged


def _save(store: Store, chance: random.Random) -> tuple[str, int, str]:
    code = f"case-{chance.randrange(8)}"
    found = [listed.version for listed in store.cases(find=code)]
    text = f"case: {code}\nas_of: 2026-11-25\nnotes: {chance.random()} {'x' * chance.randrange(3000)}\n"
    result = store.save(text, "KL", found[0] if found else None)
    assert isinstance(result, Saved)
    return code, result.version.number, result.version.hash


def _found(url: str, rounds: int, acknowledged: list[tuple[str, int, str]]) -> dict[str, object]:
    with _open(url) as store:
        missing = [line for line in acknowledged if store.load(line[0], line[1]).hash != line[2]]
        report = check_store(store)
    return {
        "rounds": rounds,
        "acknowledged": len(acknowledged),
        "missing": missing[:5],
        "versions": report.versions,
        "faults": [str(fault) for fault in report.faults[:5]],
    }


if __name__ == "__main__":
    ways: dict[str, Callable[[Path, int, int], dict[str, object]]] = {
        "pages": full_of_pages,
        "disk": full_of_ballast,
    }
    print(json.dumps(ways[sys.argv[1]](Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))))
