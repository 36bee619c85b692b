"""The case desk: what was found on both feet, and beside it the plan that follows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from rich.cells import cell_len
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.widgets import Static

from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.rules.whys import why
from toeroom.sheet import Sheet
from toeroom.vocabulary import SIDES
from toeroom.wording import printable
from tui.library import Library
from tui.log import write_down
from tui.naming import ask_place
from tui.open_case import OpenCase
from tui.replanning import Planned
from tui.screens.about import AboutScreen
from tui.screens.feet import FeetScreen
from tui.screens.pages import PagesScreen
from tui.screens.planning import PlanningScreen
from tui.screens.reading import ReadingScreen
from tui.screens.what_if import WhatIfScreen
from tui.screens.why import WhyScreen
from tui.widgets.block_pane import BlockPane
from tui.widgets.feet_pane import FeetPane
from tui.widgets.form import Form
from tui.widgets.form_grid import FormGrid
from tui.widgets.keys_line import KeysLine
from tui.widgets.plan_pane import PlanPane
from tui.widgets.size_pane import SizePane
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp


class DeskScreen(PlanningScreen):
    """A case open on the desk."""

    CSS_PATH = "desk.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (104, "-wide"), (120, "-roomy"), (160, "-broad")]
    VERTICAL_BREAKPOINTS = [(0, "-low"), (32, "-tall")]
    LEAVE_OUT = ("feet", "sizes", "what_if", "save")
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash,ctrl+f", "find", "find"),
        Binding("tab", "other_pane", "plan"),
        Binding("shift+tab", "other_pane", show=False),
        Binding("p,ctrl+p", "pages", "page"),
        Binding("i", "what_if", "what if"),
        Binding("s", "sizes", "sizes"),
        Binding("f", "feet", "feet"),
        Binding("e", "write_plan", "plan to a file", show=False),
        Binding("r", "read_notes", "read the notes", show=False),
        Binding("f4", "unfold", "more / less", show=False),
        Binding("f5", "about", "title, notes", show=False),
        Binding("ctrl+z", "undo", "undo", show=False),
        Binding("ctrl+r", "redo", "redo", show=False),
        Binding("ctrl+s", "save", "save"),
        Binding("f8", "save_as", "save as", show=False),
        Binding("escape", "back", "back"),
    ]
    HELP = """The case desk

The form has what was found on both feet; the plan follows every
key. Tab goes from the one to the other. The line above both says
whether anything stops the fitting.

In the form
  arrows          line by line; left and right choose the foot
  PgUp, PgDn      group by group
  y  n  u         yes, no, unknown (or ctrl+y, ctrl+n, ctrl+u)
  Enter, Space    the next value; on a number or date: type it
  0 to 9          begin a number or date; pick a choice by place
  Delete          take it back: nothing is stated
  /  or ctrl+f    find a line by part of its name; Esc: all again
‹ ask › marks what is asked next. A dot: nothing is stated there.
That is never a no.

In the plan
  arrows          item by item
  w, Enter        why it stands there; a question: go and answer it
  (or ctrl+w)
  F4              open what is folded, every caution; fold again

In the sizes
  l               whose last they are looked up for: men, women
  +  -            room above the toes, millimetre by millimetre
  m               inches as well

From form and plan
  i               what if: the finding you are on were otherwise; from
                  an item, what would turn it. The case stays as it is
  s               sizes in place of the plan, and the plan again
  f               both feet, with what lies where
  e               write the plan to a file; or every paper of the case
  r               read the notes: each finding to be confirmed

The handbook and Ask
  p or ctrl+p     the page on the line or item you are on; Esc there
                  comes back to it
  a or F3         ask about this case

