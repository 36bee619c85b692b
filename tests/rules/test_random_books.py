"""The two engines against each other over random rule bases."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.conftest import ROOT


@pytest.mark.parametrize("seed", range(4))
def test_engines_agree_on_random_rules(seed: int) -> None:
    command = [sys.executable, "-m", "tests.rules.random_books", str(seed), "120"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    ran, spoke, differed = (int(word) for word in done.stdout.split())
    assert ran > 400
    assert spoke > ran // 2
    assert differed == 0
