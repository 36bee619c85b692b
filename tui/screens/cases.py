"""The cases: what to open, and where to begin."""

from __future__ import annotations

import itertools
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from toeroom.case import Case, read_case
from toeroom.errors import BadInput
from toeroom.wording import printable
from tui.library import Library
from tui.naming import ask_id, place
from tui.open_case import OpenCase
from tui.screens.desk import DeskScreen
from tui.screens.prompt import PromptScreen
from tui.widgets.headings import heading
from tui.widgets.keys_line import KeysLine
from tui.widgets.title_bar import TitleBar


class CaseList(OptionList):
    """The cases, the key that opens one named."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "select", "open")]


class CasesScreen(Screen[None]):
    """A list of the cases that come with the book; opening a file; starting anew."""

    CSS_PATH = "cases.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n,ctrl+n", "new", "new case"),
        Binding("o,ctrl+o", "open_file", "open a file"),
        Binding("t", "app.place('training')", "training"),
        Binding("escape", "app.quit", "leave", show=False),
    ]
    HELP = """Cases

The invented cases that come with the book, from simple to hard.
What you change in one is saved under a name of your own.
  arrows, Enter   choose and open
  n  or ctrl+n    start a new case: an id, never a person's name
  o  or ctrl+o    open a case file: type its path"""

    def __init__(self, library: Library) -> None:
        super().__init__()
        self.library, self.book = library, library.book
        self.listed: dict[str, Case] = {}

    def compose(self) -> ComposeResult:
        yield TitleBar()
        with Horizontal(id="cases"):
            yield CaseList(id="case-list")
            with VerticalScroll(id="case-beside", can_focus=False):
                yield Static(id="case-told")
        yield KeysLine()

    def on_mount(self) -> None:
        self.query_one(TitleBar).show("Cases", f"{len(self.book.rules)} rules, book {self.book.version}")
        listed = self.query_one(OptionList)
        listed.add_options(self._options())
        listed.focus()
        if listed.option_count > 1:
            listed.highlighted = 1

    async def turn_to_book(self) -> None:
        """Lists the cases that come with the book there is now."""
        self.book, self.listed = self.library.book, {}
        await self.recompose()
        self.on_mount()

    def _options(self) -> list[Option]:
        found, unread = [], []
        for path in sorted(self.book.cases_demo.glob("*.yaml")):
            try:
                case = read_case(path, self.book.vocabulary)
            except BadInput as fault:
                told = Content.styled(f"{path.name} cannot be read: {fault.what}", "$error")
                unread.append(Option(told, disabled=True))
                continue
            self.listed[path.name] = case
            found.append((case, path.name))
        order = ("simple", "middling", "hard", "")
        found.sort(key=lambda pair: (order.index(pair[0].grade), pair[1]))
        options: list[Option] = []
        for grade, pairs in itertools.groupby(found, key=lambda pair: pair[0].grade):
            options.append(heading(grade or "of no grade"))
            options += [Option(_told_in_list(case), id=name) for case, name in pairs]
        return options + unread

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        case = self.listed.get(event.option_id or "")
        if case is not None:
            self.query_one("#case-told", Static).update(_told_beside(case))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        case = self.listed.get(event.option_id or "")
        if case is not None:
            self._desk(OpenCase(case, None, case))

    def _desk(self, opened: OpenCase) -> None:
        self.app.push_screen(DeskScreen(self.library, opened))

    # --- a file, a new case ------------------------------------------------------------------------
    def action_open_file(self) -> None:
        read: dict[str, Case] = {}

        def check(text: str) -> str:
            try:
                path = place(text)
                read[text] = read_case(path, self.book.vocabulary)
            except BadInput as fault:
                return str(fault)
            return ""

        def opened(text: str | None) -> None:
            if text is not None:
                self._desk(OpenCase(read[text], place(text), read[text]))

        self.app.push_screen(PromptScreen("Open a case file", "Its path.", "", check), opened)

    def action_new(self) -> None:
        def named(case: Case) -> None:
            self._desk(OpenCase(case, None, case))

        ask_id(self.app, self.book.vocabulary, "", named)


def _told_in_list(case: Case) -> Content:
    return Content.assemble((printable(case.title) or case.id, "bold"), "\n", (case.id, "$quiet"))


def _told_beside(case: Case) -> Content:
    parts: list[Content | str | tuple[str, str]] = []
    if case.teaches:
        parts += [("What it teaches\n", "bold $primary"), f"{printable(case.teaches)}\n\n"]
    if case.notes:
        parts += [("Notes\n", "bold $primary"), printable(case.notes)]
    return Content.assemble(*parts)
