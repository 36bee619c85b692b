"""A fault in one part is shown, written down, and the rest goes on.

Textual ends the app at the first error. Here each part answers for itself: what it cannot draw is said
in its place, what it cannot do is said in a note, and it hears the next message all the same.
"""

from __future__ import annotations

import time
from collections.abc import Awaitable, Callable
from functools import partial

from rich.segment import Segment
from textual.app import App
from textual.dom import DOMNode
from textual.geometry import Region
from textual.message import Message
from textual.message_pump import MessagePump
from textual.strip import Strip
from textual.widget import Widget

from toeroom.errors import one_line
from tui.log import write_down

QUIET = 1.0
"""Seconds in which the same fault is not told again: it may be drawn many times a second."""

Dispatch = Callable[[Message], Awaitable[None]]
Draw = Callable[[Region], list[Strip]]


class Sturdy(App[None]):
    """An app that goes on where a part of it fails. `failed_to_start` says why there is none to go on."""

    def __init__(self) -> None:
        super().__init__()
        self.failed_to_start = ""
        self._stands = False
        self._told: dict[tuple[str, str, int], float] = {}

    def on_ready(self) -> None:
        self._stands = True

    # --- where faults come from --------------------------------------------------------------------
    def _register_child(self, parent: DOMNode, child: Widget, before: int | None, after: int | None) -> None:
        # In each part made, not in its class: so in every screen, and in Textual's own parts, too.
        if "_dispatch_message" not in vars(child):
            vars(child)["_dispatch_message"] = partial(self._hear, child, child._dispatch_message)
            vars(child)["render_lines"] = partial(self._draw, child, child.render_lines)
        super()._register_child(parent, child, before, after)

    async def _dispatch_message(self, message: Message) -> None:
        await self._hear(self, super()._dispatch_message, message)

    async def _hear(self, part: MessagePump, dispatch: Dispatch, message: Message) -> None:
        try:
            await dispatch(message)
        except Exception as error:
            self.tell_fault(error, part)

    def _draw(self, part: Widget, draw: Draw, crop: Region) -> list[Strip]:
        try:
            return draw(crop)
        except Exception as error:
            self.tell_fault(error, part)
            said = f"This part cannot be shown ({type(error).__name__})."
            lines = [Strip([Segment(said)]), *(Strip.blank(0) for _ in range(crop.height - 1))]
            return [line.adjust_cell_length(crop.width, part.rich_style) for line in lines]

    def _handle_exception(self, error: Exception) -> None:
        self.tell_fault(error, self)

    # --- what is done about them -------------------------------------------------------------------
    def tell_fault(self, error: Exception, part: MessagePump) -> None:
        """Writes the fault down and says it; before there is a screen to say it on, ends the app."""
        # A test is to see it.
        self._exception = self._exception or error
        where = error.__traceback__
        while where is not None and where.tb_next is not None:
            where = where.tb_next
        key = type(part).__name__, type(error).__name__, where.tb_lineno if where else 0
        last, self._told[key] = self._told.get(key), time.monotonic()
        if last is not None and self._told[key] - last < QUIET:
            return
        written = write_down(f"a fault in {type(part).__name__}", error)
        if self._stands:
            said = one_line(f"Something went wrong ({type(error).__name__}). The rest goes on. {written}")
            self.notify(said, severity="error", markup=False, timeout=10)
        else:
            said = f"the app could not start ({type(error).__name__}). {written}"
            self.failed_to_start = self.failed_to_start or said
            self._close_messages_no_wait()
