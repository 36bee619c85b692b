"""Picks one thing out of a list by typing part of its name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from toeroom.training.finding import meant
from toeroom.vocabulary import Term
from toeroom.wording import printable


@dataclass(frozen=True, slots=True)
class Pick:
    """Something to pick: its key, the words it is found by, and what stands quietly beside it."""

    key: str
    term: Term
    beside: str = ""


class PickList(OptionList):
    """The list; letters go to the line above it."""

    can_focus = False


class PickScreen(ModalScreen[str | None]):
    """Ends with the key of what was picked, or with None."""

    CSS_PATH = "picking.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "give_up", "back"),
        Binding("up", "move(-1)", show=False, priority=True),
        Binding("down", "move(1)", show=False, priority=True),
        Binding("pageup", "move(-8)", show=False, priority=True),
        Binding("pagedown", "move(8)", show=False, priority=True),
    ]
    HELP = "Type part of a name; arrows choose, Enter takes it.\nEsc goes back and nothing is done."

    def __init__(self, title: str, picks: Sequence[Pick]) -> None:
        super().__init__()
        self.asks, self.picks = title, picks

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="picking"):
            yield Static(self.asks, classes="sheet-title", markup=False)
            yield Input(placeholder="type to find", id="pick-line", compact=True)
            yield PickList(id="pick-list")
            yield Static("Enter takes it, Esc goes back.", classes="sheet-foot", markup=False)

    def on_mount(self) -> None:
        self.query_one(Input).focus()
        self._fill("")

    def on_input_changed(self, event: Input.Changed) -> None:
        self._fill(event.value)

    def _fill(self, text: str) -> None:
        terms = [pick.term for pick in self.picks]
        found = {term.id for term in meant(terms, text)} if text.strip() else {term.id for term in terms}
        listed = self.query_one(PickList)
        listed.clear_options()
        column = max((len(printable(pick.term.label)) for pick in self.picks), default=0)
        listed.add_options(
            Option(
                Content.assemble(
                    printable(pick.term.label).ljust(column if pick.beside else 0),
                    (f"  {printable(pick.beside)}", "$quiet"),
                ),
                id=pick.key,
            )
            for pick in self.picks
            if pick.term.id in found
        )
        listed.highlighted = 0 if listed.option_count else None

    def action_move(self, step: int) -> None:
        listed = self.query_one(PickList)
        if listed.option_count:
            at = (listed.highlighted or 0) + step
            listed.highlighted = max(0, min(listed.option_count - 1, at))

    def on_input_submitted(self) -> None:
        listed = self.query_one(PickList)
        if listed.highlighted is not None:
            self.dismiss(listed.get_option_at_index(listed.highlighted).id)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option_id)

    def action_give_up(self) -> None:
        self.dismiss(None)
