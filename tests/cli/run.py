"""toeroom as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys

from tests.conftest import ROOT


def toeroom(*arguments: str, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    """Runs `python -m toeroom` from the checkout's folder; standard input is empty."""
    return subprocess.run(
        [sys.executable, "-m", "toeroom", *arguments],
        cwd=ROOT,
        env={**os.environ, **(env or {})},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,
    )
