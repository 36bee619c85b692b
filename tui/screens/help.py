"""What one can do in the place one is in."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

EVERYWHERE = """

Everywhere
  F1              this help
  h, F2           the handbook
  a, F3           ask; from a case, about that case
  t, ctrl+t       training
  k, F10          upkeep: the rules and pages of the book
  F6              back to the cases and the case that is open
  F9              light or dark
  ctrl+k          all that can be done here, found by name; demo cases and pages as well
  Esc             back
  ctrl+q          leave toeroom; asks if something is not saved

Every plan can be had as plain text too: toeroom --help."""


class HelpScreen(ModalScreen[None]):
    """Shows a text until Esc."""

    CSS_PATH = "help.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,f1,enter,q", "dismiss", "back")]

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="help"), VerticalScroll():
            yield Static(self.text.strip("\n") + EVERYWHERE, markup=False)
            yield Static("Esc goes back; arrows scroll.", classes="sheet-foot", markup=False)
