"""Two pictures of the plan pane, from a sheet made here, so that a new rule does not change them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual.app import App, ComposeResult

import tui
from toeroom.sheet import Asked, Entry, Part, Sheet
from tui.themes import DAYLIGHT, LAMP
from tui.widgets.plan_pane import PlanPane

LOOK = Path(tui.__file__).parent


def entry(label: str, **changes: Any) -> Entry:
    plain: dict[str, Any] = {
        "label": label,
        "sides": "left foot",
        "act": "Do this; see that it is done.",
        "by": "you",
        "because": "open wound, left",
        "cautions": ("Take care.",),
        "more_cautions": (),
        "tell": "",
        "write": "",
        "held_because": "",
        "pages": (),
        "lines": (),
    }
    return Entry(**{**plain, **changes})


SHEET = Sheet(
    title="A case [left] [/b]",
    case="t-1",
    as_of="2026-11-25",
    risk="",
    stop=True,
    urgent=False,
    headline="left foot is not fitted today",
    stops=(entry("Wound to the service", by="a clinician", tell="No shoe today.", write="Size, place."),),
    at_once=(),
    parts=(Part("footwear", "The shoe", (entry("Deep shoe", sides="right foot"),), ()),),
    held=(entry("Wide shoe", held_because="no fitting today, left"),),
    cautions=("Unknown is never no.",),
    asked=(),
    deferral="Clinicians decide.",
    version="1",
)


class PaneApp(App[None]):
    """The pane alone."""

    CSS_PATH = [LOOK / "app.tcss", LOOK / "screens" / "desk.tcss"]

    def __init__(self, theme: str) -> None:
        super().__init__()
        for own in (LAMP, DAYLIGHT):
            self.register_theme(own)
        self.theme = theme

    def compose(self) -> ComposeResult:
        yield PlanPane(look_id="plan")

    def on_mount(self) -> None:
        pane = self.query_one(PlanPane)
        pane.show_sheet(SHEET, asked=(Asked("Is the [right] foot cold?", "right foot", "if yes: stop"),))
        pane.focus()


@pytest.mark.parametrize("theme", [LAMP.name, DAYLIGHT.name])
def test_the_plan_pane_looks_as_it_did(snap_compare: Any, theme: str) -> None:
    assert snap_compare(PaneApp(theme), terminal_size=(70, 26))
