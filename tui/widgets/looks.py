"""The looks of the parts of a widget, kept while the style sheet stays as it is."""

from __future__ import annotations

from typing import Any

from rich.style import Style
from textual.scroll_view import ScrollView


class Looks(ScrollView):
    """Keeps what a style sheet gives: working it out costs more than drawing a line by it.

    Textual forgets the looks of parts whenever a widget is drawn anew. They can change only where it
    says that styles have (`notify_style_update`): another theme, focus come or gone.
    """

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self._kept: dict[str, Style] = {}

    def look(self, name: str) -> Style:
        """The look of the component class `name`; the ground it is drawn on for ''."""
        if name not in self._kept:
            self._kept[name] = self.get_component_rich_style(name) if name else self.rich_style
        return self._kept[name]

    def notify_style_update(self) -> None:
        self._kept = {}
        super().notify_style_update()
