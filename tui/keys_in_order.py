"""Keys one after another, however fast they come.

Textual hands a key to the part that has the focus at that moment, while an earlier key may still be
on its way to moving the focus. Over a slow link several keys come at once: of `/bunion` the `u` and
the `n` would then be lost, or be taken for answers. Here a key waits until the one before it has
gone the whole way up, and once more what it set off, until screen and focus stay as they are.
"""

from __future__ import annotations

from collections import deque

from textual import events
from textual.message_pump import MessagePump
from textual.screen import Screen
from textual.widget import Widget

from tui.sturdy import Sturdy

BREATH = 0.002
"""Seconds until a screen that is being made is looked at again."""


class KeysInOrder(Sturdy):
    """An app that looks at a key only when the one before it is done with."""

    def __init__(self) -> None:
        super().__init__()
        self.key_under_way = False
        self.keys_waiting: deque[events.Key] = deque()
        self._in_front: tuple[Screen[object], Widget | None] | None = None

    async def on_event(self, event: events.Event) -> None:
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
        elif self.key_under_way:
            self.keys_waiting.append(event)
        else:
            await self._start_key(event)

    async def _start_key(self, event: events.Key) -> None:
        self.key_under_way = True
        self._in_front = None
        target: MessagePump = self.focused or self.screen
        try:
            await super().on_event(event)
        finally:
            self._follow_key(target)

    def _follow_key(self, pump: MessagePump) -> None:
        """Goes up behind the key, queue by queue, from the part that got it to the app."""
        parent = self if pump is self else pump._parent or self
        following = self._key_at_app if pump is self else self._follow_key
        arguments = () if pump is self else (parent,)
        if not pump.call_later(following, *arguments):
            # That part has gone, and the key with it.
            self.call_later(self._key_at_app)

    async def _key_at_app(self) -> None:
        """Goes up once more where the key has brought something else to the front, or may yet do so."""
        if not self.screen.is_mounted:
            self.set_timer(BREATH, self._key_at_app)
        elif self._in_front != (self.screen, self.focused):
            self._in_front = self.screen, self.focused
            self._follow_key(self.focused or self.screen)
        else:
            await self._key_done()

    async def _key_done(self) -> None:
        self.key_under_way = False
        if self.keys_waiting:
            await self._start_key(self.keys_waiting.popleft())
