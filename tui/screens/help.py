"""What one can do in the place one is in."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

EVERYWHERE = """

Everywhere
  F1              this help
  h, F2           the handbook
  a, F3           ask; from a case, about that case
  t, ctrl+t       training
  k, F10          upkeep: the rules and pages of the book
  d, F11          what falls due, week by week
  F6              back to the cases and the case that is open
  F7              copy: the plan, the page, the passage
  shift+up, down  mark lines; c copies them (or the mouse, ctrl+c)
  F9              light or dark
  ctrl+k          what can be done here, cases and pages, by name
  Esc             back
  ctrl+q          leave toeroom; asks if something is not saved

Every plan can be had as plain text too: toeroom --help."""


def with_heads(text: str) -> Content:
    """The text, its headings bold: the first line, and what stands alone above indented lines."""
    lines = text.split("\n")
    following = [*lines[1:], ""]
    heads = [
        not number or (after.startswith(" ") and before == "")
        for number, (before, after) in enumerate(zip(["", *lines], following, strict=False))
    ]
    return Content("\n").join(
        Content.styled(line, "bold $primary") if head else Content(line)
        for line, head in zip(lines, heads, strict=True)
    )


class HelpScreen(ModalScreen[None]):
    """Shows a text until Esc."""

    CSS_PATH = "help.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,enter,q", "dismiss", "back"),
        Binding("t", "tour", "tour"),
    ]

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text = text

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="help"), VerticalScroll():
            yield Static(with_heads(self.text.strip("\n") + EVERYWHERE), markup=False)
            yield Static(
                "Esc goes back; arrows scroll. t: a tour of two minutes.", classes="sheet-foot", markup=False
            )

    def action_tour(self) -> None:
        """From here to the tour."""
        self.dismiss()
        self.app.call_later(self.app.run_action, "app.tour")
