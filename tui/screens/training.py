"""Training: the cases to walk through, how each stands, and which comes next."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.training.journal import Recorded, sessions_folder, trainee_code
from toeroom.training.library import demo_cases
from toeroom.training.progress import ASKING, Progress, next_case, progress
from toeroom.training.session import Session, now, recorded_sessions
from toeroom.training.variants import variant
from toeroom.wording import SECTION_TITLES, printable
from tui.library import Library
from tui.screens.prompt import PromptScreen
from tui.screens.walk import WalkScreen
from tui.widgets.headings import heading
from tui.widgets.keys_line import KeysLine
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp


class TrainingList(OptionList):
    """The cases, the key that begins one named."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "select", "begin")]


class TrainingScreen(Screen[None]):
    """A list of training cases. What is not finished is gone on with."""

    CSS_PATH = "training.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n,ctrl+n", "next", "next case"),
        Binding("v", "variant", "a variant"),
        Binding("c", "code", "trainee"),
        Binding("escape", "leave", "leave"),
    ]
    HELP = """Training

Cases that unfold as a fitting does. You decide at each stage, and
are told at the end.
  arrows, Enter   choose a case and begin, or go on with it
  n  or ctrl+n    the case that comes next: due again, or new
  v               the case varied, so that it is not known by heart
  c               trainee code: letters and a digit, never a name
Every step is kept at once; Esc leaves and nothing is lost."""

    def __init__(self, library: Library) -> None:
        super().__init__()
        self.library = library
        self._take_book()
        self.trainee = ""
        self.own: Progress | None = None
        self.unfinished: dict[str, Recorded] = {}

    def _take_book(self) -> None:
        self.book = self.library.book
        self.cases: dict[str, Case] = {case.id: case for case in demo_cases(self.book)}

    async def turn_to_book(self) -> None:
        """Lists the cases of the book there is now; a walk that is open turns to it by itself."""
        self._take_book()
        self.on_screen_resume()

    def compose(self) -> ComposeResult:
        yield TitleBar()
        with Horizontal(id="training"):
            yield TrainingList(id="training-list")
            with VerticalScroll(id="training-beside", can_focus=False):
                yield Static(id="training-told", markup=False)
        yield KeysLine()

    def on_mount(self) -> None:
        self.query_one(TrainingList).focus()

    def on_screen_resume(self) -> None:
        """What was walked in the meantime is looked at anew."""
        try:
            recorded = tuple(recorded_sessions(sessions_folder()))
        except BadInput as fault:
            self.notify(str(fault), severity="error", markup=False)
            recorded = ()
        self.own = progress(recorded, self.trainee, now()) if self.trainee else None
        open_ones = [one for one in recorded if one.result is None and one.trainee == self.trainee]
        self.unfinished = {one.of: one for one in open_ones}
        self._fill()

    def _fill(self) -> None:
        listed = self.query_one(TrainingList)
        at = listed.highlighted or 1
        listed.clear_options()
        for grade, cases in itertools.groupby(self.cases.values(), key=lambda case: case.grade):
            listed.add_option(heading(grade))
            listed.add_options(Option(self._told(case), id=case.id) for case in cases)
        if listed.option_count:
            listed.highlighted = min(at, listed.option_count - 1)
        weak = (
            [SECTION_TITLES.get(t, t).lower() if t != ASKING else t for t in self.own.weak]
            if self.own
            else []
        )
        more = f"weak: {', '.join(weak)}" if weak else ""
        self.query_one(TitleBar).show(
            "Training", more, f"trainee {self.trainee}" if self.trainee else "no code"
        )

    def _told(self, case: Case) -> Content:
        standing = self.own.standings.get(case.id) if self.own else None
        facts = ["not finished"] if case.id in self.unfinished else []
        if standing:
            facts += [f"last {standing.last}", f"due {standing.due:%Y-%m-%d}"]
        title = printable(case.lesson.title) or case.id
        return Content.assemble(f"  {title}", (f"  {' · '.join(facts)}", "$quiet"))

    @property
    def chosen(self) -> Case | None:
        """The case that is highlighted."""
        listed = self.query_one(TrainingList)
        if listed.highlighted is None:
            return None
        return self.cases.get(listed.get_option_at_index(listed.highlighted).id or "")

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        case = self.cases.get(event.option_id or "")
        if case is not None:
            self.query_one("#training-told", Static).update(printable(case.lesson.opening))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        case = self.cases.get(event.option_id or "")
        if case is None:
            return
        recorded = self.unfinished.pop(case.id, None)
        if recorded is None:
            self._begin(case, 0)
        else:
            # Where it cannot be gone on with, Enter once more begins anew.
            self._walk(lambda: Session.resume(self.book.planner, recorded))

    def _begin(self, case: Case, seed: int) -> None:
        planner = self.book.planner
        varied = variant(planner, case, seed)
        self._walk(
            lambda: Session.begin(planner, varied, sessions_folder(), trainee=self.trainee, of=case.id)
        )

    def _walk(self, opened: Callable[[], Session]) -> None:
        try:
            session = opened()
        except BadInput as fault:
            self.notify(str(fault), severity="error", markup=False)
            return
        self.app.push_screen(WalkScreen(self.library, session))

    # --- keys --------------------------------------------------------------------------------------
    def action_next(self) -> None:
        """The case that spaced repetition puts next; without a code, the first of the list."""
        if not self.cases:
            return
        at = now()
        own = self.own or Progress("", (), {}, {})
        found = next_case(own, tuple(self.cases.values()), self.book.vocabulary, at)
        self._begin(found.case, found.variant)

    def action_variant(self) -> None:
        """A variant that this trainee has not walked yet."""
        case = self.chosen
        if case is not None:
            standing = self.own.standings.get(case.id) if self.own else None
            self._begin(case, standing.times if standing else 1)

    def action_code(self) -> None:
        def check(text: str) -> str:
            try:
                return "" if not text else trainee_code(text) and ""
            except BadInput as fault:
                return f"{fault.what}; {fault.mend}"

        def done(text: str | None) -> None:
            if text is not None:
                self.trainee = text
                self.on_screen_resume()

        hint = "Letters and a digit, as T07; never a name. Empty: nothing is counted."
        self.app.push_screen(PromptScreen("Trainee code", hint, self.trainee, check), done)

    def action_leave(self) -> None:
        cast("ToeroomApp", self.app).leave_place()
