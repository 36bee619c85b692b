"""About the case: its title, the day it is planned for, free notes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static, TextArea

from toeroom.case import Case, day_from
from toeroom.wording import printable


class AboutScreen(ModalScreen[Case | None]):
    """Ends with the case as it is now, or with None where a line will not do and the person gives up."""

    CSS_PATH = "about.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,ctrl+s,f5", "done", "done", priority=True),
        Binding("ctrl+r", "read", "read the notes", priority=True),
    ]
    HELP = """About the case

Title, day and notes. The plan never reads the notes by itself.
Never write a person's name here.
  Tab       from line to line
  ctrl+r    read the notes: each finding in them to be confirmed
  Esc       done; what you wrote is kept"""

    def __init__(self, case: Case, drafted: Callable[[Case], object], start: str = "about-title") -> None:
        """`drafted` is told what the case would be, as it is written; `start` is the line to begin in."""
        super().__init__()
        self.case, self.drafted, self.start = case, drafted, start
        self.to_be_read = False
        self.shown_title = printable(case.title)
        self.shown_notes = "\n".join(printable(line) for line in case.notes.split("\n"))

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="about"):
            yield Static(f"About {self.case.id}", classes="sheet-title", markup=False)
            yield Static("Title", markup=False)
            yield Input(self.shown_title, id="about-title", select_on_focus=False)
            yield Static("Planned for the day", markup=False)
            yield Input(self.case.as_of.isoformat(), id="about-day", select_on_focus=False)
            yield Static("Notes", markup=False)
            yield TextArea(self.shown_notes, id="about-notes", tab_behavior="focus", soft_wrap=True)
            yield Static("", classes="sheet-fault", id="about-fault", markup=False)
            yield Static(
                "Never a person's name. ctrl+r reads the notes, for you to confirm. Esc: done.",
                classes="sheet-foot",
                markup=False,
            )

    def on_mount(self) -> None:
        self.query_one("#about-fault").display = False
        self.query_one(f"#{self.start}").focus()

    def on_input_changed(self) -> None:
        self._draft()

    def on_text_area_changed(self) -> None:
        self._draft()

    def _draft(self) -> None:
        try:
            self.drafted(self._written())
        except ValueError:
            # A day half written; title and notes are kept with the next that is whole.
            return

    def _written(self) -> Case:
        """The case as it is now; what was not touched stays as it was written, to the letter.

        Raises `ValueError` where the day is none.
        """
        title = self.query_one("#about-title", Input).value
        notes = self.query_one("#about-notes", TextArea).text
        return replace(
            self.case,
            as_of=day_from(self.query_one("#about-day", Input).value.strip()),
            title=self.case.title if title == self.shown_title else title,
            notes=self.case.notes if notes == self.shown_notes else notes,
        )

    def action_done(self) -> None:
        """Gives the case back."""
        try:
            self.dismiss(self._written())
        except ValueError as error:
            said = self.query_one("#about-fault", Static)
            said.display = True
            said.update(str(error))

    def action_read(self) -> None:
        """Gives the case back, its notes to be read."""
        self.to_be_read = True
        self.action_done()
