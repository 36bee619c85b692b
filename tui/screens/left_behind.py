"""Unsaved work of an app that is gone: to be kept or thrown away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from toeroom.unsaved import LeftBehind
from toeroom.wording import printable


class LeftBehindScreen(ModalScreen[LeftBehind | None]):
    """Ends with the work to be opened, or with None; what is thrown away is gone at once."""

    CSS_PATH = "left_behind.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k", "keep", "keep"),
        Binding("d,delete", "discard", "discard"),
        Binding("escape", "dismiss", "later"),
    ]
    HELP = """Unsaved work

toeroom ended without saving these. Nothing of them is in your files.
  k, Enter    keep: opens it on the desk, to be saved from there
  d, Delete   discard: it is gone for good
  Esc         later: it is offered again at the next start"""

    def __init__(self, found: Sequence[LeftBehind]) -> None:
        super().__init__()
        self.found = list(found)
        self.sure: LeftBehind | None = None

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static("Unsaved work", classes="sheet-title", markup=False)
            yield OptionList(id="left-list", markup=False)
            yield Static("", id="left-said", classes="sheet-fault", markup=False)
            foot = "k or Enter keeps: it opens, to be saved. d discards. Esc: later."
            yield Static(foot, classes="sheet-foot", markup=False)

    def on_mount(self) -> None:
        self._list()
        self.query_one(OptionList).focus()

    def _list(self) -> None:
        listed = self.query_one(OptionList)
        listed.clear_options()
        for number, one in enumerate(self.found):
            listed.add_options([Option(told(one), id=str(number)), None])
        listed.highlighted = 0
        self._say("")

    def _say(self, text: str) -> None:
        said = self.query_one("#left-said", Static)
        said.display = bool(text)
        said.update(text)

    @property
    def _chosen(self) -> LeftBehind:
        return self.found[self.query_one(OptionList).highlighted or 0]

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_keep()

    def action_keep(self) -> None:
        """Opens it, where it can be read."""
        if self._chosen.case is None:
            self._say(f"cannot be read: {printable(self._chosen.fault)}")
        else:
            self.dismiss(self._chosen)

    def action_discard(self) -> None:
        """Throws it away when asked twice."""
        chosen = self._chosen
        if self.sure is not chosen:
            self.sure = chosen
            self._say("d again throws it away for good")
            return
        chosen.discard()
        self.found.remove(chosen)
        if self.found:
            self._list()
        else:
            self.dismiss(None)


def told(one: LeftBehind) -> str:
    """What it is, from when, and where it came from."""
    when = one.when.strftime("%Y-%m-%d %H:%M")
    if one.case is None:
        return f"unsaved work from {when}, which cannot be read\n{printable(str(one.file))}"
    title = f": {printable(one.case.title)}" if one.case.title else ""
    origin = f"file {printable(str(one.path))}" if one.path else "no file of its own yet"
    return f"unsaved work from {when}\n{one.case.id}{title}\n{origin}"
