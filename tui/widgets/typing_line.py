"""Where a number or a date is typed: checked with every key, taken as soon as it holds."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from toeroom.errors import one_line
from toeroom.vocabulary import SIDES, Measure, Term
from tui.stating import Value, read_value

Taker = Callable[[Term, str, Value], None]
"""Is told the value that holds, at once."""


class TypingLine(Vertical):
    """Hands over what was typed as soon as it holds; what does not hold is said and not taken.

    `ended` is called when typing ends: with whether it was by Enter, and with what was refused.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "done", "done", priority=True),
        Binding("escape", "give_up", "as it was", priority=True),
    ]

    def __init__(self, take: Taker, ended: Callable[[bool, str], None], *, look_id: str) -> None:
        super().__init__(id=look_id)
        self.take, self.ended = take, ended
        self.term: Term | None = None
        self.side = ""
        self.before: Value = None

    def compose(self) -> ComposeResult:
        with Horizontal():
            yield Static(id="typing-label", markup=False)
            yield Input(compact=True, id="typing-input", select_on_focus=False)
        yield Static(id="typing-said", markup=False)

    def begin(self, term: Term, side: str, before: Value, text: str) -> None:
        """Opens for `term` on `side`; `before` is what stands there, `text` what is typed already."""
        self.term, self.side, self.before = term, side, before
        foot = f", {side} foot" if side in SIDES else ""
        self.query_one("#typing-label", Static).update(f"{term.label}{foot}:")
        self.display = True
        line = self.query_one(Input)
        with line.prevent(Input.Changed):
            line.value = text
        line.cursor_position = len(text)
        self.screen.set_focus(line)
        self._check()

    def settle(self) -> None:
        """Ends typing where it stands: what holds is kept, what does not is put back as it was."""
        if self.term is None:
            return
        fault = self._check()
        if fault:
            self.take(self.term, self.side, self.before)
        self._close(by_enter=False, refused=fault)

    def action_done(self) -> None:
        """Enter: takes the value, also that there is none; stays where it does not hold."""
        if self.term is None:
            return
        text = self.query_one(Input).value
        if fault := self._check():
            self._say(fault, fault=True)
            return
        self.take(self.term, self.side, read_value(self.term, text))
        self._close(by_enter=True, refused="")

    def action_give_up(self) -> None:
        """Esc: as it was before."""
        if self.term is not None:
            self.take(self.term, self.side, self.before)
            self._close(by_enter=False, refused="")

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self._check()

    def on_input_blurred(self, event: Input.Blurred) -> None:
        event.stop()
        self.settle()

    def _check(self) -> str:
        """Takes what is typed where it holds; otherwise says and returns what is wrong."""
        if self.term is None:
            return ""
        text = self.query_one(Input).value
        try:
            value = read_value(self.term, text)
        except ValueError as error:
            self.take(self.term, self.side, self.before)
            fault = one_line(f"not taken: {error}")
            self._say(fault, fault=len(text.strip()) >= self._full_length)
            return fault
        if value is None:
            self._say(f"{self._bounds}; Enter on an empty line takes it back", fault=False)
        else:
            self._say(f"{self._bounds} · Enter: done", fault=False)
            self.take(self.term, self.side, value)
        return ""

    @property
    def _bounds(self) -> str:
        if isinstance(self.term, Measure):
            return f"{self.term.low} to {self.term.high} {self.term.unit}".strip()
        return "year-month-day, as 2026-11-25"

    @property
    def _full_length(self) -> int:
        """From so many characters on a fault is more than a number half typed."""
        return len(str(self.term.high)) if isinstance(self.term, Measure) else len("2026-11-25")

    def _say(self, text: str, *, fault: bool) -> None:
        said = self.query_one("#typing-said", Static)
        said.set_class(fault, "-fault")
        said.update(text)

    def _close(self, *, by_enter: bool, refused: str) -> None:
        self.term = None
        self.display = False
        self.ended(by_enter, refused)
