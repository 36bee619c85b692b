"""How the app talks to the server that shows it in a browser."""

from __future__ import annotations

from textual import messages
from textual.drivers.web_driver import WebDriver


class BrowserDriver(WebDriver):
    """Ends the app when the server has gone: nobody could see it or end it any more."""

    def run_input_thread(self) -> None:
        super().run_input_thread()
        if not self.exit_event.is_set():
            self._app.post_message(messages.ExitApp())
