"""The installed app in a real terminal: keys go in, the pane is read."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.conftest import ROOT

PATIENCE = 60.0
"""Seconds to wait for what must come; on a quiet machine it comes in one or two."""


def places(folder: Path) -> dict[str, str]:
    """Logs, the index and the mark of the tour in a folder of the test's own."""
    seen = folder / "state/toeroom/tour-seen"
    seen.parent.mkdir(parents=True, exist_ok=True)
    seen.touch()
    return {
        "PYTHONPATH": str(ROOT),
        "HOME": str(folder),
        "XDG_STATE_HOME": str(folder / "state"),
        "XDG_CACHE_HOME": str(folder / "cache"),
    }


class Terminal:
    """A tmux server of its own with the app in its one pane. Its mouse is off: all is done by keys."""

    def __init__(self, folder: Path, name: str) -> None:
        self.folder, self.name = folder, name

    def tmux(self, *words: str) -> str:
        done = subprocess.run(
            ["tmux", "-L", self.name, "-f", "/dev/null", *words], capture_output=True, text=True, check=True
        )
        return done.stdout

    def start(self, *, size: tuple[int, int] = (120, 36), **environment: str) -> None:
        """Starts the app and waits until it can be used."""
        unset = dict.fromkeys(("COLORTERM", "NO_COLOR", "COLUMNS", "LINES"), "")
        given = {**unset, **places(self.folder), **environment}
        without = [word for name, value in given.items() if not value for word in ("-u", name)]
        words = ["env", *without, *(f"{name}={value}" for name, value in given.items() if value)]
        command = shlex.join([*words, sys.executable, "-m", "toeroom"])
        width, height = (str(n) for n in size)
        self.tmux("new-session", "-d", "-x", width, "-y", height, "-c", str(self.folder), command)
        for option in ("escape-time", "0"), ("set-clipboard", "on"):
            self.tmux("set-option", "-s", *option)
        self.sees("n new case")

    @property
    def text(self) -> str:
        return self.tmux("capture-pane", "-p")

    @property
    def coloured(self) -> str:
        """The pane with the codes for its colours."""
        return self.tmux("capture-pane", "-p", "-e")

    @property
    def process(self) -> int:
        return int(self.tmux("display-message", "-p", "#{pane_pid}"))

    def types(self, text: str) -> None:
        """Characters, all at once."""
        self.tmux("send-keys", "-l", text)

    def presses(self, *keys: str) -> None:
        self.tmux("send-keys", *keys)

    def resize(self, width: int, height: int) -> None:
        self.tmux("resize-window", "-x", str(width), "-y", str(height))

    def until(self, holds: Callable[[], object]) -> None:
        ends = time.monotonic() + PATIENCE
        while not holds():
            assert time.monotonic() < ends, f"it did not come about; the pane shows:\n{self.text}"
            time.sleep(0.05)

    def sees(self, *words: str) -> None:
        self.until(lambda: all(word in self.text for word in words))


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    if shutil.which("tmux") is None:
        pytest.skip("no tmux here: 'apt-get install tmux' brings it")
    made = Terminal(tmp_path, f"toeroom-{os.getpid()}-{tmp_path.name}")
    yield made
    subprocess.run(["tmux", "-L", made.name, "kill-server"], capture_output=True)
