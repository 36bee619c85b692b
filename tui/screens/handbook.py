"""The handbook: its shelves, a search as one types, and the page."""

from __future__ import annotations

import itertools
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar, cast

from rich.padding import Padding
from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from toeroom.errors import BadInput, one_line
from toeroom.handbook.pages import Page
from toeroom.handbook.pointing import pointing_at
from toeroom.handbook.search import Hit, SearchResult
from toeroom.wording import printable
from tui.library import Library
from tui.log import write_down
from tui.widgets.headings import heading
from tui.widgets.keys_line import KeysLine
from tui.widgets.page_pane import PagePane, Shown
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp

LONGEST_PASSAGE = 150
MOST_HITS = 12


@dataclass(frozen=True, slots=True)
class Visit:
    """A page as it was left: from which heading, how far down. `row` None: as it is opened."""

    page: str
    heading: str = ""
    row: int | None = None


class PageList(OptionList):
    """The shelves, or what a search found."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "select", "read")]


class HandbookScreen(Screen[None]):
    """Looking a situation up."""

    CSS_PATH = "handbook.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide"), (150, "-broad")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash,ctrl+f", "search", "search"),
        Binding("tab", "other_pane(1)", "list/page"),
        Binding("shift+tab", "other_pane(-1)", show=False),
        Binding("b,alt+left,backspace", "back", "back"),
        Binding("f,alt+right", "forward", "forward", show=False),
        Binding("c,f7", "copy", "copy", show=False),
        Binding("escape", "leave", "leave"),
    ]
    HELP = """The handbook

At the left the shelves, safety first; at the right the page.
  / or ctrl+f       search as you type, in your own words
                    Down goes to what was found, Enter reads it
  arrows, Enter     choose a page, read it
  Tab               from the list to the page and back

On a page
  arrows            on to the next link, line by line between them
  PgUp, PgDn        a screenful
  Enter, click      follow the link
  b  or alt+left    back to the page before; f or alt+right forward
  c  or F7          copy the page as text

