"""Upkeep: rules and pages read, edited and tried; saved only as a book that passes its checks."""

from __future__ import annotations

import itertools
import os
import shlex
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult, SuspendNotSupported
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, OptionList, Static, TextArea
from textual.widgets.option_list import Option

from toeroom.book import shipped_folder
from toeroom.errors import BadInput, one_line
from toeroom.upkeep.drafting import Draft, Entry
from toeroom.upkeep.in_use import InUse, in_use
from toeroom.upkeep.own_book import new_book
from toeroom.upkeep.places import is_read_only
from toeroom.upkeep.trial import on_trial
from toeroom.wording import printable
from tui.entry_lines import entry_lines, example_lines
from tui.library import Library
from tui.log import write_down
from tui.long_work import LongWork
from tui.naming import place
from tui.screens.prompt import PromptScreen
from tui.widgets.headings import heading
from tui.widgets.keys_line import KeysLine
from tui.widgets.lines_pane import LinesPane
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp

MADE = 20_000
"""Made cases that a comparison looks at here; the command takes more."""
PAUSE_BEFORE_CHECKING = 0.25
"""Seconds. While someone types on, what stands there is not looked at."""


class EntryList(OptionList):
    """Rules by topic, guarantees, pages by shelf."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "select", "read")]


class UpkeepScreen(Screen[None]):
    """Keeping the book."""

    CSS_PATH = "upkeep.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide"), (120, "-roomy")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash,ctrl+f", "filter", "find"),
        Binding("e", "edit", "edit"),
        Binding("f4", "editor", "$EDITOR", show=False),
        Binding("t", "examples", "try"),
        Binding("v", "check", "check"),
        Binding("p", "prove", "prove"),
        Binding("m", "compare", "compare"),
        Binding("x", "take_back", "take back", show=False),
        Binding("f5", "read_anew", "read anew", show=False),
        Binding("ctrl+s", "save", "save"),
        Binding("tab", "other_pane", show=False),
        Binding("shift+tab", "other_pane", show=False),
        Binding("escape", "leave", "leave"),
    ]
    HELP = """Upkeep

At the left the rules by topic, the guarantees and the pages; at the
right what is written. A ● marks what you edited and did not save.
  / or ctrl+f       find by a part of the name; Enter goes to it
  Enter, Tab        read it; Tab comes back
  e                 edit it here: what is wrong is said as you type
  F4                edit it in $EDITOR
  x                 take your edits of it back

