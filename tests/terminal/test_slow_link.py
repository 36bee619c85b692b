"""A link that carries little at a time: what is typed meanwhile is not lost, and the end is shown."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pyte
import pytest

from tests.terminal.conftest import PATIENCE, places

BYTES, PAUSE = 256, 0.01
"""So much is read of what the app draws, then nothing for so long: some 25 kB a second."""


@pytest.mark.parametrize("at_once", [True, False])
def test_typed_ahead_of_a_slow_link_every_key_counts(tmp_path: Path, at_once: bool) -> None:
    controller, its = pty.openpty()
    fcntl.ioctl(its, termios.TIOCSWINSZ, struct.pack("HHHH", 36, 120, 0, 0))
    environment = {**os.environ, **places(tmp_path), "TERM": "xterm-256color"}
    app = subprocess.Popen(
        [sys.executable, "-m", "toeroom"],
        cwd=tmp_path,
        env=environment,
        stdin=its,
        stdout=its,
        stderr=its,
        start_new_session=True,
    )
    os.close(its)
    screen = pyte.Screen(120, 36)
    stream = pyte.ByteStream(screen)
    ends = time.monotonic() + PATIENCE

    def sees(*words: str) -> None:
        while not all(word in "\n".join(screen.display) for word in words):
            assert time.monotonic() < ends, "\n".join(screen.display)
            if select.select([controller], [], [], 0.1)[0]:
                stream.feed(os.read(controller, BYTES))
                time.sleep(PAUSE)

    try:
        sees("n new case")
        keys = b"nslow-1\r/open wound\ry"
        for part in [keys] if at_once else [bytes([key]) for key in keys]:
            os.write(controller, part)
        sees("slow-1", "STOP  left foot is not fitted today", "Wound to the foot service")
    finally:
        app.kill()
        app.wait()
        os.close(controller)
