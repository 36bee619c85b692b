"""How a refused input is looked at: exit 2, one line that names the file, nothing else anywhere."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]

Refusal = Callable[[Path], str]


def one_refusing_line(code: int, out: str, err: str, path: Path) -> str:
    """The line on standard error, once everything a refusal must be has been asserted."""
    assert code == 2
    assert out == ""
    lines = err.splitlines()
    assert len(lines) == 1, err
    assert err.endswith("\n")
    assert path.name in lines[0]
    assert "Traceback" not in err
    assert lines[0].isprintable()
    return lines[0]


@pytest.fixture
def refused(capsys: pytest.CaptureFixture[str]) -> Refusal:
    """Plans a file within this process and returns the line that refuses it."""
    from toeroom.cli import main

    def plan(path: Path) -> str:
        try:
            code = main(["plan", str(path)])
        except SystemExit as stop:
            code = stop.code
        captured = capsys.readouterr()
        return one_refusing_line(code, captured.out, captured.err, path)

    return plan


@pytest.fixture
def refused_by_process() -> Refusal:
    """Plans a file as a person does, through a process of its own."""

    def plan(path: Path) -> str:
        there = os.pathsep.join(p for p in (str(CHECKOUT), os.environ.get("PYTHONPATH")) if p)
        done = subprocess.run(
            [sys.executable, "-m", "toeroom", "plan", str(path)],
            env={**os.environ, "PYTHONPATH": there, "PYTHONUTF8": "1"},
            capture_output=True,
            timeout=120,
            check=False,
            encoding="utf-8",
        )
        return one_refusing_line(done.returncode, done.stdout, done.stderr, path)

    return plan
