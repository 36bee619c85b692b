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

from tui.key_names import key_name


class KeysLine(Footer):
    """A footer that leaves out what is said elsewhere rather than cutting off what stands last.

    `screen.LEAVE_OUT` names the actions that give way, the first one first, then `LEAVE_OUT` those that do
    so anywhere, then the last of all; F1 and Esc stay, and F1 tells the rest.
    """

    LEAVE_OUT: ClassVar[tuple[str, ...]] = (
        "place('training')",
        "ask",
        "place('handbook')",
        "command_palette",
    )
    STAY: ClassVar[tuple[str, ...]] = ("help_here", "leave", "back")

    def compose(self) -> ComposeResult:
        if not self._bindings_ready:
            return
        shown: dict[str, tuple[Binding, bool]] = {}
        for _, binding, enabled, _ in self.screen.active_bindings.values():
            if binding.show and not self._is_typed(binding):
                shown.setdefault(binding.action, (binding, enabled))
        if more := shown.pop("command_palette", None):
            # It would stand among the keys of the place, as it goes before all others.
            shown["command_palette"] = more
        room = self.app.size.width
        last_first = [action for action in reversed(shown) if action not in self.STAY]
        for action in (*getattr(self.screen, "LEAVE_OUT", ()), *self.LEAVE_OUT, *last_first):
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

    def _is_typed(self, binding: Binding) -> bool:
        """Whether the key is a character for the line one types in; Textual overlooks those with a name."""
        name, focused = key_name(binding.key), self.screen.focused
        typed = len(name) == 1 and focused is not None and focused.check_consume_key(binding.key, name)
        return typed and not binding.priority

    def _width(self, bindings: Iterable[Binding]) -> int:
        """Cells that keys and words take, with the spaces round them."""
        spaces = 2 if self.compact else 3
        return sum(cell_len(self.app.get_key_display(b)) + cell_len(b.description) + spaces for b in bindings)

    def on_resize(self, event: events.Resize) -> None:
        self.compact = event.size.width < 120
        self.call_after_refresh(self.recompose)
