"""The form: the grid of both feet, the line that finds, the line that types, and how to look."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.widgets import Input, Static

from toeroom.case import Case, Place
from toeroom.vocabulary import Choice, Finding, Measure, Term, Vocabulary
from toeroom.wording import printable
from tui.stating import Value, with_stated
from tui.widgets.form_grid import FormGrid
from tui.widgets.typing_line import TypingLine

SAID_BY = {"fitter": "", "wearer": "The wearer says.", "clinician": "From a clinician or the referral."}


class FindLine(Input):
    """Where a finding is looked for; Enter or an arrow goes to what was found."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "to_grid", "to the line found"),
        Binding("down,up,tab,shift+tab", "to_grid", show=False),
        Binding("escape", "show_all", "show all"),
    ]

    def __init__(self, to_grid: Callable[[], None], show_all: Callable[[], None]) -> None:
        super().__init__(placeholder="type part of a finding", compact=True, id="find", select_on_focus=False)
        self.to_grid, self.show_all = to_grid, show_all

    def action_to_grid(self) -> None:
        self.to_grid()

    def action_show_all(self) -> None:
        self.show_all()


class Form(Vertical):
    """Holds the case as the person is stating it; `changed` is told at once of every change."""

    def __init__(
        self, vocabulary: Vocabulary, case: Case, changed: Callable[[Case], None], *, look_id: str
    ) -> None:
        super().__init__(id=look_id)
        self.vocabulary, self.case, self.changed = vocabulary, case, changed

    def compose(self) -> ComposeResult:
        yield FindLine(self.to_grid, self.show_all)
        yield FormGrid(self.vocabulary, self.case, self, look_id="grid")
        yield TypingLine(self.state, self._typing_ended, look_id="typing")
        yield Static(id="hint", markup=False)

    @property
    def grid(self) -> FormGrid:
        return self.query_one(FormGrid)

    @property
    def finding(self) -> bool:
        """Whether lines are being looked for."""
        return self.query_one(FindLine).display

    def on_mount(self) -> None:
        self.query_one(FindLine).display = False
        self.query_one(TypingLine).display = False

    # --- what the desk asks of it ------------------------------------------------------------------
    def show_case(self, case: Case) -> None:
        """Shows `case`."""
        self.case = case
        self.grid.show_case(case)

    def mark_asked(self, places: list[Place]) -> None:
        """Marks what is asked next."""
        self.grid.mark_asked(places)

    def settle(self) -> None:
        """Ends typing that is under way, so that the case holds all that was typed."""
        self.query_one(TypingLine).settle()

    def find(self) -> None:
        """Opens the line that finds; what was looked for before gives way to what is typed."""
        line = self.query_one(FindLine)
        line.display = True
        self.screen.set_focus(line)
        line.action_select_all()

    def show_all(self) -> None:
        """All lines in sight again."""
        line = self.query_one(FindLine)
        with line.prevent(Input.Changed):
            line.value = ""
        line.display = False
        self.grid.narrow("")
        self.screen.set_focus(self.grid)

    def to_grid(self) -> None:
        """To the line that was found."""
        text = self.query_one(FindLine).value
        if text.strip():
            self.grid.narrow(text)
            self.screen.set_focus(self.grid)
        else:
            self.show_all()

    def go_to(self, term_id: str, side: str) -> None:
        """To the line of a term, ready to state it."""
        self.show_all()
        self.grid.go_to(term_id, side)

    # --- what its parts ask of it --------------------------------------------------------------------
    def state(self, term: Term, side: str, value: Value) -> None:
        """`value` is stated of `term` on `side`; None takes it back."""
        case = with_stated(self.case, term, side, value)
        if case != self.case:
            self.show_case(case)
            self.changed(case)

    def type_in(self, term: Term, side: str, text: str) -> None:
        """Opens the line that types."""
        before: Decimal | date | None
        if isinstance(term, Measure):
            before = self.case.measures.get((term.id, side))
        else:
            before = self.case.dates.get(term.id)
        self.query_one(TypingLine).begin(term, side, before, text)

    def _typing_ended(self, by_enter: bool, refused: str) -> None:
        if refused:
            self.notify(refused, severity="warning", markup=False)
        focused = self.screen.focused
        if focused is None or focused.id == "typing-input":
            self.screen.set_focus(self.grid)
        if by_enter:
            self.grid.go_on()

    @on(FindLine.Changed, "#find")
    def _narrow(self, event: Input.Changed) -> None:
        event.stop()
        self.grid.narrow(event.value)

    @on(FormGrid.Moved)
    def _cursor_moved(self) -> None:
        line = self.grid.line
        said = self.query_one("#hint", Static)
        if line is None:
            said.update("No finding of that name. Esc shows all.")
        else:
            said.update(hint(line.term, self.grid.side))


def hint(term: Term, side: str) -> Content:
    """What to ask about a term on a side, and how to look."""
    question = printable(term.ask(side)) or printable(term.label)
    parts = [printable(term.look)]
    if isinstance(term, Finding):
        parts.append(SAID_BY[term.said_by])
    if isinstance(term, Measure):
        parts.append(f"{term.low} to {term.high} {term.unit}; type the number.")
    elif isinstance(term, Choice):
        options = ", ".join(f"{number} {option}" for number, option in enumerate(term.one_of, 1))
        parts.append(f"{options}.")
    elif not isinstance(term, Finding):
        parts.append("Type the day: year-month-day.")
    return Content.assemble((question, "bold"), " ", " ".join(part for part in parts if part))
