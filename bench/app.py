"""How quick the app is on a real terminal: `make bench`. Figures are printed as the table in docs/timings.md.

A child runs `toeroom` on a pseudo-terminal; what it writes is read as a terminal would, and the clock
stops when the words wanted have been written. So start, key, plan and drawing are all in the figure.
"""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import sys
import tempfile
import termios
import time
from pathlib import Path
from statistics import median, quantiles

ROOT = Path(__file__).parent.parent
ROWS, COLUMNS = 36, 120
ESCAPES = re.compile(rb"\x1b\[[0-?]*[ -/]*[@-~]|\x1b[()][0-9A-B]|\x1b[=>78]")
STATES = (("y", "STOP"), ("n", "No stop"))
"""A key on the line of an open wound, and what the app then says above form and plan."""


class Terminal:
    """A child on a pseudo-terminal of its own, its files in a folder of their own."""

    def __init__(self, home: Path) -> None:
        self.child, self.master = pty.fork()
        if self.child == 0:
            own = {f"XDG_{kind}_HOME": str(home / kind.lower()) for kind in ("STATE", "CACHE", "CONFIG")}
            looks = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "PYTHONPATH": str(ROOT)}
            os.chdir(home)
            # Compiled modules are kept, as an installed toeroom has them.
            kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
            os.execve(sys.executable, [sys.executable, "-m", "toeroom"], {**kept, **own, **looks})
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        self.read = b""

    def press(self, keys: str) -> None:
        """Types `keys`; what was written before is forgotten."""
        self.read = b""
        os.write(self.master, keys.encode())

    def until(self, words: str, most: float = 20.0) -> None:
        """Reads until `words` have been written; an error after `most` seconds."""
        end = time.perf_counter() + most
        while words.encode() not in ESCAPES.sub(b"", self.read):
            if time.perf_counter() > end:
                raise TimeoutError(words)
            if select.select([self.master], [], [], 0.05)[0]:
                self.read += os.read(self.master, 65536)

    def quiet(self, seconds: float) -> None:
        """Reads until nothing has been written for so long."""
        while select.select([self.master], [], [], seconds)[0]:
            self.read += os.read(self.master, 65536)

    def close(self) -> None:
        os.kill(self.child, signal.SIGKILL)
        os.waitpid(self.child, 0)
        os.close(self.master)


def started(home: Path) -> tuple[Terminal, float]:
    """A child whose list of cases can be used, and how many ms that took."""
    start = time.perf_counter()
    terminal = Terminal(home)
    terminal.until("handbook")
    return terminal, (time.perf_counter() - start) * 1000


def keys_to_plan(terminal: Terminal, times: int) -> list[float]:
    """From a key to the plan drawn anew, in ms, on the first demo case."""
    terminal.press("n")
    terminal.until("id for the new case")
    terminal.press("bench\r")
    terminal.until("No stop")
    terminal.press("/open wound\r")
    terminal.quiet(1.0)
    taken = []
    for number in range(times):
        key, words = STATES[number % 2]
        terminal.press(key)
        start = time.perf_counter()
        terminal.until(words)
        taken.append((time.perf_counter() - start) * 1000)
        terminal.quiet(0.25)
    return taken


def row(name: str, taken: list[float], aim: str) -> None:
    """A row of the table."""
    print(f"| {name} | {median(taken):.0f} | {quantiles(taken, n=20)[-1]:.0f} | {aim} |", flush=True)


def main() -> None:
    print("| what | median ms | 95 % ms | aim |\n| --- | ---: | ---: | --- |")
    with tempfile.TemporaryDirectory() as folder:
        terminal, took = started(Path(folder))
        print(f"| the first start of all, the book checked as a whole | {took:.0f} | | |", flush=True)
        terminal.close()
        starts = []
        for _ in range(20):
            terminal, took = started(Path(folder))
            starts.append(took)
            terminal.close()
        row("start to the list of cases", starts, "under 600")
        terminal, _ = started(Path(folder))
        row("key to the plan drawn anew", keys_to_plan(terminal, 80), "95 % under 50")
        terminal.close()


if __name__ == "__main__":
    main()
