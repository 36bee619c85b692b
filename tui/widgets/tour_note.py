"""The note of the tour: what there is to see, and the key it waits for."""

from __future__ import annotations

from textual.content import Content
from textual.widgets import Static


class TourNote(Static):
    """Stands below the title of whatever place one is in."""

    shown: tuple[str, str, int, int] = ("", "", 0, 0)

    def show(self, says: str, press: str, number: int, of: int) -> None:
        """Says a step."""
        if (says, press, number, of) != self.shown:
            self.shown = (says, press, number, of)
            self.update(
                Content.assemble(
                    (f"Tour {number} of {of}  ", "bold $primary"),
                    f"{says}\n",
                    (press, "bold $accent"),
                    ("  Esc: no tour.", "$quiet"),
                )
            )
