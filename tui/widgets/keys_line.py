"""The line of keys at the foot of a screen: as many as there is room for, whole."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Footer
from textual.widgets._footer import FooterKey


class KeysLine(Footer):
    """A footer that leaves out what is said elsewhere rather than cutting off what stands last.

    `screen.LEAVE_OUT` names the actions that give way, the first one first, and `LEAVE_OUT` those that do
    so anywhere; F1 tells them all.
    """

    LEAVE_OUT: ClassVar[tuple[str, ...]] = (
        "place('training')",
        "ask",
        "place('handbook')",
        "command_palette",
    )

    def compose(self) -> ComposeResult:
        if not self._bindings_ready:
            return
        shown: dict[str, tuple[Binding, bool]] = {}
        for _, binding, enabled, _ in self.screen.active_bindings.values():
            if binding.show:
                shown.setdefault(binding.action, (binding, enabled))
        room = self.app.size.width
        for action in (*getattr(self.screen, "LEAVE_OUT", ()), *self.LEAVE_OUT):
            if self._width(binding for binding, _ in shown.values()) <= room:
                break
            shown.pop(action, None)
        for binding, enabled in shown.values():
            yield FooterKey(
                binding.key,
                self.app.get_key_display(binding),
                binding.description,
                binding.action,
                disabled=not enabled,
            ).data_bind(compact=Footer.compact)

    def _width(self, bindings: Iterable[Binding]) -> int:
        """Cells that keys and words take, with the spaces round them."""
        spaces = 2 if self.compact else 3
        return sum(cell_len(self.app.get_key_display(b)) + cell_len(b.description) + spaces for b in bindings)

    def on_resize(self, event: events.Resize) -> None:
        self.compact = event.size.width < 120
        self.call_after_refresh(self.recompose)
