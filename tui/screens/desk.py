"""The case desk: what was found on both feet, and beside it the plan that follows."""

from __future__ import annotations

import gc
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from rich.cells import cell_len
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, Static

from toeroom.case import Case
from toeroom.errors import BadInput, EnginesDiffer, one_line
from toeroom.rules.whys import why
from toeroom.sheet import Sheet
from toeroom.wording import printable
from tui.library import Library
from tui.log import write_down
from tui.naming import ask_place
from tui.open_case import OpenCase
from tui.replanning import Planned, Replanner
from tui.screens.about import AboutScreen
from tui.screens.leaving import LeavingScreen
from tui.screens.pages import PagesScreen
from tui.screens.why import WhyScreen
from tui.widgets.form import Form
from tui.widgets.plan_pane import PlanPane
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp


class DeskScreen(Screen[None]):
    """A case open on the desk."""

    CSS_PATH = "desk.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (104, "-wide")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash,ctrl+f", "find", "find", key_display="/"),
        Binding("tab", "other_pane", "plan", key_display="Tab"),
        Binding("shift+tab", "other_pane", show=False),
        Binding("p,ctrl+p", "pages", "page", key_display="p"),
        Binding("f4", "unfold", "more / less", show=False),
        Binding("f5", "about", "title, notes", show=False),
        Binding("ctrl+z", "undo", "undo", show=False),
        Binding("ctrl+r", "redo", "redo", show=False),
        Binding("ctrl+s", "save", "save", key_display="^s"),
        Binding("f8", "save_as", "save as", show=False),
        Binding("escape", "back", "back", key_display="Esc"),
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

The handbook and Ask
  p or ctrl+p     the page on the line or item you are on; Esc there
                  comes back to it
  a or F3         ask about this case

The case
  F5              title, day, notes
  ctrl+z, ctrl+r  undo; redo
  ctrl+s          save; F8 under another name
  Esc             back to the cases; asks if something is not saved"""

    class PlanCame(Message):
        """A plan, for the wish with this number."""

        def __init__(self, number: int, planned: Planned) -> None:
            super().__init__()
            self.number, self.planned = number, planned

    class PlanFailed(Message):
        """No plan, for the wish with this number."""

        def __init__(self, number: int, said: str) -> None:
            super().__init__()
            self.number, self.said = number, said

    def __init__(self, library: Library, opened: OpenCase) -> None:
        super().__init__()
        self.library, self.book, self.open = library, library.book, opened
        self.replanner = Replanner(self.book)
        self.planned: Planned | None = None
        self.verdict = ""

    def compose(self) -> ComposeResult:
        yield TitleBar()
        yield Static(id="verdict", markup=False)
        with Container(id="body"):
            yield Form(self.book.vocabulary, self.open.case, self._changed, look_id="form")
            yield PlanPane(look_id="plan")
        yield Footer()

    def on_mount(self) -> None:
        self.set_focus(self.query_one(Form).grid)
        self._show_title()
        self._replan()

    def _show_title(self) -> None:
        state = "not saved" if self.open.unsaved else ""
        self.query_one(TitleBar).show(self.open.case.id, self.open.case.title, state)

    # --- the plan ----------------------------------------------------------------------------------
    def _changed(self, case: Case) -> None:
        self.open.change(case)
        self._show_title()
        self._replan()

    def _replan(self) -> None:
        self._work_out(self.open.case, self.replanner.wish())

    @work(thread=True, group="plan", exit_on_error=False)
    def _work_out(self, case: Case, number: int) -> None:
        # Whatever goes wrong here is shown where the plan would be; the case stays open.
        try:
            for planned in self.replanner.work(case, number):
                self.post_message(self.PlanCame(number, planned))
        except EnginesDiffer as difference:
            said = f"{difference}. {write_down('engines differ', difference)}"
            self.post_message(self.PlanFailed(number, said))
        except Exception as error:
            said = f"it could not be worked out ({type(error).__name__}). {write_down('no plan', error)}"
            self.post_message(self.PlanFailed(number, said))

    @on(PlanCame)
    def _came(self, event: PlanCame) -> None:
        if not self.replanner.current(event.number):
            return
        if self.planned is None:
            # The engines are there now, and stay.
            gc.freeze()
        planned = self.planned = event.planned
        self._show_verdict(planned.sheet)
        self.query_one(PlanPane).show_sheet(planned.sheet, asked=planned.asked)
        if planned.questions is not None:
            self.query_one(Form).mark_asked([(q.id, q.side) for q in planned.questions])

    @on(PlanFailed)
    def _failed(self, event: PlanFailed) -> None:
        if not self.replanner.current(event.number):
            return
        self.planned = None
        self._say_verdict("NO PLAN  fit nothing by this screen until there is one", alarm=True)
        self.query_one(PlanPane).show_fault(one_line(event.said))

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
        plan = self.query_one(PlanPane)
        self.set_focus(self.query_one(Form).grid if self.focused is plan else plan)

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

    def action_about(self) -> None:
        def done(case: Case | None) -> None:
            if case is not None and case != self.open.case:
                now = self.open.case
                self.open.change(replace(now, title=case.title, as_of=case.as_of, notes=case.notes))
                self._show_case()

        self.app.push_screen(AboutScreen(self.open.case), done)

    def take(self, case: Case) -> None:
        """Takes over what `case` states; title, day and notes stay."""
        self.query_one(Form).settle()
        self.open.change(replace(self.open.case, findings=case.findings, measures=case.measures))
        self._show_case()

    def _show_case(self) -> None:
        self.query_one(Form).show_case(self.open.case)
        self._show_title()
        self._replan()

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
            self.leave(lambda: self.app.pop_screen())

    def leave(self, then: Callable[[], object]) -> None:
        """Does `then`; where something is not saved, asks first."""
        self.query_one(Form).settle()
        if not self.open.unsaved:
            then()
            return

        def answered(answer: str | None) -> None:
            if answer == "save":
                self._save(then)
            elif answer == "drop":
                then()

        self.app.push_screen(LeavingScreen(self.open.case.id), answered)

    # --- saving --------------------------------------------------------------------------------------
    def action_save(self) -> None:
        self._save()

    def action_save_as(self) -> None:
        self.query_one(Form).settle()
        self._ask_where(None)

    def _save(self, then: Callable[[], object] | None = None) -> None:
        self.query_one(Form).settle()
        if self.open.path is None:
            self._ask_where(then)
            return
        fault = self._write(self.open.path)
        if fault:
            self.notify(fault, severity="error", markup=False, timeout=10)
        else:
            self._saved(then)

    def _write(self, path: Path) -> str:
        """Saves to `path`; returns what went wrong, or nothing."""
        try:
            self.open.save(path, self.book.vocabulary)
        except BadInput as fault:
            return str(fault)
        return ""

    def _saved(self, then: Callable[[], object] | None) -> None:
        self._show_title()
        self.notify(f"saved: {printable(str(self.open.path))}", markup=False, timeout=3)
        if then is not None:
            then()

    def _ask_where(self, then: Callable[[], object] | None) -> None:
        start = str(self.open.path or f"{self.open.case.id}.yaml")
        ask_place(self.app, "Save the case in", start, self._write, lambda path: self._saved(then))
