"""The line at the top: where one is, and whether it is saved."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Static

from toeroom.wording import printable


class TitleBar(Vertical):
    """`toeroom`, the place, at the right what there is to know of it; below, why an older book is in use."""

    shown: tuple[str, str, str] = ("", "", "")

    def compose(self) -> ComposeResult:
        with Horizontal(id="title-line"):
            yield Static(id="title-place", markup=False)
            yield Static(id="title-state", markup=False)
        yield Static(id="title-banner", markup=False)

    def on_mount(self) -> None:
        self.show_banner(getattr(self.app, "banner", ""))

    def show_banner(self, text: str) -> None:
        """Shows `text` below the line, or nothing."""
        banner = self.query_one("#title-banner", Static)
        banner.display = bool(text)
        banner.update(printable(text))

    def show(self, place: str, more: str = "", state: str = "") -> None:
        """Names the place. What is shown already is left alone: a new layout costs more than a plan."""
        if (place, more, state) == self.shown:
            return
        self.shown = (place, more, state)
        content = Content.assemble(
            ("╌ toeroom ╌ ", "bold $primary"), (printable(place), "bold"), (f"  {printable(more)}", "$quiet")
        )
        self.query_one("#title-place", Static).update(content)
        self.query_one("#title-state", Static).update(printable(state))
