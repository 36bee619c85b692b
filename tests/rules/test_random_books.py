"""The two engines against each other over random rule bases."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import pytest

from tests.conftest import ROOT

LAYOUTS: tuple[dict[str, str], ...] = ({}, {"PYTHONMALLOC": "malloc"}, {"MALLOC_PERTURB_": "85"})
"""Environments under which memory is laid out differently."""


def run_books(seed: int) -> str:
    """What the process printed.

    A frame of durable_rules that loses two of its facts is searched past its end (`state.c`,
    `deleteMessageFromFrame`: the count of facts is not lowered), and where nothing is mapped behind it
    the process dies. Only such a death is tried again, with memory laid out otherwise; a difference
    between the engines never is.
    """
    command = [sys.executable, "-m", "tests.rules.random_books", str(seed), "120"]
    for layout in LAYOUTS:
        env = {**os.environ, **layout}
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, env=env)
        if done.returncode != -signal.SIGSEGV:
            break
    done.check_returncode()
    return done.stdout


@pytest.mark.parametrize("seed", range(4))
def test_engines_agree_on_random_rules(seed: int) -> None:
    ran, spoke, differed = (int(word) for word in run_books(seed).split())
    assert ran > 400
    assert spoke > ran // 2
    assert differed == 0
