"""One session in a browser: the app as a process of its own, between the server's two pipes."""

from __future__ import annotations

import asyncio
import contextlib
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import Sequence
from pathlib import Path

from aiohttp import web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

from toeroom.errors import BadInput

PATIENCE = 5.0
"""Seconds a session has to end by itself."""


class Session(AppService):
    """The process behind one websocket. `arguments` are those of this module run as a program."""

    def __init__(
        self, arguments: Sequence[str], websocket: web.WebSocketResponse, downloads: DownloadManager
    ) -> None:
        async def close() -> None:
            await websocket.close()

        super().__init__(
            "",
            write_bytes=websocket.send_bytes,
            write_str=websocket.send_str,
            close=close,
            download_manager=downloads,
        )
        self.arguments = list(arguments)

    def _build_environment(self, width: int = 80, height: int = 24) -> dict[str, str]:
        driver = {"TEXTUAL_DRIVER": "tui.serving.driver:BrowserDriver"}
        return {**super()._build_environment(width, height), **driver}

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        # No shell: a path is never read as a command. -P: nothing is imported from the folder one is in.
        self._process = await asyncio.create_subprocess_exec(
            *(sys.executable, "-P", "-m", "tui.serving.session", *self.arguments),
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=self._build_environment(width, height),
        )
        self._stdin = self._process.stdin
        return self._process

    async def run(self) -> None:
        """Carries what the app draws to the browser, until the app ends."""
        try:
            await super().run()
        finally:
            await self.remote_close()

    async def stop(self) -> None:
        """Ends the app; where it does not end by itself, without asking it."""
        with contextlib.suppress(TimeoutError):
            await asyncio.wait_for(super().stop(), PATIENCE)
        if self._process is not None and self._process.returncode is None:
            self._process.kill()
            await self._process.wait()


def main(arguments: Sequence[str]) -> None:
    """Runs the app on a book, with a case on the desk where one is named."""
    from tui.app import start_app

    folder, *case = arguments
    try:
        start_app(Path(folder), Path(case[0]) if case else None)
    except BadInput as fault:
        # The server passes it on to who started it.
        sys.exit(f"toeroom: {fault}")


if __name__ == "__main__":
    main(sys.argv[1:])
