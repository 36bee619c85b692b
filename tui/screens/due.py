"""Due: what falls due for the cases of the record store, or of a folder, by calendar week."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen

from toeroom.case import Case
from toeroom.due import Due
from toeroom.due.gathering import WEEKS, Gathered, files_inside, from_folder, from_store
from toeroom.errors import BadInput
from tui.library import Library
from tui.log import write_down
from tui.naming import place
from tui.screens.prompt import PromptScreen
from tui.widgets.due_pane import DuePane
from tui.widgets.keys_line import KeysLine
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp


class DueScreen(Screen[None]):
    """Looks anew whenever one comes back to it; what was there stays in sight until then."""

    CSS_PATH = "due.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o,ctrl+o", "folder", "folder"),
        Binding("w", "widen", "weeks"),
        Binding("f5", "look_anew", "look anew", show=False),
        Binding("escape", "leave", "leave"),
    ]
    HELP = """Due

What falls due by calendar week: stops first, then what is overdue.
From the record store where there is one, as worked out when each case
was saved; or from a folder of case files, worked out now.
  arrows, Enter   choose an entry and open its case
  p               the page of the handbook on it
  o  or ctrl+o    a folder of case files; empty: the store again
  w               weeks ahead: 8, 26, 52
  F5              look anew; so does coming back here
An empty list is no 'all well'."""

    class Looked(Message):
        """What came of looking, for the wish with this number."""

        def __init__(self, number: int, gathered: Gathered) -> None:
            super().__init__()
            self.number, self.gathered = number, gathered

    class Read(Message):
        """A case that was read to be opened."""

        def __init__(self, case: Case, path: Path | None) -> None:
            super().__init__()
            self.case, self.path = case, path

    def __init__(self, library: Library) -> None:
        super().__init__()
        self.library = library
        self.folder: Path | None = None
        self.weeks = WEEKS[0]
        self.gathered: Gathered | None = None
        self.number = 0

    def compose(self) -> ComposeResult:
        yield TitleBar()
        yield DuePane(self.library.book.vocabulary.deferral, look_id="due")
        yield KeysLine()

    def on_mount(self) -> None:
        self._show()
        self.query_one(DuePane).focus()

    def on_screen_resume(self) -> None:
        self.action_look_anew()

    async def turn_to_book(self) -> None:
        """Works it out by the book there is now."""
        self.query_one(DuePane).deferral = self.library.book.vocabulary.deferral
        self.action_look_anew()

    # --- looking -----------------------------------------------------------------------------------
    def action_look_anew(self) -> None:
        self.number += 1
        self._look(self.number, self.folder)

    @work(thread=True, group="due", exit_on_error=False)
    def _look(self, number: int, folder: Path | None) -> None:
        book, today = self.library.book, date.today()
        try:
            gathered = from_folder(folder, book, today) if folder is not None else from_store(book, today)
        except Exception as error:
            said = f"it failed ({type(error).__name__}). {write_down('what falls due', error)}"
            gathered = Gathered(today, str(folder or "record store"), faults=(said,))
        self.post_message(self.Looked(number, gathered))

    @on(Looked)
    def _looked(self, event: Looked) -> None:
        # Of two that were under way, the later wish counts.
        if event.number == self.number:
            self.gathered = event.gathered
            self._show()

    def _show(self) -> None:
        if self.gathered is None:
            self.query_one(TitleBar).show("Due")
            return
        self.query_one(DuePane).show(self.gathered, self.weeks)
        found = self.gathered
        cases = f"{found.cases} case{'' if found.cases == 1 else 's'}"
        until = f"{self.weeks} weeks, to {found.last_day(self.weeks)}"
        self.query_one(TitleBar).show("Due", f"{cases} · {found.source}", until)

    # --- keys --------------------------------------------------------------------------------------
    def action_widen(self) -> None:
        """The next number of weeks, then the first again."""
        self.weeks = WEEKS[(WEEKS.index(self.weeks) + 1) % len(WEEKS)]
        self._show()

    def action_folder(self) -> None:
        def check(text: str) -> str:
            inside = files_inside(place(text)) if text else []
            if inside is None:
                return "this is no folder that can be read; name one that holds case files"
            return "" if inside or not text else "there is no case file here; a case file ends in .yaml"

        def named(text: str | None) -> None:
            if text is not None:
                self.folder, self.gathered = (place(text).absolute() if text else None), None
                self.query_one(DuePane).clear()
                self._show()
                self.action_look_anew()

        start, hint = str(self.folder or ""), "Its path; empty: the record store."
        self.app.push_screen(PromptScreen("A folder of case files", hint, start, check), named)

    @on(DuePane.Opened)
    def _wanted(self, event: DuePane.Opened) -> None:
        if self.gathered is not None:
            self._read(self.gathered, event.due)

    @work(thread=True, group="case", exclusive=True, exit_on_error=False)
    def _read(self, gathered: Gathered, due: Due) -> None:
        try:
            self.post_message(self.Read(*gathered.case_of(due, self.library.book)))
        except BadInput as fault:
            self.app.call_from_thread(self._say, str(fault))
        except Exception as error:
            said = write_down(f"the case {due.case}", error)
            self.app.call_from_thread(self._say, f"it cannot be opened ({type(error).__name__}). {said}")

    def _say(self, text: str) -> None:
        self.notify(text, severity="error", markup=False)

    @on(Read)
    def _open(self, event: Read) -> None:
        app, desks = self.app_, self.app_.desks
        # A second desk for the same file would save over the first.
        if event.path is not None and any(desk.open.path == event.path for desk in desks[:-1]):
            self._say(f"{event.path.name} is open already, under another case: F6 goes there")
        elif event.path is not None and desks and desks[-1].open.path == event.path:
            app.action_place("cases")
        else:
            app.open_desk(event.case, path=event.path)

    @on(DuePane.PageWanted)
    def _page(self, event: DuePane.PageWanted) -> None:
        self.app_.open_page(event.due.page)

    @property
    def app_(self) -> ToeroomApp:
        return cast("ToeroomApp", self.app)

    def action_leave(self) -> None:
        self.app_.leave_place()
