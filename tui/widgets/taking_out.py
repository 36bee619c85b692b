"""Text taken out of a pane: marked with the mouse or line by line with keys, copied at one key."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual.binding import Binding, BindingType
from textual.geometry import Offset
from textual.selection import Selection
from textual.strip import Strip

from tui.widgets.looks import Looks

MARKED = Style(reverse=True)
"""Not a colour: it must be seen without any."""


class TakingOut(Looks):
    """A pane whose lines stand in `wrapped`, as (block, indent, line, marker)."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("shift+up", "mark(-1)", show=False),
        Binding("shift+down", "mark(1)", show=False),
        Binding("c,f7", "copy", "copy", show=False),
    ]
    wrapped: list[tuple[int, int, Text, str]]
    # The rows a marking by keys began and stands at.
    marking: tuple[int, int] | None = None

    def copied(self) -> tuple[str, str]:
        """What is copied where nothing is marked, and its name: ("...", "the plan")."""
        return self._lines(0, len(self.wrapped)), "the text"

    def row_to_mark(self) -> int:
        """The row at which marking by keys begins."""
        return round(self.scroll_y)

    def action_copy(self) -> None:
        """Puts what is marked, else what there is to copy here, on the clipboard of the terminal."""
        selection = self.text_selection
        text, name = (
            self.copied() if selection is None else (self.get_selection(selection)[0], "what is marked")
        )
        if text.strip():
            self.app.copy_to_clipboard(text)
            self.notify(f"copied: {name}", markup=False, timeout=3)
        else:
            self.notify(f"nothing to copy: choose {name} first", markup=False, timeout=3)

    def action_mark(self, step: int) -> None:
        """Marks one line more, up or down, or one less."""
        if self.text_selection is None or self.marking is None:
            start = self.row_to_mark()
            self.marking = start, start
        else:
            start, at = self.marking
            self.marking = start, max(0, min(at + step, len(self.wrapped) - 1))
        first, last = sorted(self.marking)
        self.screen.selections = {self: Selection(Offset(0, first), Offset(len(self._line(last)), last))}
        at, top, height = self.marking[1], round(self.scroll_y), self.scrollable_content_region.height
        if not top <= at < top + height:
            self.scroll_to(y=at if at < top else at - height + 1, animate=False)

    def unmark(self) -> None:
        """Nothing is marked any more."""
        if self.text_selection is not None:
            self.screen.clear_selection()
        self.marking = None

    # --- what Textual asks of a widget with text ---------------------------------------------------
    def get_selection(self, selection: Selection) -> tuple[str, str]:
        """The marked text, and what ends it."""
        text = selection.extract("\n".join(self._line(row) for row in range(len(self.wrapped))))
        return "\n".join(line.rstrip() for line in text.split("\n")), "\n"

    def selection_updated(self, selection: Selection | None) -> None:
        """The marked rows have changed."""
        self.refresh()

    def with_marks(self, strip: Strip, row: int) -> Strip:
        """`strip`, which shows `row`, with what is marked of it, and the mouse told where it is."""
        span = self.text_selection.get_span(row) if self.text_selection is not None else None
        if span is not None:
            line = self._line(row)
            start, end = (cell_len(line[: len(line) if at == -1 else at]) for at in span)
            strip = Strip.join(
                [strip.crop(0, start), strip.crop(start, end).apply_style(MARKED), strip.crop(end)]
            )
        return strip.apply_offsets(0, row)

    def _line(self, row: int) -> str:
        _, indent, line, marker = self.wrapped[row]
        return marker.rjust(indent) + line.plain

    def _lines(self, first: int, end: int) -> str:
        return "\n".join(self._line(row).rstrip() for row in range(first, end)) + "\n"
