"""The app: opens the book, keeps the looks, leads from place to place."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual.binding import Binding, BindingType
from textual.command import CommandPalette
from textual.screen import Screen

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.errors import BadInput
from toeroom.unsaved import LeftBehind, left_behind
from toeroom.upkeep.in_use import InUse, in_use
from tui.first_time import seen_mark
from tui.key_names import key_name
from tui.keys_in_order import KeysInOrder
from tui.library import Library
from tui.open_case import OpenCase
from tui.palette import KEY, FitsHere
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.help import HelpScreen
from tui.screens.leaving import LeavingScreen
from tui.screens.left_behind import LeftBehindScreen
from tui.themes import DAYLIGHT, LAMP
from tui.turning import TurnsToBook, held_up_by
from tui.widgets.block_pane import BlockPane
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.screens.ask import AskScreen
    from tui.screens.handbook import HandbookScreen
    from tui.screens.upkeep import UpkeepScreen
    from tui.talk import Talk
    from tui.tour import Tour


def run_app(book_folder: Path | None = None, *, tour: bool = False) -> None:
    """Opens the app on the book in `book_folder`, or on the shipped one.

    Raises `BadInput` where there is no book or no terminal to show it on.
    """
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise BadInput("the app needs a terminal", mend="see 'toeroom --help' for commands that do not")
    start_app(book_folder, tour=tour)


def start_app(book_folder: Path | None, case: Path | None = None, *, tour: bool = False) -> None:
    """Opens the app on whatever its environment names as its screen; the file `case` lies on the desk.

    With `tour`, or the first time, it begins with the tour.
    Raises `BadInput` where there is no book, no case in the file, or no app comes of it.
    """
    now = in_use(book_folder)
    app = ToeroomApp(now.book, working=now.working, banner=now.banner)
    if case is not None:
        read = read_case(case, app.book.vocabulary)
        app.begin = lambda: app.open_desk(read, path=case)
    elif tour or not seen_mark().exists():
        app.begin = app.action_tour
    app.run()
    if app.failed_to_start:
        raise BadInput(app.failed_to_start)


class ToeroomApp(KeysInOrder):
    """toeroom on a terminal.

    A place is a mode of the app with screens of its own, so that what is open in one stays as it is
    while another is looked at.
    """

    TITLE = "toeroom"
    CSS_PATH = "app.tcss"
    COMMANDS = {FitsHere}
    COMMAND_PALETTE_BINDING = KEY
    DEFAULT_MODE = "cases"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help_here", "help", priority=True),
        Binding("h", "place('handbook')", "handbook"),
        Binding("f2", "place('handbook')", show=False, priority=True),
        Binding("a", "ask", "ask"),
        Binding("f3", "ask", show=False, priority=True),
        Binding("t", "place('training')", show=False),
        Binding("ctrl+t", "place('training')", show=False, priority=True),
        Binding("k", "place('upkeep')", "upkeep", show=False),
        Binding("f10", "place('upkeep')", show=False, priority=True),
        Binding("d", "place('due')", "due", show=False),
        Binding("f11", "place('due')", show=False, priority=True),
        Binding("f6", "place('cases')", "cases", show=False, priority=True),
        Binding(KEY, "command_palette", "more", priority=True),
        Binding("f7", "copy_here", show=False),
        Binding("f9", "look", "light or dark", show=False, priority=True),
        Binding("ctrl+q", "quit", "quit", show=False, priority=True),
        Binding("escape", "tour_end(False)", show=False, priority=True),
        Binding("enter", "tour_end(True)", show=False, priority=True),
    ]

    def __init__(self, book: Book, *, working: Path | None = None, banner: str = "") -> None:
        """working: the folder in which `book` is worked on. banner: why another version of it is in use."""
        super().__init__()
        self.book, self.working, self.banner = book, working or book.folder, banner
        self.library = Library(book)
        for theme in (LAMP, DAYLIGHT):
            self.register_theme(theme)
        self.theme = LAMP.name
        # What is done once the first screen stands.
        self.begin: Callable[[], object] = lambda: None
        # The places one came through, the present one last.
        self.trail = ["cases"]
        self.tour: Tour | None = None
        self._places: dict[str, Screen[None]] = {}
        self.add_mode("cases", lambda: CasesScreen(self.library))
        self.add_mode("handbook", lambda: self._place("handbook"))
        self.add_mode("ask", lambda: self._place("ask"))
        self.add_mode("training", lambda: self._place("training"))
        self.add_mode("upkeep", lambda: self._place("upkeep"))
        self.add_mode("due", lambda: self._place("due"))

    def on_ready(self) -> None:
        # Going through all that a book consists of in search of waste would stop a key for 60 ms.
        gc.freeze()
        if found := left_behind(self.book.vocabulary):
            self.push_screen(LeftBehindScreen(found), self._take_up)
        else:
            self.begin()

    def _take_up(self, left: LeftBehind | None) -> None:
        """Opens work that was left unsaved, kept aside anew before the old is thrown away."""
        if left is None or left.case is None:
            return
        desk = self.open_desk(left.case, *self._origin(left))
        desk.keep_aside()
        left.discard()

    def _origin(self, left: LeftBehind) -> tuple[Case, Path | None]:
        """What of the work is saved, and where; nowhere if the file has changed since, lest it be lost."""
        assert left.case is not None
        try:
            if left.path is not None and left.path.stat().st_mtime <= left.when.timestamp():
                return read_case(left.path, self.book.vocabulary), left.path
        except (BadInput, OSError):
            pass
        return Case(left.case.id, left.case.as_of), None

    # --- places ------------------------------------------------------------------------------------
    def _place(self, name: str) -> Screen[None]:
        """The one screen of a place. Made when first wanted: the first screen need not wait for it."""
        if name not in self._places:
            self._places[name] = self._made(name)
        return self._places[name]

    def _made(self, name: str) -> Screen[None]:
        if name == "upkeep":
            from tui.screens.upkeep import UpkeepScreen

            return UpkeepScreen(self.library, self.working)
        from tui.screens.ask import AskScreen
        from tui.screens.due import DueScreen
        from tui.screens.handbook import HandbookScreen
        from tui.screens.training import TrainingScreen

        made = {"ask": AskScreen, "due": DueScreen, "handbook": HandbookScreen, "training": TrainingScreen}
        return made[name](self.library)

    async def use(self, now: InUse) -> None:
        """Uses another version of the book from now on, everywhere; what is open stays open."""
        held_up = held_up_by(self.desks, now.book)
        if held_up:
            said = f"Your book is not used yet: an open case states what it has no word for ({held_up})."
            now = InUse(self.book, now.working, said)
        self.banner, self.working = now.banner, now.working
        for screens in self._screen_stacks.values():
            for screen in screens:
                for bar in screen.query(TitleBar):
                    bar.show_banner(now.banner)
        if now.book.folder == self.book.folder and now.book.version == self.book.version:
            return
        self.book = now.book
        self.library.turn_to(now.book)
        for screens in self._screen_stacks.values():
            for screen in screens:
                if isinstance(screen, TurnsToBook):
                    await screen.turn_to_book()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """The key of the place one is in is not offered; those of the tour only while it lasts."""
        if action == "tour_end":
            return self.tour is not None and (parameters == (False,) or self.tour.last)
        here = self.trail[-1] if hasattr(self, "trail") else ""
        return not ((action == "ask" and here == "ask") or (action == "place" and parameters == (here,)))

    def action_place(self, name: str) -> None:
        """Goes to a place; what is open where one is stays open."""
        self.trail = [*(place for place in self.trail if place != name), name]
        self.switch_mode(name)

    def leave_place(self) -> None:
        """Back to the place one came from."""
        if len(self.trail) > 1:
            self.trail.pop()
        self.switch_mode(self.trail[-1])

    @property
    def desks(self) -> list[DeskScreen]:
        """The cases that are open, the one in sight last."""
        return [screen for screen in self._screen_stacks["cases"] if isinstance(screen, DeskScreen)]

    def action_ask(self) -> None:
        """Goes to Ask; from a desk, to the conversation about its case."""
        if self.trail[-1] == "cases" and self.desks:
            cast("AskScreen", self._place("ask")).about_desk(self.desks[-1])
        self.action_place("ask")

    def open_page(self, page_id: str, heading: str = "") -> None:
        """Opens a page in the handbook; Esc there comes back."""
        self.action_place("handbook")
        cast("HandbookScreen", self._place("handbook")).open_page(page_id, heading)

    def open_demo(self, name: str) -> None:
        """Opens a demo case on a desk of its own."""
        case = dict(self.library.cases).get(name)
        if case is not None:
            self.open_desk(case)

    def open_desk(self, case: Case, saved: Case | None = None, path: Path | None = None) -> DeskScreen:
        """Opens a case; `saved` is what of it need not be saved, `path` the file it has, if any."""
        self.action_place("cases")
        desk = DeskScreen(self.library, OpenCase(case, path, saved or case))
        self.push_screen(desk)
        return desk

    # --- keys --------------------------------------------------------------------------------------
    def action_help_here(self) -> None:
        """Help on the place or the sheet one is in; out of it again."""
        if isinstance(self.screen, HelpScreen):
            self.screen.dismiss()
        else:
            self.push_screen(HelpScreen(getattr(self.screen, "HELP", "")))

    def get_key_display(self, binding: Binding) -> str:
        """The key that works at this moment: `/` while one types is no key, ctrl+f is."""
        return key_name(binding.key)

    def action_command_palette(self) -> None:
        """Offers what can be done here."""
        if not isinstance(self.screen, CommandPalette):
            self.push_screen(CommandPalette(placeholder="Part of a name: what to do, a demo case, a page"))

    def action_copy_here(self) -> None:
        """Copies from the first pane in sight that has text: on a desk, the plan."""
        for pane in self.screen.query(BlockPane):
            pane.action_copy()
            return

    def action_look(self) -> None:
        """From dark to light and back."""
        self.theme = DAYLIGHT.name if self.theme == LAMP.name else LAMP.name

    def action_tour(self) -> None:
        """Shows the tour."""
        if self.tour is None:
            # Who has seen it need not wait for it.
            from tui.tour import Tour

            self.tour = Tour(self, self._tour_ended)
            self.tour.begin()

    def action_tour_end(self, seen_all: bool) -> None:
        """Ends the tour, at its last step or before."""
        if self.tour is not None:
            self.tour.end()

    def _tour_ended(self) -> None:
        self.tour = None

    async def action_quit(self) -> None:
        """Leaves; asks first where something is not saved."""
        self._leave([desk for desk in self.desks if desk.open.unsaved])

    def _leave(self, desks: list[DeskScreen]) -> None:
        """Asks of one desk after the other, then of the conversations, then leaves."""
        if not desks:
            ask = cast("AskScreen | None", self._places.get("ask"))
            self._leave_talks([talk for talk in ask.talks if talk.unsaved] if ask else [])
            return
        self.action_place("cases")
        desks[-1].leave(lambda: self._leave(desks[:-1]))

    def _leave_talks(self, talks: list[Talk]) -> None:
        if not talks:
            self._leave_upkeep()
            return
        ask, talk = cast("AskScreen", self._place("ask")), talks[-1]

        def answered(answer: str | None) -> None:
            if answer == "drop":
                self._leave_talks(talks[:-1])
            elif answer == "save":
                ask.write(talk, lambda: self._leave_talks(talks[:-1]))

        self.action_place("ask")
        ask.turn_to(talk)
        self.push_screen(LeavingScreen("The conversation"), answered)

    def _leave_upkeep(self) -> None:
        """Asks of edits of the book, then leaves."""
        upkeep = cast("UpkeepScreen | None", self._places.get("upkeep"))
        if upkeep is None or not upkeep.unsaved:
            self._end()
            return

        def answered(answer: str | None) -> None:
            if answer == "drop":
                self._end()
            elif answer == "save":
                upkeep.action_save()

        self.action_place("upkeep")
        self.push_screen(LeavingScreen("The book"), answered)

    def _end(self) -> None:
        """Lets go of what was kept aside of the open cases, and ends."""
        for desk in self.desks:
            desk.let_go()
        self.exit()