Before anything is saved
  t                 run the examples of the rule you are on
  v                 check the whole book as you have it now
  p                 prove the guarantees
  m                 compare: whose plan changes, by 20,000 made cases
  Esc               leaves off what takes long

  ctrl+s            save and take into use. A book that fails its
                    checks is neither saved nor used.
  F5                read anew what was changed outside"""

    class Typed(Message):
        """What is wrong with what was typed; for the wish with this number."""

        def __init__(self, number: int, faults: list[str]) -> None:
            super().__init__()
            self.number, self.faults = number, faults

    class Found(Message):
        """Lines to be shown: what came of something that was tried."""

        def __init__(self, lines: list[Text]) -> None:
            super().__init__()
            self.lines = lines

    class Taken(Message):
        """The book that is to be used from now on."""

        def __init__(self, now: InUse, said: str) -> None:
            super().__init__()
            self.now, self.said = now, said

    def __init__(self, library: Library, working: Path) -> None:
        super().__init__()
        self.library = library
        self.draft = Draft(working)
        self.entries: dict[str, Entry] = {}
        self.chosen: Entry | None = None
        self.work_going: LongWork | None = None
        self._numbers, self._latest = itertools.count(1), 0

    def compose(self) -> ComposeResult:
        yield TitleBar()
        with Container(id="upkeep"):
            with Vertical(id="entries"):
                yield Input(placeholder="find: a part of the name", id="filter", compact=True)
                yield EntryList(id="entry-list")
            with Vertical(id="entry"):
                yield LinesPane(look_id="read")
                yield TextArea(id="write", show_line_numbers=True, soft_wrap=True, compact=True)
                yield Static(id="told", markup=False)
        yield KeysLine()

    def on_mount(self) -> None:
        self.query_one("#write").display = False
        self._tell("")
        self._list()
        self._show_state()
        self.set_focus(self.query_one(EntryList))

    def on_screen_resume(self) -> None:
        if not self.writing:
            self._look_again("")

    @property
    def writing(self) -> bool:
        """Whether a text is being edited."""
        return bool(self.query_one("#write").display)

    @property
    def unsaved(self) -> bool:
        """Whether leaving now would lose an edit."""
        return self.draft.unsaved or self.writing

    @property
    def app_(self) -> ToeroomApp:
        return cast("ToeroomApp", self.app)

    # --- what is shown -----------------------------------------------------------------------------
    def _show_state(self) -> None:
        folder = self.draft.folder
        shipped = folder.resolve() == shipped_folder().resolve()
        name = "the book that comes with toeroom" if shipped else str(folder)
        more = f"{name}{', read-only' if is_read_only(folder) else ''}"
        state = "working" if self.work_going else "not saved" if self.draft.unsaved else ""
        self.query_one(TitleBar).show("Upkeep", more, state)

    def _list(self) -> None:
        """Fills the list with what the filter lets through; the place in it is kept."""
        wanted = self.query_one("#filter", Input).value.strip().lower()
        self.entries = {entry.name: entry for entry in self.draft.entries()}
        shown = [e for e in self.entries.values() if wanted in f"{e.id} {e.title} {e.place}".lower()]
        options: list[Option] = []
        for (kind, where), group in itertools.groupby(shown, key=lambda e: (e.kind, e.place)):
            name = where if kind != "page" else f"pages: {where.replace('-', ' ')}"
            options.append(heading(name))
            options += [Option(self._told_in_list(entry), id=entry.name) for entry in group]
        listed = self.query_one(EntryList)
        at = self.chosen.name if self.chosen else ""
        names = [option.id for option in options]
        with listed.prevent(OptionList.OptionHighlighted):
            listed.clear_options()
            listed.add_options(options)
            if at in names:
                listed.highlighted = names.index(at)
        if at not in names and len(options) > 1:
            listed.highlighted = 1

    def _told_in_list(self, entry: Entry) -> Content:
        mark = "●" if self.draft.edited(entry) else " "
        status = f" ({entry.status})" if entry.status != "active" else ""
        return Content.assemble((f"{mark} ", "bold $accent"), printable(entry.id), (status, "$quiet"))

    @on(OptionList.OptionHighlighted)
    def _passed_over(self, event: OptionList.OptionHighlighted) -> None:
        entry = self.entries.get(event.option_id or "")
        if entry is not None and not self.writing:
            self.chosen = entry
            self._read()

    @on(OptionList.OptionSelected)
    def _selected(self) -> None:
        self.set_focus(self.query_one(LinesPane))

    def _read(self) -> None:
        if self.chosen is not None:
            self.query_one(LinesPane).show(entry_lines(self.chosen, self.draft, self.library.book))
            self._tell("")

    def _tell(self, text: str, *, fault: bool = False) -> None:
        told = self.query_one("#told", Static)
        told.display = bool(text)
        told.set_class(fault, "-fault")
        told.update(printable(text))

    @on(Found)
    def _found(self, event: Found) -> None:
        self._show_lines(event.lines)

    def _show_lines(self, lines: list[Text]) -> None:
        """What came of something, in place of the entry, to be read at once."""
        pane = self.query_one(LinesPane)
        pane.show(lines)
        if not self.writing:
            self.set_focus(pane)

    # --- finding -----------------------------------------------------------------------------------
    def action_filter(self) -> None:
        if not self.writing:
            self.set_focus(self.query_one("#filter"))

    @on(Input.Changed, "#filter")
    def _filtered(self) -> None:
        self._list()

    @on(Input.Submitted, "#filter")
    def _go_to_found(self) -> None:
        self.set_focus(self.query_one(EntryList))

    def action_other_pane(self) -> None:
        if not self.writing:
            listed = self.query_one(EntryList)
            self.set_focus(self.query_one(LinesPane) if self.focused is listed else listed)

    # --- editing -----------------------------------------------------------------------------------
    def _may_edit(self) -> Entry | None:
        """The entry to be edited; None where there is none. A read-only book is offered to be copied."""
        if self.chosen is None or self.writing:
            return None
        if is_read_only(self.draft.folder):
            self._offer_own_book()
            return None
        return self.chosen

    def action_edit(self) -> None:
        entry = self._may_edit()
        if entry is None:
            return
        area = self.query_one("#write", TextArea)
        with area.prevent(TextArea.Changed):
            text = self.draft.text_of(entry).strip("\n") + "\n"
            area.load_text(text)
            # Below the comments above it.
            lines = text.split("\n")
            area.cursor_location = (next(n for n, s in enumerate(lines) if not s.lstrip().startswith("#")), 0)
        area.display, self.query_one(LinesPane).display = True, False
        self.set_focus(area)
        self._tell(f"editing {entry.id}: Esc ends, ctrl+z undoes, nothing is saved before ctrl+s")
        self._check_typed()

    @on(TextArea.Changed)
    def _changed(self) -> None:
        self._check_typed()

    def _typed_text(self, entry: Entry) -> str:
        """What stands in the area, with the empty lines that were above the entry."""
        before = self.draft.text_of(entry)
        lead = before[: len(before) - len(before.lstrip("\n"))]
        return lead + self.query_one("#write", TextArea).text.strip("\n") + "\n"

    def _check_typed(self) -> None:
        if self.chosen is not None and self.writing:
            self._latest = next(self._numbers)
            self._look_at(self.chosen, self._typed_text(self.chosen), self._latest)

    @work(thread=True, group="typed", exit_on_error=False)
    def _look_at(self, entry: Entry, text: str, number: int) -> None:
        time.sleep(PAUSE_BEFORE_CHECKING)
        if number != self._latest:
            return
        try:
            faults = self.draft.faults_of(entry, text)
        except Exception as error:
            faults = [f"it could not be looked at ({type(error).__name__}). {write_down('typed', error)}"]
        self.post_message(self.Typed(number, faults))

    @on(Typed)
    def _typed(self, event: Typed) -> None:
        if event.number != self._latest or not self.writing:
            return
        if event.faults:
            more = f"  (and {len(event.faults) - 1} more)" if len(event.faults) > 1 else ""
            self._tell(one_line(event.faults[0]) + more, fault=True)
        else:
            self._tell("nothing is wrong with it by itself; Esc ends, then v checks the whole book")

    def _end_writing(self) -> None:
        area = self.query_one("#write", TextArea)
        if self.chosen is not None:
            text = self._typed_text(self.chosen)
            if text.strip("\n") != self.draft.text_of(self.chosen).strip("\n"):
                self.draft.write(self.chosen, text)
        area.display, self.query_one(LinesPane).display = False, True
        self._latest = next(self._numbers)
        self.set_focus(self.query_one(EntryList))
        self._after_edit()

    def _after_edit(self) -> None:
        self._list()
        if self.chosen is not None:
            self.chosen = self.entries.get(self.chosen.name, self.chosen)
        self._read()
        self._show_state()

    def action_editor(self) -> None:
        """Edits in the editor of the terminal; toeroom waits meanwhile."""
        if self.writing:
            self._end_writing()
        entry = self._may_edit()
        if entry is None:
            return
        editor = os.environ.get("VISUAL") or os.environ.get("EDITOR", "")
        if not editor:
            self.notify("$EDITOR names no editor; e edits here", markup=False, timeout=5)
            return
        before = self.draft.text_of(entry)
        try:
            after = self._edited_outside(shlex.split(editor), entry, before)
        except (OSError, ValueError, SuspendNotSupported, subprocess.SubprocessError) as error:
            self.notify(f"the editor did not do it: {error}", markup=False, severity="error", timeout=8)
            return
        if after != before:
            self.draft.write(entry, after)
        self._after_edit()
        faults = self.draft.faults_of(entry, self.draft.text_of(entry))
        self._tell(one_line(faults[0]) if faults else "", fault=bool(faults))

    def _edited_outside(self, editor: list[str], entry: Entry, text: str) -> str:
        suffix = Path(entry.file).suffix
        with tempfile.TemporaryDirectory(prefix="toeroom-edit-") as aside:
            path = Path(aside) / f"{entry.id}{suffix}"
            path.write_text(text, encoding="utf-8")
            with self.app.suspend():
                subprocess.run([*editor, str(path)], check=True)
            return path.read_text(encoding="utf-8", errors="replace")

    def action_take_back(self) -> None:
        if self.chosen is not None and not self.writing and self.draft.edited(self.chosen):
            self.draft.drop(self.chosen)
            self._after_edit()
            self.notify(f"taken back: {self.chosen.id}", markup=False, timeout=3)

    def _offer_own_book(self) -> None:
        """The shipped book is not changed: asks where to copy it, and goes on with the copy."""

        def check(text: str) -> str:
            try:
                new_book(place(text), self.draft.folder)
            except (BadInput, OSError, ValueError) as fault:
                return str(fault)
            return ""

        def made(text: str | None) -> None:
            if text is not None:
                self.work_on(place(text))

        title = "The book that comes with toeroom is not changed. Copy it to"
        self.app.push_screen(PromptScreen(title, "A new folder.", "my-book", check), made)

    def work_on(self, folder: Path) -> None:
        """Goes on with the book in another folder."""
        self.draft = Draft(folder)
        self._look_again(f"your own book now; next time: toeroom --book {folder}")

    # --- trying ------------------------------------------------------------------------------------
    def _ready(self) -> bool:
        """Ends writing; whether nothing is going on."""
        if self.writing:
            self._end_writing()
        if self.work_going is not None:
            self.notify("Esc leaves off what is going on", markup=False, timeout=3)
        return self.work_going is None

    def action_examples(self) -> None:
        if self.chosen is not None and self._ready():
            entry = self.chosen
            self._in_thread("examples", lambda: example_lines(entry, self.draft))

    def action_check(self) -> None:
        if self._ready():
            self._tell("checking the whole book")
            self._in_thread("check", self._checked)

    def _checked(self) -> list[Text]:
        faults = self.draft.all_faults()
        if not faults:
            return [
                Text("The book passes its checks", "title"),
                Text("rules, examples, kept plans and pages", "quiet"),
            ]
        return [
            Text(f"The book fails its checks: {len(faults)}", "title"),
            *(Text(fault, "fault") for fault in faults),
        ]

    @work(thread=True, group="try", exit_on_error=False)
    def _in_thread(self, what: str, find: Callable[[], list[Text]]) -> None:
        try:
            lines = find()
        except BadInput as fault:
            lines = [Text(str(fault), "fault")]
        except Exception as error:
            lines = [Text(f"it failed ({type(error).__name__}). {write_down(what, error)}", "fault")]
        self.post_message(self.Found(lines))
        self.app.call_from_thread(self._tell, "")

    def action_prove(self) -> None:
        if self._ready():
            self._long("The guarantees, for every case there can be", ["rules", "prove"])

    def action_compare(self) -> None:
        if self._ready():
            old = str(self.library.book.folder)
            self._long("Against the book in use", ["rules", "compare", old, "", "--made", str(MADE)])

    @work(group="long", exclusive=True, exit_on_error=False)
    async def _long(self, title: str, arguments: list[str]) -> None:
        """Runs a command on the book as it would be saved; an empty argument stands for that book."""
        if self.draft.broken:
            self._show_lines([Text("One of your edits cannot be read yet: v says which", "fault")])
            return
        self._show_lines([Text(title, "title")])
        pane = self.query_one(LinesPane)
        begun = time.monotonic()

        def how_far(text: str) -> None:
            self._tell(f"{text}, {time.monotonic() - begun:.0f} s; Esc leaves it off")

        said = ""
        try:
            with on_trial(self.draft.files) as folder:
                # Files are named as in the book, not as in the folder it is tried in.
                going = LongWork(lambda line: pane.add(Text(line.replace(f"{folder}/", ""))), how_far)
                self.work_going = going
                self._show_state()
                self._tell("beginning; Esc leaves it off")
                filled = [argument or str(folder) for argument in arguments]
                await going.run(["--book", str(folder), *filled])
            said = "left off" if going.stopped else ""
        except OSError as error:
            said = f"it could not be begun ({error.strerror})"
        finally:
            self.work_going = None
            if self.is_attached:
                self._show_state()
                self._tell(said)

    # --- saving and using --------------------------------------------------------------------------
    def action_save(self) -> None:
        if not self._ready():
            return
        if not self.draft.unsaved:
            self.notify("nothing to save", markup=False, timeout=2)
            return
        self._tell("checking the whole book before it is saved")
        self._save()

    @work(thread=True, group="save", exclusive=True, exit_on_error=False)
    def _save(self) -> None:
        try:
            faults = self.draft.save()
        except Exception as error:
            known = isinstance(error, BadInput)
            faults = [
                str(error) if known else f"it failed ({type(error).__name__}). {write_down('save', error)}"
            ]
        if faults:
            lines: list[Text] = [Text("Not saved, and not used", "title"), Text("Mend this first:", "quiet")]
            self.post_message(self.Found([*lines, *(Text(fault, "fault") for fault in faults)]))
            self.app.call_from_thread(self._tell, "not saved", fault=True)
        else:
            self._use("saved, and in use")

    def action_read_anew(self) -> None:
        if self._ready():
            self._look_again("read anew")

    @work(thread=True, group="look", exclusive=True, exit_on_error=False)
    def _look_again(self, said: str) -> None:
        """Takes in what was changed outside."""
        try:
            conflicts = self.draft.read_anew()
        except (BadInput, OSError) as fault:
            self.app.call_from_thread(self._tell, f"cannot be read anew: {fault}", fault=True)
            return
        if conflicts:
            said = f"changed outside too; yours stands: {', '.join(conflicts)}"
        self._use(said)

    def _use(self, said: str) -> None:
        try:
            now = in_use(self.draft.folder)
        except BadInput as fault:
            now = InUse(self.library.book, self.draft.folder, f"Your book cannot be used: {fault.what}")
        self.post_message(self.Taken(now, said))

    @on(Taken)
    async def _taken(self, event: Taken) -> None:
        await self.app_.use(event.now)
        self._after_edit()
        if event.said:
            self.notify(event.said, markup=False, timeout=4)

    # --- leaving -----------------------------------------------------------------------------------
    def action_leave(self) -> None:
        """Esc: out of what goes on, out of the text, out of a search, then to where one came from."""
        search = self.query_one("#filter", Input)
        if self.work_going is not None:
            self.work_going.stop()
        elif self.writing:
            self._end_writing()
        elif search.value or self.focused is search:
            search.value = ""
            self.set_focus(self.query_one(EntryList))
        elif self.focused is self.query_one(LinesPane):
            self.set_focus(self.query_one(EntryList))
        else:
            self.app_.leave_place()
