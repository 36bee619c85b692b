"""`toeroom trace` through real processes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.tracing.shapes import Egg, write_csv


def test_a_foot_over_its_liner(tmp_path: Path) -> None:
    foot = write_csv(tmp_path / "foot.csv", Egg(width=104).points())
    liner = write_csv(tmp_path / "liner.csv", Egg(length=264, width=94).points())
    done = toeroom("trace", foot, "--liner", liner, "--side", "left", "--json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["foot"]["length_mm"] == pytest.approx(250, abs=0.02)
    assert found["on_liner"]["foot_over_liner"] == "yes"


def test_a_missing_file_is_one_line() -> None:
    done = toeroom("trace", "no-such-outline.csv")
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert "no-such-outline.csv" in done.stderr
