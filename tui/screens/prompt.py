"""Asks for one line: a path, an id. What will not do is said here, before anything is done."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static


class PromptScreen(ModalScreen[str | None]):
    """Ends with the line, or with None. `check` says what is wrong with a line, or nothing."""

    CSS_PATH = "prompt.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "give_up", "back")]
    HELP = "A line is asked for. Enter takes it.\nEsc goes back and nothing is done."

    def __init__(self, title: str, hint: str, start: str, check: Callable[[str], str]) -> None:
        super().__init__()
        self.asks, self.hint, self.start, self.check = title, hint, start, check

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(self.asks, classes="sheet-title", markup=False)
            yield Input(self.start, id="prompt-line", select_on_focus=False)
            yield Static("", classes="sheet-fault", id="prompt-fault", markup=False)
            yield Static(f"{self.hint} Enter takes it, Esc goes back.", classes="sheet-foot", markup=False)

    def on_mount(self) -> None:
        self.query_one("#prompt-fault").display = False
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        fault = self.check(event.value.strip())
        said = self.query_one("#prompt-fault", Static)
        said.display = bool(fault)
        said.update(fault)
        if not fault:
            self.dismiss(event.value.strip())

    def action_give_up(self) -> None:
        self.dismiss(None)
