"""Keys one after another, however fast they come.

Textual hands a key to the part that has the focus at that moment, while an earlier key may still be
on its way to moving the focus. Over a slow link several keys come at once: of `/bunion` the `u` and
the `n` would then be lost, or be taken for answers. Here a key waits until the one before it has
gone the whole way up.
"""

from __future__ import annotations

from collections import deque

from textual import events
from textual.app import App
from textual.message_pump import MessagePump


class KeysInOrder(App[None]):
    """An app that looks at a key only when the one before it is done with."""

    def __init__(self) -> None:
        super().__init__()
        self.key_under_way = False
        self.keys_waiting: deque[events.Key] = deque()

    async def on_event(self, event: events.Event) -> None:
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
        elif self.key_under_way:
            self.keys_waiting.append(event)
        else:
            await self._start_key(event)

    async def _start_key(self, event: events.Key) -> None:
        self.key_under_way = True
        target: MessagePump = self.focused or self.screen
        await super().on_event(event)
        self._follow_key(target)

    def _follow_key(self, pump: MessagePump) -> None:
        """Goes up behind the key, queue by queue, from the part that got it to the app."""
        parent = self if pump is self else pump._parent or self
        following = self._key_done if pump is self else self._follow_key
        arguments = () if pump is self else (parent,)
        if not pump.call_later(following, *arguments):
            # That part has gone, and the key with it.
            self.call_later(self._key_done)

    async def _key_done(self) -> None:
        self.key_under_way = False
        if self.keys_waiting:
            await self._start_key(self.keys_waiting.popleft())
