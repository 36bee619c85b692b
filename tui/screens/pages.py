"""Which of several pages to open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static

from tui.library import Library
from tui.widgets.page_choice import PageChoice


class PagesScreen(ModalScreen[str | None]):
    """Ends with the id of a page, or with None."""

    CSS_PATH = "pages.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,p,ctrl+p", "give_up", "back")]
    HELP = "Several pages tell of this. Arrows choose, Enter opens, Esc goes back."

    def __init__(self, library: Library, about: str, pages: Sequence[str]) -> None:
        super().__init__()
        self.library, self.about, self.pages = library, about, pages

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(f"In the handbook: {self.about}", classes="sheet-title", markup=False)
            yield PageChoice(self.library, self.pages, look_id="pages")
            yield Static("Enter opens; Esc goes back.", classes="sheet-foot", markup=False)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option_id)

    def action_give_up(self) -> None:
        self.dismiss(None)
