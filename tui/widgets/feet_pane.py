"""Both feet on the desk: where the findings lie, and on which part of a foot one is in the form."""

from __future__ import annotations

import textwrap

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from toeroom.case import Place
from toeroom.foot_places import PLACES, SCHEME, MarkedFeet, legend
from toeroom.pictures.two_feet import WIDE, Piece, feet_cells
from toeroom.wording import sides_in_words

MARGIN = 2
SIDE_BY_SIDE = WIDE + 3 * MARGIN + 20
"""From this width on the legend stands beside the drawing, else under it."""


class FeetPane(Widget):
    """Draws the feet it is given. It has no size of its own, so a key never lays the screen out anew."""

    COMPONENT_CLASSES = {f"feet--{look}" for look in ("foot", "here", "number", "stop", "name", "quiet")}

    def __init__(self, *, look_id: str) -> None:
        super().__init__(id=look_id)
        self.feet: MarkedFeet | None = None
        self.here: Place | None = None
        self.with_legend = True
        self.rows: list[list[Piece]] = []

    def show_feet(self, feet: MarkedFeet) -> None:
        """Shows what is marked now."""
        if feet != self.feet:
            self.feet = feet
            self._arrange()

    def show_here(self, here: Place | None) -> None:
        """Draws a place of a foot (`heel`, `left`) darker, and names it."""
        if here != self.here:
            self.here = here
            self._arrange()

    def on_resize(self) -> None:
        self._arrange()

    def _arrange(self) -> None:
        """The rows to be drawn: feet and legend, side by side where there is room."""
        if self.feet is None:
            return
        drawn = [[Piece(" " * MARGIN), *row] for row in feet_cells(self.feet, self.here)]
        beside = self.size.width >= SIDE_BY_SIDE
        room = self.size.width - (WIDE + 2 * MARGIN if beside else MARGIN)
        told = self._told(len(drawn) if beside else self.size.height - len(drawn), room)
        if not self.with_legend:
            self.rows = [*drawn, told[:1]]
        elif beside:
            told += [Piece("")] * (len(drawn) - len(told))
            self.rows = [[*row, Piece(" " * MARGIN), line] for row, line in zip(drawn, told, strict=True)]
        else:
            self.rows = [*drawn, *([Piece(" " * MARGIN), line] for line in told)]
        self.refresh()

    def _told(self, room: int, width: int) -> list[Piece]:
        """The legend in at most `room` lines of `width` columns; f shows all of it."""
        assert self.feet is not None
        here = f"▓ {PLACES[self.here[0]]}, {sides_in_words([self.here[1]])}" if self.here else ""
        marks = [_broken(line, width) for line in legend(self.feet) if line != SCHEME]
        room = max(1, room - 2)
        shown = marks
        while sum(map(len, shown)) + (len(shown) < len(marks)) > room and shown:
            shown = shown[:-1]
        told = [Piece(line, "stop" if "STOP" in lines[0] else "") for lines in shown for line in lines]
        if len(shown) < len(marks):
            told.append(Piece(f"and {len(marks) - len(shown)} more: f"))
        return [Piece(here, "quiet"), Piece(""), *told]

    def render_line(self, y: int) -> Strip:
        width, ground = self.size.width, self.rich_style
        if y >= len(self.rows):
            return Strip.blank(width, ground)
        segments = []
        for piece in self.rows[y]:
            style = self.get_component_rich_style(f"feet--{piece.look}") if piece.look else Style()
            segments.append(Segment(piece.text, ground + style))
        return Strip(segments).adjust_cell_length(width, ground)


def _broken(line: str, width: int) -> list[str]:
    """A line of the legend, going on under its words and not under its number."""
    hang = len(line) - len(line.lstrip(" 0123456789"))
    return textwrap.wrap(line, max(hang + 8, width), subsequent_indent=" " * hang, drop_whitespace=True) or [
        ""
    ]
