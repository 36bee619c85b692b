"""The grid of the form: a line a finding, a column a foot.

It draws only the lines in sight, so a keystroke costs the same however many findings a book has.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar, Protocol

from rich.cells import set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.message import Message
from textual.strip import Strip

from toeroom.case import Case, Place
from toeroom.vocabulary import PERSON, SIDES, Choice, Finding, Term, Vocabulary
from toeroom.wording import printable
from tui.stating import Value, stated
from tui.widgets.form_rows import FormLine, Heading, TermLine, best_match, count_stated, form_lines, matching
from tui.widgets.looks import Looks

CELL, WIDEST_LABEL = 12, 40
MARKS = {"yes": "■ yes", "no": "□ no", "unknown": "? unknown"}
NEXT = {"": "yes", "yes": "no", "no": "unknown", "unknown": "yes"}


class Keeper(Protocol):
    """Who keeps the case. It is told at once, not by message: the next key must find the case as it is."""

    def state(self, term: Term, side: str, value: Value) -> None:
        """`value` is stated of `term` on `side`; None takes it back."""

    def type_in(self, term: Term, side: str, text: str) -> None:
        """A number or a date is to be typed; `text` has been typed already."""


class FormGrid(Looks, can_focus=True):
    """Shows what `case` states and tells its keeper what the person wants stated."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "grid--columns",
        "grid--heading",
        "grid--label",
        "grid--blank",
        "grid--yes",
        "grid--no",
        "grid--unknown",
        "grid--value",
        "grid--ask",
        "grid--row",
        "grid--cell",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,ctrl+y", "state('yes')", "yes"),
        Binding("n,ctrl+n", "state('no')", "no"),
        Binding("u,ctrl+u", "state('unknown')", "unknown"),
        Binding("enter,space", "next_value", "next / type", show=False),
        Binding("delete,backspace", "clear", "blank", show=False),
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "group(-1)", show=False),
        Binding("pagedown", "group(1)", show=False),
        Binding("home", "end_of_form(False)", show=False),
        Binding("end", "end_of_form(True)", show=False),
        Binding("left", "side('left')", show=False),
        Binding("right", "side('right')", show=False),
        *(Binding(digit, f"digit('{digit}')", show=False) for digit in "0123456789"),
    ]

    class Moved(Message):
        """The cursor stands elsewhere."""

    def __init__(self, vocabulary: Vocabulary, case: Case, keeper: Keeper, *, look_id: str) -> None:
        super().__init__(id=look_id)
        self.keeper = keeper
        self.case = case
        self.all_lines = form_lines(vocabulary)
        self.lines: tuple[FormLine, ...] = self.all_lines
        self.cursor, self.column = 1, "left"
        self.asked: frozenset[Place] = frozenset()

    # --- what stands where ---------------------------------------------------------------------
    @property
    def line(self) -> TermLine | None:
        """The line the cursor stands on; None where nothing is in sight."""
        line = self.lines[self.cursor] if self.cursor < len(self.lines) else None
        return line if isinstance(line, TermLine) else None

    @property
    def side(self) -> str:
        """The side the cursor stands on: left, right or person."""
        line = self.line
        return PERSON if line is None or line.sides == (PERSON,) else self.column

    def show_case(self, case: Case) -> None:
        """Shows `case`."""
        self.case = case
        self.refresh()

    def mark_asked(self, places: Iterable[Place]) -> None:
        """Marks the places that are asked next."""
        self.asked = frozenset(places)
        self.refresh()

    def narrow(self, text: str) -> None:
        """Shows only lines that hold the words of `text`; all for an empty one. The cursor keeps its line."""
        before = self.line
        self.lines = matching(self.all_lines, text) if text.strip() else self.all_lines
        self.cursor = best_match(self.lines, text)
        if not text.strip() and before is not None:
            self.cursor = self.lines.index(before)
        self._resized()
        self._moved()

    def go_to(self, term_id: str, side: str) -> None:
        """Puts the cursor on a term."""
        for index, line in enumerate(self.lines):
            if isinstance(line, TermLine) and line.term.id == term_id:
                self.cursor = index
                self.column = side if side in SIDES else self.column
                self._moved()

    def go_on(self) -> None:
        """To the other foot of the line, then to the next line."""
        if self.side == "left":
            self.column = "right"
            self._moved()
        else:
            self.column = "left" if self.side == "right" else self.column
            self.action_move(1)

    # --- keys and mouse --------------------------------------------------------------------------
    def action_move(self, step: int) -> None:
        index = self.cursor + step
        while 0 <= index < len(self.lines) and isinstance(self.lines[index], Heading):
            index += step
        if 0 <= index < len(self.lines):
            self.cursor = index
        self._moved()

    def action_group(self, step: int) -> None:
        firsts = [i + 1 for i, line in enumerate(self.lines) if isinstance(line, Heading)]
        if step > 0:
            self.cursor = next((i for i in firsts if i > self.cursor), self.cursor)
        else:
            self.cursor = next((i for i in reversed(firsts) if i < self.cursor), self.cursor)
        self._moved()

    def action_end_of_form(self, last: bool) -> None:
        self.cursor = len(self.lines) - 1 if last else min(1, len(self.lines) - 1)
        self._moved()

    def action_side(self, side: str) -> None:
        self.column = side
        self._moved()

    def action_state(self, value: str) -> None:
        if self.line is not None and isinstance(self.line.term, Finding):
            self.keeper.state(self.line.term, self.side, value)

    def action_clear(self) -> None:
        if self.line is not None:
            self.keeper.state(self.line.term, self.side, None)

    def action_next_value(self) -> None:
        line = self.line
        if line is None:
            return
        now = stated(self.case, line.term, self.side)
        if isinstance(line.term, Finding):
            self.keeper.state(line.term, self.side, NEXT[now])
        elif isinstance(line.term, Choice):
            options = ("", *line.term.one_of)
            following = options[(options.index(now) + 1) % len(options)]
            self.keeper.state(line.term, self.side, following or None)
        else:
            self.keeper.type_in(line.term, self.side, now)

    def action_digit(self, digit: str) -> None:
        """A digit begins a number or a date, or picks a choice by its place."""
        line = self.line
        if line is None:
            return
        if isinstance(line.term, Choice):
            options = dict(enumerate(line.term.one_of, 1))
            if option := options.get(int(digit)):
                self.keeper.state(line.term, self.side, option)
        elif not isinstance(line.term, Finding):
            self.keeper.type_in(line.term, self.side, digit)

    def on_click(self, event: events.Click) -> None:
        at = event.get_content_offset(self)
        if at is None or at.y == 0:
            return
        index = at.y - 1 + self.scroll_offset.y
        if index >= len(self.lines) or isinstance(self.lines[index], Heading):
            return
        before = (self.cursor, self.column)
        self.cursor = index
        label = self._label_width
        if at.x >= label:
            self.column = "left" if at.x < label + CELL else "right"
        self._moved()
        if at.x >= label and before == (self.cursor, self.column):
            self.action_next_value()

    # --- drawing ---------------------------------------------------------------------------------
    @property
    def _label_width(self) -> int:
        return max(12, min(WIDEST_LABEL, self.scrollable_content_region.width - 2 * CELL))

    def _resized(self) -> None:
        self.virtual_size = Size(self.scrollable_content_region.width, len(self.lines) + 1)
        self.refresh()

    def on_resize(self) -> None:
        self._resized()
        self._into_sight()

    def on_focus(self) -> None:
        self._moved()

    def _moved(self) -> None:
        self._into_sight()
        self.refresh()
        self.post_message(self.Moved())

    def _into_sight(self) -> None:
        # Its heading comes into sight with the first line of a group.
        above = self.cursor > 0 and isinstance(self.lines[self.cursor - 1], Heading)
        first = self.cursor - 1 if above else self.cursor
        height = max(1, self.scrollable_content_region.height - 1)
        top = self.scroll_offset.y
        if first < top:
            self.scroll_to(y=first, animate=False)
        elif self.cursor >= top + height:
            self.scroll_to(y=self.cursor - height + 1, animate=False)

    def render_line(self, y: int) -> Strip:
        width = self.scrollable_content_region.width
        if y == 0:
            return self._columns(width)
        index = y - 1 + self.scroll_offset.y
        if index >= len(self.lines):
            return Strip.blank(width, self.look(""))
        line = self.lines[index]
        if isinstance(line, Heading):
            return self._heading(line, width)
        return self._term(line, width, index == self.cursor)

    def _look(self, name: str) -> Style:
        return self.look(f"grid--{name}")

    def _columns(self, width: int) -> Strip:
        style = self._look("columns")
        titles = [set_cell_size(f" {side} foot", CELL) for side in SIDES]
        text = " " * self._label_width + "".join(titles)
        return Strip([Segment(set_cell_size(text, width), style)], width)

    def _heading(self, line: Heading, width: int) -> Strip:
        known, places = count_stated(self.all_lines, line.group, self.case)
        count = f" {known} of {places} "
        title = f" {printable(line.title)} "
        thread = "╌" * max(0, width - len(count) - len(title) - 2)
        text = set_cell_size(f"╌╌{title}{thread}{count}", width)
        return Strip([Segment(text, self._look("heading"))], width)

    def _term(self, line: TermLine, width: int, here: bool) -> Strip:
        row = self._look("row") if here else Style()
        label = self._look("label") + row
        gutter = "▸ " if here else "  "
        name = printable(line.term.label)
        unit = getattr(line.term, "unit", "")
        name = f"{name}, {unit}" if unit else name
        segments = [Segment(set_cell_size(f"{gutter}{name}", self._label_width), label)]
        for side in line.sides:
            on_cell = here and side == self.side
            text, look = self._cell(line.term, side)
            style = self._look(look) + row
            if on_cell and self.has_focus:
                style = style + self._look("cell")
            segments.append(Segment(set_cell_size(f" {text}", CELL), style))
        return Strip(segments).adjust_cell_length(width, label)

    def _cell(self, term: Term, side: str) -> tuple[str, str]:
        text = stated(self.case, term, side)
        if isinstance(term, Finding) and text:
            return MARKS[text], text
        if text:
            return text, "value"
        return ("‹ ask ›", "ask") if (term.id, side) in self.asked else ("·", "blank")
