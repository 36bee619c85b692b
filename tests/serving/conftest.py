"""`toeroom serve` as a process of its own, and a browser to look at it with."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import ROOT

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@dataclass
class Served:
    """A server that runs in `folder`."""

    process: subprocess.Popen[str]
    address: str
    port: int
    folder: Path

    @property
    def token(self) -> str:
        return self.address.split("/")[3]

    @property
    def sessions(self) -> list[int]:
        """The ids of the processes that are sessions of it."""
        children = Path(f"/proc/{self.process.pid}/task/{self.process.pid}/children").read_text()
        return [int(child) for child in children.split()]


Serve = Callable[..., Served]


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Starts a server on a free port, with the options given."""
    started: list[subprocess.Popen[str]] = []
    places = {
        "PYTHONPATH": str(ROOT),
        "HOME": str(tmp_path),
        "XDG_STATE_HOME": str(tmp_path / "state"),
        "XDG_CACHE_HOME": str(tmp_path / "cache"),
    }

    seen = tmp_path / "state/toeroom/tour-seen"
    seen.parent.mkdir(parents=True)
    seen.touch()

    def start(*options: str) -> Served:
        process = subprocess.Popen(
            [sys.executable, "-m", "toeroom", "serve", "--json", *options],
            cwd=tmp_path,
            env={**os.environ, **places},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            text=True,
        )
        started.append(process)
        assert process.stdout is not None
        told = json.loads(process.stdout.readline())
        return Served(process, told["address"], told["port"], tmp_path)

    yield start
    for process in started:
        process.kill()
        process.communicate()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """A browser. Playwright keeps a loop running while it lives; no other test could have its own then."""
    if CHROMIUM is None:
        pytest.skip("no Chromium here: 'apt-get install chromium' brings one")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()
