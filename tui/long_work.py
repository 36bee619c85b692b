"""Work that takes seconds or minutes: a toeroom command in a process of its own, which can be left off."""

from __future__ import annotations

import asyncio
import contextlib
import os
import re
import signal
import sys
from collections.abc import Callable, Sequence

LONGEST_LINE = 1 << 20


class LongWork:
    """Runs one command. `stop` ends it and all that it started."""

    def __init__(self, told: Callable[[str], None], how_far: Callable[[str], None]) -> None:
        self.told, self.how_far = told, how_far
        self._process: asyncio.subprocess.Process | None = None
        self.stopped = False

    async def run(self, arguments: Sequence[str]) -> int:
        """Runs `toeroom` with these arguments and `--progress`; returns its exit code."""
        process = self._process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-m",
            "toeroom",
            *arguments,
            "--progress",
            stdin=asyncio.subprocess.DEVNULL,
            stdout=asyncio.subprocess.PIPE,
            stderr=asyncio.subprocess.PIPE,
            start_new_session=True,
            limit=LONGEST_LINE,
        )
        if self.stopped:
            # It was asked for while the process was still being made.
            self._end(process)
        try:
            await asyncio.gather(
                self._read(process.stdout, self.told), self._read(process.stderr, self._aside)
            )
            return await process.wait()
        finally:
            self.stop()

    async def _read(self, stream: asyncio.StreamReader | None, tell: Callable[[str], None]) -> None:
        while stream is not None and (line := await stream.readline()):
            # What a process says while it is ended is of no use to anybody.
            if self.stopped:
                continue
            tell(line.decode(errors="replace").rstrip("\n"))

    def _aside(self, line: str) -> None:
        if re.fullmatch(r"\d+ of \d+", line):
            self.how_far(line)
        else:
            self.told(line)

    def stop(self) -> None:
        """Ends the work where it still goes on, or has yet to begin."""
        if self._process is None:
            self.stopped = True
        elif self._process.returncode is None:
            self.stopped = True
            self._end(self._process)

    def _end(self, process: asyncio.subprocess.Process) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGTERM)
