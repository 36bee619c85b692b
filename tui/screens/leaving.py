"""Asked before unsaved work would be left."""

from __future__ import annotations

from typing import ClassVar, Literal

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Static

Answer = Literal["save", "drop", "stay"]


class LeavingScreen(ModalScreen[Answer]):
    """Ends with save, drop or stay; Esc stays."""

    CSS_PATH = "leaving.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "answer('stay')", "stay"),
        Binding("ctrl+s", "answer('save')", "save and leave"),
        Binding("left,up", "app.focus_previous", show=False),
        Binding("right,down", "app.focus_next", show=False),
    ]
    HELP = "Something is not saved.\nArrows choose, Enter does it, Esc stays."

    def __init__(self, case: str) -> None:
        super().__init__()
        self.case = case

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(f"{self.case} is not saved", classes="sheet-title", markup=False)
            yield Static("Leaving now would lose what you have stated.", classes="sheet-said", markup=False)
            with Horizontal(id="answers"):
                yield Button("Stay", id="stay", compact=True)
                yield Button("Save and leave", id="save", compact=True)
                yield Button("Leave, lose it", id="drop", compact=True)

    def on_mount(self) -> None:
        self.query_one("#stay").focus()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        self.action_answer(event.button.id or "stay")

    def action_answer(self, answer: str) -> None:
        self.dismiss("save" if answer == "save" else "drop" if answer == "drop" else "stay")
