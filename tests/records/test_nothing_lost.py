"""Killed writers, a full disk, eight desks at once: every version that was said to be saved is there.

`bench/store.py` runs the same for longer.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.records.filling import NoDisk, ballast, full_of_ballast, full_of_pages, small_disk
from toeroom.errors import BadInput
from toeroom.records.store import open_store

KILLS, FILLINGS, DESKS, SECONDS = 60, 15, 8, 3


def ran(module: str, *arguments: object) -> dict[str, object]:
    """What a driver prints, run as a process of its own: it forks."""
    done = subprocess.run(
        [sys.executable, "-m", f"tests.records.{module}", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, object] = json.loads(done.stdout)
    return found


def test_kill_9_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    found = ran("killing", tmp_path / "s.db", KILLS, 1)
    assert found["acknowledged"], found
    assert (found["missing"], found["faults"], found["stores_half_made"]) == ([], [], 0), found


def test_no_page_left_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    found = full_of_pages(tmp_path, FILLINGS, 1)
    assert found["acknowledged"] == found["versions"]
    assert (found["missing"], found["faults"]) == ([], []), found


def test_a_full_disk_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    try:
        with small_disk(tmp_path / "disk") as folder:
            found = full_of_ballast(folder, FILLINGS, 1)
            with ballast(folder, 60_000), pytest.raises(BadInput, match="no room left"):
                open_store(str(folder / "new.db"))
            assert not list(folder.glob("*new.db*"))
    except NoDisk as why:
        pytest.skip(str(why))
    assert found["acknowledged"] == found["versions"]
    assert (found["missing"], found["faults"]) == ([], []), found


def test_eight_desks_lose_no_edit(either: str) -> None:
    found = ran("desks", either, DESKS, SECONDS)
    assert "errors" not in found, found
    assert found.get("conflicts"), "the desks never met: the test shows nothing"
    assert (found["lost"], found["faults"]) == ([], []), found
