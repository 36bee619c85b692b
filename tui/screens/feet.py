"""Both feet and all that is marked on them, for a terminal too narrow to show them beside the plan."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from toeroom.case import Place
from toeroom.foot_places import MarkedFeet, legend
from tui.widgets.feet_pane import FeetPane
from tui.widgets.lines_pane import LinesPane


class FeetScreen(ModalScreen[None]):
    """Shows the drawing and the whole legend until Esc."""

    CSS_PATH = "feet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,f,enter", "dismiss", "back")]
    HELP = """Where the findings lie

Both feet as they print on the floor, the left at the left. Each
number is a finding; what stops the fitting comes first.
  arrows    scroll what the numbers say
  Esc, f    back"""

    def __init__(self, feet: MarkedFeet, here: Place | None) -> None:
        super().__init__()
        self.feet, self.here = feet, here

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="feet-sheet"):
            yield Static("Where the findings lie", classes="sheet-title", markup=False)
            yield FeetPane(look_id="feet-drawn")
            yield LinesPane(look_id="feet-legend")
            yield Static("Arrows scroll; Esc goes back.", classes="sheet-foot", markup=False)

    def on_mount(self) -> None:
        drawn = self.query_one(FeetPane)
        drawn.with_legend = False
        drawn.show_here(self.here)
        drawn.show_feet(self.feet)
        told = self.query_one(LinesPane)
        told.show(Text(line, "head" if "STOP" in line else "") for line in legend(self.feet))
        told.focus()
