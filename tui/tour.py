"""The tour: what a newcomer tries first, on a case to try it on. Each step waits for the person's own key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from textual.timer import Timer

from toeroom.case import Case
from tui.first_time import mark_seen
from tui.open_case import OpenCase
from tui.screens.ask import AskScreen
from tui.screens.desk import DeskScreen
from tui.screens.handbook import HandbookScreen
from tui.screens.why import WhyScreen
from tui.widgets.form import Form
from tui.widgets.plan_pane import PlanPane
from tui.widgets.title_bar import TitleBar
from tui.widgets.tour_note import TourNote

if TYPE_CHECKING:
    from tui.app import ToeroomApp

GLANCE = 0.1
"""Seconds between two looks at whether the step has been done."""
FOUND = "open_wound"


class Lent(OpenCase):
    """A case to try things on: nothing of it is to be saved."""

    @property
    def unsaved(self) -> bool:
        return False


@dataclass(frozen=True, slots=True)
class Step:
    """What is said, the key that is waited for, and whether it has been pressed, by what has come of it."""

    says: str
    press: str
    done: Callable[[Tour], bool]


class Tour:
    """The tour under way, on a desk of its own that goes with it."""

    def __init__(self, app: ToeroomApp, ended: Callable[[], None]) -> None:
        self.app, self.ended = app, ended
        self.at = 0
        self.desk = DeskScreen(app.library, self._lent())
        self.note = TourNote()
        self.timer: Timer | None = None

    def _lent(self) -> OpenCase:
        cases = [case for _, case in self.app.library.cases if not _states_it(case)]
        case = min(cases, key=lambda case: case.grade != "simple", default=Case("tour", date.today()))
        return Lent(case, None, case)

    @property
    def step(self) -> Step:
        return STEPS[self.at]

    @property
    def last(self) -> bool:
        """Whether only the end is left."""
        return self.at == len(STEPS) - 1

    def begin(self) -> None:
        """Opens the desk and says the first step."""
        mark_seen()
        self.app.action_place("cases")
        self.app.push_screen(self.desk)
        self.timer = self.app.set_interval(GLANCE, self._glance)

    def _glance(self) -> None:
        """Goes on when the step is done; the note comes along into another place."""
        if not self.app.screen.is_mounted:
            return
        if self.step.done(self):
            self.at += 1
        if not self.note.is_attached or self.note.screen is not self.app.screen:
            self.note.remove()
            self.note = TourNote()
            bars = self.app.screen.query_children(TitleBar)
            self.app.screen.mount(self.note, after=bars.first() if bars else None)
        self.note.show(self.step.says, self.step.press, self.at + 1, len(STEPS))

    def end(self) -> None:
        """Takes note and desk away; what was open before is as it was."""
        if self.timer is not None:
            self.timer.stop()
        self.note.remove()
        self.app.action_place("cases")
        while self.desk in self.app.screen_stack:
            self.app.pop_screen()
        self.ended()

    # --- what has come of a key --------------------------------------------------------------------
    @property
    def moved(self) -> bool:
        """Whether the first line of the form has been left."""
        return any(form.grid.cursor > 1 for form in self.desk.query(Form))

    @property
    def line(self) -> str:
        """The id of the line of the form one is on; '' where one is not in the form."""
        grids = [form.grid for form in self.desk.query(Form) if self.desk.focused is form.grid]
        return grids[0].line.term.id if grids and grids[0].line is not None else ""

    @property
    def in_plan(self) -> bool:
        """Whether one is in the plan."""
        return isinstance(self.desk.focused, PlanPane)

    @property
    def wound(self) -> bool:
        """Whether the case states an open wound."""
        return _states_it(self.desk.open.case)

    def on(self, place: type[object]) -> bool:
        """Whether one is in a place of this kind, or on the desk of the tour where that is asked."""
        return self.app.screen is self.desk if place is DeskScreen else isinstance(self.app.screen, place)


def _states_it(case: Case) -> bool:
    return any(term == FOUND and value == "yes" for (term, _), value in case.findings.items())


STEPS = (
    Step(
        "An invented case lies on the desk: what was found on both feet, and the plan that follows from it."
        " A dot means that nothing is stated. That is never a no.",
        "Press ↓ a few times: line by line through the form.",
        lambda tour: tour.moved,
    ),
    Step(
        "No need to look for a line: find it by part of its name.",
        "Press /, type open wound, press Enter.",
        lambda tour: tour.line == FOUND,
    ),
    Step(
        "y, n and u state yes, no and unknown on the foot chosen; ← and → choose the foot.",
        "Press y.",
        lambda tour: tour.wound,
    ),
    Step(
        "STOP stands above everything: what to do, say and write down comes first, the shoes are held back.",
        "Press ctrl+z: it is taken back.",
        lambda tour: not tour.wound,
    ),
    Step("The plan can be gone through as well.", "Press Tab: to the plan.", lambda tour: tour.in_plan),
    Step(
        "Every item says why it is there.",
        "Press ↓ past the questions to an item, then w.",
        lambda tour: tour.on(WhyScreen),
    ),
    Step(
        "Each rule that spoke, what it found on this foot, and its source.",
        "Press w again: back to the plan.",
        lambda tour: tour.on(DeskScreen),
    ),
    Step(
        "Beside the rules stands a handbook, searched in your own words.",
        "Press h.",
        lambda tour: tour.on(HandbookScreen),
    ),
    Step(
        "What is open in one place stays open while you are in another.",
        "Press F6: back to the case.",
        lambda tour: tour.on(DeskScreen),
    ),
    Step(
        "In Ask you say what you see, as to a colleague, and correct what was understood.",
        "Press a.",
        lambda tour: tour.on(AskScreen),
    ),
    Step(
        "That is all you need to begin. F1 names the keys of the place you are in; F1 and then t shows this"
        " again. toeroom informs; you, the clinician and local rules decide.",
        "Press Enter: to your own cases.",
        lambda tour: False,
    ),
)