The case
  F5              title, day, notes
  ctrl+z, ctrl+r  undo; redo
  ctrl+s          save; F8 under another name
  Esc             back to the cases; asks if something is not saved"""

    def __init__(self, library: Library, opened: OpenCase) -> None:
        super().__init__(library, opened)
        self.verdict = ""

    def compose(self) -> ComposeResult:
        yield TitleBar()
        yield Static(id="verdict", markup=False)
        with Container(id="body"):
            yield Form(self.book.vocabulary, self.open.case, self._changed, look_id="form")
            with Container(id="beside"):
                yield PlanPane(look_id="plan")
                yield SizePane(self.open.case, look_id="sizes")
                yield FeetPane(look_id="feet")
        yield KeysLine()

    def on_mount(self) -> None:
        self.query_one(SizePane).display = False
        self.set_focus(self.query_one(Form).grid)
        self.show_title()
        self.replan()

    async def turn_to_book(self) -> None:
        """The case stays as it is; form and plan follow the book there is now."""
        self.settle()
        self.book = self.replanner.book = self.library.book
        self.planned, self.verdict = None, ""
        await self.recompose()
        self.on_mount()

    def settle(self) -> None:
        self.query_one(Form).settle()

    def show_title(self) -> None:
        state = "not saved" if self.open.unsaved else ""
        self.query_one(TitleBar).show(self.open.case.id, self.open.case.title, state)

    # --- the plan ----------------------------------------------------------------------------------
    def _changed(self, case: Case) -> None:
        self.open.change(case)
        self.keep_aside()
        self.show_title()
        self.replan()

    def show_plan(self, planned: Planned) -> None:
        self._show_verdict(planned.sheet)
        self.query_one(PlanPane).show_sheet(planned.sheet, asked=planned.asked)
        self.query_one(FeetPane).show_feet(planned.feet)
        self._show_sizes()
        if planned.questions is not None:
            self.query_one(Form).mark_asked([(q.id, q.side) for q in planned.questions])

    def show_no_plan(self, said: str) -> None:
        self._say_verdict("NO PLAN  fit nothing by this screen until there is one", alarm=True)
        self.query_one(PlanPane).show_fault(said)

    def _show_verdict(self, sheet: Sheet) -> None:
        if sheet.stop:
            self._say_verdict(f"STOP  {sheet.headline}", alarm=True)
        else:
            risk = f" · {sheet.risk}" if sheet.risk else ""
            self._say_verdict(f"No stop so far{risk}", alarm=False)

    def _say_verdict(self, text: str, *, alarm: bool) -> None:
        if text != self.verdict:
            self.verdict = text
            verdict = self.query_one("#verdict", Static)
            verdict.set_class(alarm, "-stop")
            room = max(1, verdict.content_size.width)
            verdict.update(text, layout=cell_len(text) > room or verdict.content_size.height != 1)

    @on(PlanPane.WhyWanted)
    def _why(self, event: PlanPane.WhyWanted) -> None:
        planned = self.planned
        if planned is None:
            return
        planner = self.book.planner
        try:
            outcome = planner.run(planned.case)
            whys = [
                one
                for line in event.entry.lines
                for one in why(planner, planned.case, planned.plan, outcome, line.id, line.side)
            ]
            self.app.push_screen(WhyScreen(self.library, event.entry, whys))
        except Exception as error:
            said = write_down("no reasons", error)
            self.notify(f"The reasons cannot be shown. {said}", severity="error", markup=False)

    @on(PlanPane.Answering)
    def _answer(self, event: PlanPane.Answering) -> None:
        planned = self.planned
        if planned is None or planned.questions is None:
            return
        ids = list(dict.fromkeys(question.id for question in planned.questions))
        first = next(q for q in planned.questions if q.id == ids[event.number])
        self.query_one(Form).go_to(first.id, first.side)

    # --- keys ----------------------------------------------------------------------------------------
    def action_find(self) -> None:
        self.query_one(Form).find()

    def action_other_pane(self) -> None:
        beside = self._beside
        self.set_focus(self.query_one(Form).grid if self.focused is beside else beside)

    @property
    def _beside(self) -> BlockPane:
        """What stands beside the form: the sizes where they were asked for, else the plan."""
        sizes = self.query_one(SizePane)
        return sizes if sizes.display else self.query_one(PlanPane)

    def action_pages(self) -> None:
        """The pages on the item or the line one is on."""
        entry = self.query_one(PlanPane).entry if self.focused is self.query_one(PlanPane) else None
        line = self.query_one(Form).grid.line
        if entry is not None:
            about, pages = entry.label, entry.pages
        elif line is not None and self.focused is not self.query_one(PlanPane):
            about, pages = line.term.label, tuple(page for page in (line.term.page,) if page)
        else:
            about, pages = "this", ()
        if not pages:
            self.notify(f"no page is named for {about}; h opens the handbook", markup=False, timeout=4)
        elif len(pages) == 1:
            self._open_page(pages[0])
        else:
            self.app.push_screen(PagesScreen(self.library, about, pages), self._open_page)

    def _open_page(self, page: str | None) -> None:
        if page is not None:
            cast("ToeroomApp", self.app).open_page(page)

    def action_unfold(self) -> None:
        self.query_one(PlanPane).unfold()

    # --- what if, sizes, feet, paper -----------------------------------------------------------------
    def action_what_if(self) -> None:
        """Supposes the line one is on otherwise; from an item of the plan, looks for what would turn it."""

        def suppose(planned: Planned) -> None:
            pane, grid = self.query_one(PlanPane), self.query_one(Form).grid
            entry = pane.entry if self.focused is pane else None
            here = (grid.line.term.id, grid.side) if grid.line is not None else None
            wanted = WhatIfScreen(self.book.planner, planned.case, planned.plan, here, entry)
            self.app.push_screen(wanted)

        self.once_planned(suppose)

    def action_sizes(self) -> None:
        """The sizes in place of the plan, or the plan again."""
        sizes, plan = self.query_one(SizePane), self.query_one(PlanPane)
        in_use = self.focused is self._beside
        sizes.display, plan.display = not sizes.display, sizes.display
        self.set_class(sizes.display, "-sizes")
        self._show_sizes()
        if in_use:
            self.set_focus(self._beside)

    def _show_sizes(self) -> None:
        plan = self.planned.plan if self.planned else None
        stopped = [side for side in SIDES if plan and plan.state("no_fitting_today", side)]
        self.query_one(SizePane).show_case(self.open.case, stopped)

    @on(FormGrid.Moved)
    def _moved(self) -> None:
        """The place of the finding one is on is drawn darker."""
        grid = self.query_one(Form).grid
        place = self.library.places.place_of.get(grid.line.term.id) if grid.line is not None else None
        self.query_one(FeetPane).show_here((place, grid.side) if place else None)

    def action_feet(self) -> None:
        """Both feet and all that is marked on them."""
        feet = self.query_one(FeetPane)
        if feet.feet is not None:
            self.app.push_screen(FeetScreen(feet.feet, feet.here))

    def action_write_plan(self) -> None:
        """Asks where, and writes the plan there."""

        def ask(planned: Planned) -> None:
            hint = "A path: .pdf, .html, .md or .txt; without an ending, a folder for every paper."
            start = f"{planned.case.id}-plan.pdf"
            ask_place(
                self.app, "Write the plan to", start, lambda path: self._paper(planned, path), written, hint
            )

        def written(path: Path) -> None:
            self.notify(f"written: {printable(str(path))}", markup=False, timeout=3)

        self.once_planned(ask)

    def _paper(self, planned: Planned, path: Path) -> str:
        """Writes a plan to `path`, with its questions once they are there; returns what went wrong."""
        from toeroom.plan_file import write_plan

        newest = self.planned if self.planned and self.planned.case == planned.case else planned
        try:
            plan = replace(newest.plan, ask_next=newest.questions or ())
            write_plan(path, newest.case, plan, self.book)
        except BadInput as fault:
            return str(fault)
        return ""

    # --- the case ------------------------------------------------------------------------------------
    def action_about(self) -> None:
        self._ask_about("about-title")

    def _ask_about(self, start: str) -> None:
        asked = AboutScreen(self.open.case, self.keep_aside, start)

        def done(case: Case | None) -> None:
            now = self.open.case
            if case is not None and case != now:
                self.open.change(replace(now, title=case.title, as_of=case.as_of, notes=case.notes))
            self._show_case()
            if asked.to_be_read:
                self.action_read_notes()

        self.app.push_screen(asked, done)

    def action_read_notes(self) -> None:
        """Reads the notes, or has them written where there are none."""
        self.settle()
        if not self.open.case.notes.strip():
            self._ask_about("about-notes")
            return

        def read(case: Case | None) -> None:
            if case is not None and case != self.open.case:
                self.take(case)

        self.app.push_screen(ReadingScreen(self.library, self.open.case), read)

    def take(self, case: Case) -> None:
        """Takes over what `case` states; title, day and notes stay."""
        self.query_one(Form).settle()
        self.open.change(replace(self.open.case, findings=case.findings, measures=case.measures))
        self._show_case()

    def _show_case(self) -> None:
        self.keep_aside()
        self.query_one(Form).show_case(self.open.case)
        self.show_title()
        self.replan()

    def action_undo(self) -> None:
        self._step_back_or_forth(self.open.undo, "nothing to undo")

    def action_redo(self) -> None:
        self._step_back_or_forth(self.open.redo, "nothing to redo")

    def _step_back_or_forth(self, step: Callable[[], bool], otherwise: str) -> None:
        self.query_one(Form).settle()
        if step():
            self._show_case()
        else:
            self.notify(otherwise, markup=False, timeout=2)

    def action_back(self) -> None:
        """Esc: first out of finding, then out of the desk."""
        form = self.query_one(Form)
        if form.finding:
            form.show_all()
        else:
            self.leave(self._gone)

    def _gone(self) -> None:
        self.let_go()
        self.app.pop_screen()