At its end a page says which rules, plan items and cases lead to it.
Esc clears a search, then goes back to where you came from."""

    class Ready(Message):
        """The handbook is open, or could not be opened."""

        def __init__(self, pages: dict[str, Page], version: str, said: str) -> None:
            super().__init__()
            self.pages, self.version, self.said = pages, version, said

    class HitsCame(Message):
        """What was found for the search with this number."""

        def __init__(self, number: int, result: SearchResult | None, said: str) -> None:
            super().__init__()
            self.number, self.result, self.said = number, result, said

    def __init__(self, library: Library) -> None:
        super().__init__()
        self.library = library
        self.pages: dict[str, Page] = {}
        self.version = ""
        self.files: dict[str, str] = {}
        self.hits: tuple[Hit, ...] = ()
        self.visit: Visit | None = None
        self.earlier: list[Visit] = []
        self.later: list[Visit] = []
        self.wanted: Visit | None = None
        # Whether the page shown is being read, not merely passed over in the list.
        self.reading = False
        # Whether another place sent the reader here: then Esc goes straight back there.
        self.sent = False
        self._numbers, self._latest = itertools.count(1), 0
        self._searching = threading.Lock()

    def compose(self) -> ComposeResult:
        yield TitleBar()
        with Container(id="handbook"):
            with Vertical(id="shelves"):
                yield Input(placeholder="search: say what you see", id="search", compact=True)
                yield Static(id="searched", markup=False)
                yield PageList(id="page-list")
            yield PagePane(look_id="page")
        yield KeysLine()

    def on_mount(self) -> None:
        self.query_one("#searched").display = False
        self.query_one(TitleBar).show("Handbook")
        self.query_one(PagePane).say("opening the handbook")
        self.set_focus(self.query_one(PageList))

    async def turn_to_book(self) -> None:
        """Opened anew when it is next looked at."""
        self.version = ""

    def on_screen_resume(self) -> None:
        self._open()

    # --- opening -----------------------------------------------------------------------------------
    @work(thread=True, group="open", exclusive=True, exit_on_error=False)
    def _open(self) -> None:
        try:
            handbook = self.library.handbook
            version, pages = handbook.version, dict(handbook.pages)
            self.files = {case.id: name for name, case in self.library.cases}
            self.post_message(self.Ready(pages, version, ""))
        except Exception as error:
            said = f"The handbook cannot be opened ({type(error).__name__}). {write_down('handbook', error)}"
            self.post_message(self.Ready({}, "", str(error) if isinstance(error, BadInput) else said))

    @on(Ready)
    def _ready(self, event: Ready) -> None:
        if event.said:
            self.query_one(PagePane).say(one_line(event.said), fault=True)
            return
        if event.version != self.version:
            self.pages, self.version = event.pages, event.version
            if not self._text:
                self._show_shelves()
            if self.visit is not None and self.wanted is None:
                self._show(self.visit)
        if self.wanted is not None:
            wanted, self.wanted = self.wanted, None
            self._go(wanted)

    @property
    def _text(self) -> str:
        return self.query_one("#search", Input).value.strip()

    # --- the list ----------------------------------------------------------------------------------
    def _show_shelves(self) -> None:
        self.hits = ()
        options: list[Option] = []
        for shelf, pages in itertools.groupby(self.pages.values(), key=lambda page: page.shelf):
            name = shelf.replace("-", " ")
            options.append(heading(name))
            options += [Option(Padding(Text(_short(page.title)), (0, 0, 0, 2)), id=page.id) for page in pages]
        at = self.visit.page if self.visit else next(iter(self.pages), "")
        self._list(options, at, silent=self.visit is not None)
        self._say_searched("")

    def _list(self, options: list[Option], at: str, *, silent: bool) -> None:
        listed = self.query_one(PageList)
        with listed.prevent(OptionList.OptionHighlighted):
            listed.clear_options()
            listed.add_options(options)
        if silent:
            self._mark(at)
        elif any(option.id == at for option in options):
            listed.highlighted = listed.get_option_index(at)

    def _mark(self, page_id: str) -> None:
        """Puts the bar of the list on a page, where it stands in it, without turning to it."""
        listed = self.query_one(PageList)
        if any(option.id == page_id for option in listed.options):
            with listed.prevent(OptionList.OptionHighlighted):
                listed.highlighted = listed.get_option_index(page_id)

    @on(OptionList.OptionHighlighted)
    def _passed_over(self, event: OptionList.OptionHighlighted) -> None:
        listed = self.query_one(PageList)
        if event.option_id is None or self.focused is self.query_one(PagePane):
            return
        if listed.highlighted_option is not event.option:
            return
        self.sent = False
        if self.visit is not None and self.visit.page == event.option_id and not self.hits:
            return
        if self.reading:
            self._keep_for_later()
        self._show(self._visit_of(event.option_id))

    def _visit_of(self, page_id: str) -> Visit:
        hit = next((hit for hit in self.hits if hit.page == page_id), None)
        return Visit(page_id, hit.heading if hit else "")

    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        visit = self._visit_of(event.option_id or "")
        if self.visit is None or self.visit.page != visit.page:
            self._go(visit)
        elif self.visit.heading != visit.heading:
            self._show(visit)
        self.set_focus(self.query_one(PagePane))

    # --- the search --------------------------------------------------------------------------------
    @on(Input.Changed, "#search")
    def _typed(self, event: Input.Changed) -> None:
        self._latest = next(self._numbers)
        if self._text:
            self._search(self._text, self._latest)
        elif self.pages:
            self._show_shelves()

    @work(thread=True, group="search", exit_on_error=False)
    def _search(self, text: str, number: int) -> None:
        try:
            with self._searching:
                # Who types on has no use for this one.
                if number != self._latest:
                    return
                result = self.library.handbook.search(text, limit=MOST_HITS)
            self.post_message(self.HitsCame(number, result, ""))
        except Exception as error:
            said = f"The search failed ({type(error).__name__}). {write_down('search', error)}"
            self.post_message(self.HitsCame(number, None, said))

    @on(HitsCame)
    def _came(self, event: HitsCame) -> None:
        if event.number != self._latest or not self._text:
            return
        result = event.result
        self.hits = result.hits if result else ()
        self._list([Option(_told(hit), id=hit.page) for hit in self.hits], "", silent=True)
        if event.said:
            self._say_searched(one_line(event.said))
        elif not self.hits:
            self._say_searched("The handbook has nothing on this. Ask the prescriber or the foot service.")
        else:
            corrected = result.corrected if result else None
            self._say_searched(f"searched for: {printable(corrected)}" if corrected else "")
            self.query_one(PageList).highlighted = 0

    def _say_searched(self, text: str) -> None:
        said = self.query_one("#searched", Static)
        said.display = bool(text)
        said.update(text)

    @on(Input.Submitted, "#search")
    def _submitted(self) -> None:
        if self.query_one(PageList).highlighted is not None:
            self.query_one(PageList).action_select()

    def on_key(self, event: object) -> None:
        key = getattr(event, "key", "")
        if key in ("down", "pagedown") and self.focused is self.query_one("#search", Input):
            self.set_focus(self.query_one(PageList))

    # --- pages -------------------------------------------------------------------------------------
    def open_page(self, page_id: str, heading: str = "") -> None:
        """Turns to a page for another place, which Esc leads back to."""
        self.sent = True
        if not self.pages:
            self.wanted = Visit(page_id, heading)
        else:
            self._go(Visit(page_id, heading))
        if self.is_mounted:
            self.set_focus(self.query_one(PagePane))
        else:
            self.call_later(lambda: self.set_focus(self.query_one(PagePane)))

    def _go(self, visit: Visit) -> None:
        """Turns to a page; the one before can be gone back to."""
        self._keep_for_later()
        self._show(visit)
        self.reading = True
        self._mark(visit.page)

    def _keep_for_later(self) -> None:
        if self.visit is not None:
            self.earlier.append(self._left())
            self.later = []
        self.reading = False

    def _left(self) -> Visit:
        assert self.visit is not None
        return Visit(self.visit.page, self.visit.heading, self.query_one(PagePane).scroll_offset.y)

    def _show(self, visit: Visit) -> None:
        pane = self.query_one(PagePane)
        self.visit = visit
        try:
            page = self.library.handbook.page(visit.page)
            cited = [self.library.citations.words(source.key, source.at) for source in page.sources]
            pointing = pointing_at(page, self.library.book, [case for _, case in self.library.cases])
            pane.show(Shown(page, cited, pointing, self.files), visit.heading, visit.row)
        except BadInput as fault:
            pane.say(str(fault), fault=True)
        except Exception as error:
            said = write_down("page", error)
            pane.say(one_line(f"The page cannot be shown ({type(error).__name__}). {said}"), fault=True)
        self.query_one(TitleBar).show("Handbook", self._title(visit.page))

    def _title(self, page_id: str) -> str:
        page = self.pages.get(page_id)
        return page.title if page else page_id

    @on(PagePane.Focused)
    def _turned_to(self) -> None:
        self.reading = True

    @on(PagePane.Followed)
    def _followed(self, event: PagePane.Followed) -> None:
        kind, _, name = event.target.partition(":")
        if kind == "page":
            self._go(Visit(name))
        elif kind == "case":
            cast("ToeroomApp", self.app).open_demo(name)

    def action_back(self) -> None:
        if self.earlier and self.visit is not None:
            self.later.append(self._left())
            self._turn(self.earlier.pop())

    def action_forward(self) -> None:
        if self.later and self.visit is not None:
            self.earlier.append(self._left())
            self._turn(self.later.pop())

    def _turn(self, visit: Visit) -> None:
        self._show(visit)
        self._mark(visit.page)
        self.set_focus(self.query_one(PagePane))

    # --- keys --------------------------------------------------------------------------------------
    def action_search(self) -> None:
        self.sent = False
        self.set_focus(self.query_one("#search"))

    def action_other_pane(self, step: int) -> None:
        panes = [self.query_one("#search"), self.query_one(PageList), self.query_one(PagePane)]
        at = panes.index(self.focused) if self.focused in panes else 0
        at = (at + step) % len(panes)
        # Tab goes between list and page; the search has its own key.
        self.set_focus(panes[at] if at else panes[1 if step > 0 else 2])

    def action_copy(self) -> None:
        """The page, as text, to the clipboard of the terminal."""
        self.query_one(PagePane).action_copy()

    def action_leave(self) -> None:
        """Esc: out of a search first, then to where one came from."""
        search = self.query_one("#search", Input)
        if self.sent or not (search.value or self.focused is search):
            self.sent = False
            cast("ToeroomApp", self.app).leave_place()
            return
        search.value = ""
        self.set_focus(self.query_one(PageList))


def _short(title: str) -> str:
    """A title up to its colon, which names the subject; the page shows it whole."""
    return printable(title.partition(":")[0])


def _told(hit: Hit) -> Content:
    """A hit in the list: title, heading, and of the passage what was looked for."""
    text, marks = printable(hit.passage.text), hit.passage.marks
    first = max(0, marks[0][0] - 40) if marks and marks[0][1] > LONGEST_PASSAGE else 0
    if first:
        first = text.find(" ", first) + 1 or first
    last = first + LONGEST_PASSAGE
    parts: list[str | tuple[str, str]] = ["… "] if first else []
    at = first
    for start, end in marks:
        if first <= start and end <= last:
            parts += [text[at:start], (text[start:end], "bold $accent")]
            at = end
    cut = text[at:last]
    parts.append(cut if last >= len(text) else f"{cut.rpartition(' ')[0] or cut}…")
    return Content.assemble(
        (printable(hit.title), "bold"), "\n", (printable(hit.heading), "$secondary"), "\n", *parts, "\n"
    )
