"""The app: opens the book, keeps the looks, leads from place to place."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import ClassVar

from textual.binding import Binding, BindingType

from toeroom.book import Book, open_book
from toeroom.errors import BadInput
from tui.keys_in_order import KeysInOrder
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.help import HelpScreen
from tui.themes import DAYLIGHT, LAMP


def run_app(book_folder: Path | None = None) -> None:
    """Opens the app on the book in `book_folder`, or on the shipped one.

    Raises `BadInput` where there is no book or no terminal to show it on.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInput("the app needs a terminal", mend="see 'toeroom --help' for commands that do not")
    ToeroomApp(open_book(book_folder)).run()


class ToeroomApp(KeysInOrder):
    """toeroom on a terminal."""

    TITLE = "toeroom"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help_here", "help", key_display="F1"),
        Binding("f9", "look", "light / dark", show=False),
        Binding("ctrl+q", "quit", "quit", show=False, priority=True),
    ]

    def __init__(self, book: Book) -> None:
        super().__init__()
        self.book = book
        for theme in (LAMP, DAYLIGHT):
            self.register_theme(theme)
        self.theme = LAMP.name

    def on_mount(self) -> None:
        self.push_screen(CasesScreen(self.book))

    def action_help_here(self) -> None:
        """Help on the place one is in."""
        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(getattr(self.screen, "HELP", "")))

    def action_look(self) -> None:
        """From dark to light and back."""
        self.theme = DAYLIGHT.name if self.theme == LAMP.name else LAMP.name

    async def action_quit(self) -> None:
        """Leaves; asks first where something is not saved."""
        desk = next((s for s in self.screen_stack if isinstance(s, DeskScreen) and s.open.unsaved), None)
        if desk is None:
            self.exit()
        else:
            desk.leave(self.exit)
