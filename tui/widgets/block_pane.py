"""A pane of blocks: breaks them into lines, draws what is in sight, lets things in it be chosen."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import ClassVar

from rich.cells import cell_len
from rich.console import Console
from rich.segment import Segment
from rich.style import Style
from rich.text import Span, Text
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip

from toeroom.wording import printable
from tui.widgets.blocks import LINK, Block
from tui.widgets.taking_out import TakingOut

_OPENS = re.compile(r"[-!·] |source: ")
"""What a line begins with that its further lines stand under no more."""


class BlockPane(TakingOut, can_focus=True):
    """Shows blocks. What can be chosen are blocks with a key, and links inside lines.

    READING: up and down go line by line where the next thing to choose is not in sight yet, so that
    nothing is passed over.
    WIDEST: lines are broken here at the latest, in columns: a longer line is hard to come back from.
    """

    READING: ClassVar[bool] = False
    WIDEST: ClassVar[int] = 1000
    LOOKS: ClassVar[tuple[str, ...]] = (
        "title",
        "head",
        "quiet",
        "caution",
        "say",
        "held",
        "stop",
        "careful",
        "you",
        "fault",
        "link",
        "at",
    )
    COMPONENT_CLASSES: ClassVar[set[str]] = {*(f"block--{look}" for look in LOOKS), "block--chosen"}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "choose(-1)", show=False),
        Binding("down", "choose(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("home", "choose_end(False)", show=False),
        Binding("end", "choose_end(True)", show=False),
    ]

    def __init__(self, *, look_id: str) -> None:
        super().__init__(id=look_id)
        self.blocks: Sequence[Block] = []
        self.chosen, self.moved = "", False
        self.wrapped: list[tuple[int, int, Text, str]] = []
        self.rows: dict[str, list[int]] = {}

    # --- for who builds on it --------------------------------------------------------------------
    def make_blocks(self, width: int) -> Sequence[Block]:
        """The blocks to be shown, for a pane of `width` columns."""
        raise NotImplementedError

    def act(self) -> None:
        """Does what the chosen thing is there for."""

    # --- laying out ------------------------------------------------------------------------------
    def lay_out(self) -> None:
        """Makes the blocks and shows them; what was chosen stays so while it is there."""
        width = self.scrollable_content_region.width
        self.blocks = list(self.make_blocks(width))
        self._wrap()
        keys = self.keys
        # Until someone has moved, the first is chosen, also where others come in above it.
        if self.chosen not in keys or not self.moved:
            self.chosen, self.moved = (keys[0] if keys else ""), False

    @property
    def keys(self) -> list[str]:
        """Everything that can be chosen, in order."""
        return list(self.rows)

    @property
    def block(self) -> Block | None:
        """The chosen block."""
        return next((block for block in self.blocks if block.key and block.key == self.chosen), None)

    def _wrap(self) -> None:
        """Breaks the blocks into lines of the present width: (block, indent, line, marker)."""
        width = self.scrollable_content_region.width
        self.wrapped, self.rows = [], {}
        # Before there is a width, what can be chosen is known already.
        room = min(width, self.WIDEST) if width > 0 else 80
        console = self.app.console
        for number, block in enumerate(self.blocks):
            marker = block.marker
            for indent, text in block.lines:
                for deeper, line in _broken(_printable(text), console, room - indent - 1, block.hang):
                    line.rstrip()
                    for key in ([block.key] if block.key else []) + _links(line):
                        self.rows.setdefault(key, []).append(len(self.wrapped))
                    self.wrapped.append((number, indent + deeper, line, marker))
                    marker = ""
        if width > 0:
            self._sized(Size(width, len(self.wrapped)))
            self.refresh()

    def _sized(self, size: Size) -> None:
        """Takes over a new length. The whole screen is laid out anew only where a scrollbar comes or goes."""
        if (size.height > self._height) == self.show_vertical_scrollbar:
            self.set_reactive(ScrollView.virtual_size, size)
            self._scroll_update(size)
        else:
            self.virtual_size = size

    def on_resize(self) -> None:
        self.lay_out()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        if self.is_mounted:
            self._wrap()

    # --- keys and mouse --------------------------------------------------------------------------
    @property
    def _height(self) -> int:
        return max(1, self.scrollable_content_region.height)

    def choose(self, key: str) -> None:
        """Chooses the thing with this key and brings it into sight."""
        if key in self.rows:
            self.chosen, self.moved = key, True
            self._into_sight()
            self.refresh()

    def row_to_mark(self) -> int:
        top = self.scroll_offset.y
        in_sight = (row for row in self.rows.get(self.chosen, ()) if top <= row < top + self._height)
        return next(in_sight, top)

    def action_choose(self, step: int) -> None:
        self.unmark()
        key = self._next(step)
        if key:
            self.chosen, self.moved = key, True
            self._into_sight()
        else:
            # Beyond the first and last item there is still something to read.
            self.scroll_relative(y=step, animate=False)
        self.refresh()

    def _next(self, step: int) -> str:
        """What is chosen next; '' where the pane scrolls instead."""
        keys = self.keys
        if not keys:
            return ""
        if not self.READING:
            index = keys.index(self.chosen) + step
            return keys[index] if 0 <= index < len(keys) else ""
        top, bottom = self.scroll_offset.y, self.scroll_offset.y + self._height
        rows = self.rows.get(self.chosen, [0])
        in_sight = any(top <= row < bottom for row in rows)
        index = keys.index(self.chosen) if self.chosen in keys else -1
        ahead = keys[index + 1 :] if step > 0 else keys[:index][::-1]
        if not in_sight:
            ahead = keys if step > 0 else keys[::-1]
        edge = 0 if step > 0 else -1
        return next((key for key in ahead if top <= self.rows[key][edge] < bottom), "")

    def action_choose_end(self, last: bool) -> None:
        if keys := self.keys:
            self.chosen, self.moved = keys[-1 if last else 0], last
        if last:
            self.scroll_end(animate=False)
        else:
            self.scroll_home(animate=False)
        self.refresh()

    def action_page(self, step: int) -> None:
        height = max(1, self._height - 1)
        top = self.scroll_offset.y + step * height
        top = max(0, min(top, len(self.wrapped) - height - 1))
        self.scroll_to(y=top, animate=False)
        in_sight = range(top, top + height)
        keys = [key for key, rows in self.rows.items() if any(row in in_sight for row in rows)]
        if keys and self.chosen not in keys:
            self.chosen, self.moved = keys[0 if step > 0 else -1], True
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        at = event.get_content_offset(self)
        # Who has just marked text with the mouse has not meant to choose what it ended on.
        if self.text_selection is not None or at is None or at.y + self.scroll_offset.y >= len(self.wrapped):
            return
        number, indent, line, _ = self.wrapped[at.y + self.scroll_offset.y]
        link = _link_at(line, at.x - indent)
        key = link or self.blocks[number].key
        if not key:
            return
        again = key == self.chosen
        self.chosen, self.moved = key, True
        self.refresh()
        if again or link:
            self.act()

    def on_focus(self) -> None:
        # Who reads is not moved from the place they read at.
        if not self.READING:
            self._into_sight()

    def _into_sight(self) -> None:
        own = self.rows.get(self.chosen)
        if not own:
            return
        height, top = self._height, self.scroll_offset.y
        first, last = own[0], own[-1]
        if self.READING and self.has_focus and any(top <= row < top + height for row in own):
            return
        # What stands above the first item (a stop, a title) comes into sight with it.
        if self.chosen == self.keys[0] and not self.READING:
            first = 0
        if first < top:
            self.scroll_to(y=first, animate=False)
        elif last >= top + height:
            self.scroll_to(y=min(first, last - height + 1), animate=False)

    # --- drawing -----------------------------------------------------------------------------------
    def render_line(self, y: int) -> Strip:
        width, ground = self.scrollable_content_region.width, self.look("")
        index = y + self.scroll_offset.y
        if index >= len(self.wrapped):
            return Strip.blank(width, ground)
        number, indent, line, marker = self.wrapped[index]
        block = self.blocks[number]
        here = self.has_focus and index in self.rows.get(self.chosen, ())
        if block.band:
            base = self._look(block.band)
        elif here and block.key == self.chosen:
            base = ground + self.look("block--chosen")
        else:
            base = ground
        lead = ("▌" if here else " ") + " " * (indent - 1 - cell_len(marker)) if indent else ""
        if block.band == "careful":
            lead = lead[:1] + "┃" + lead[2:]
        segments = [Segment(lead, _over(base, self._look("caution")) if block.band == "careful" else base)]
        if marker:
            segments.append(Segment(marker, _over(base, self._look("caution"))))
        segments += self._looked(line).render(self.app.console)
        styled = [Segment(s.text, _over(base, s.style)) for s in segments if s.text]
        return self.with_marks(Strip(styled).adjust_cell_length(width, base), index)

    def _looked(self, text: Text) -> Text:
        """`text`, the names of its styles turned into looks."""
        spans = [Span(0, len(text.plain), self._look(str(text.style)))]
        return Text(
            text.plain, spans=[*spans, *(Span(s.start, s.end, self._look(str(s.style))) for s in text.spans)]
        )

    def _look(self, name: str) -> Style:
        if not name.startswith(LINK):
            return self.look(f"block--{name}") if name in self.LOOKS else Style()
        chosen = self.has_focus and name[len(LINK) :] == self.chosen
        return self.look("block--at" if chosen else "block--link")


def _broken(text: Text, console: Console, room: int, hang: int) -> Iterator[tuple[int, Text]]:
    """`text` in lines of at most `room` columns, each with how much deeper than the first it stands."""
    first, *more = text.wrap(console, max(10, room))
    yield 0, first
    opens = _OPENS.match(text.plain)
    deeper = hang or (opens.end() if opens else 0)
    if more and deeper and "\n" not in text.plain:
        rest = text[len(first) :]
        more = list(rest[len(rest) - len(rest.plain.lstrip()) :].wrap(console, max(10, room - deeper)))
    yield from ((deeper, line) for line in more)


def _over(base: Style, style: Style | str | None) -> Style:
    """`style` on the ground of `base`."""
    return base + style.without_color + Style(color=style.color) if isinstance(style, Style) else base


def _printable(text: Text) -> Text:
    """`text` without control characters."""
    return Text(printable(text.plain), style=text.style, spans=list(text.spans))


def _links(line: Text) -> list[str]:
    spans = sorted(line.spans, key=lambda span: span.start)
    return list(dict.fromkeys(str(s.style)[len(LINK) :] for s in spans if str(s.style).startswith(LINK)))


def _link_at(line: Text, column: int) -> str:
    """The key of the link at a column of a line, or ''."""
    for span in line.spans:
        if str(span.style).startswith(LINK):
            start = cell_len(line.plain[: span.start])
            if start <= column < start + cell_len(line.plain[span.start : span.end]):
                return str(span.style)[len(LINK) :]
    return ""
