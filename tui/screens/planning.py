"""A screen with an open case whose plan follows every change of it, worked out aside."""

from __future__ import annotations

import gc
from collections.abc import Callable

from textual import on, work
from textual.message import Message

from toeroom.case import Case
from toeroom.errors import EnginesDiffer, one_line
from tui.library import Library
from tui.log import write_down
from tui.open_case import OpenCase
from tui.replanning import Planned, Replanner
from tui.screens.saving import SavingScreen


class PlanningScreen(SavingScreen):
    """Has the newest plan in `planned`: None until there is one, and where none could be made."""

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
        super().__init__(library, opened)
        self.replanner = Replanner(library)
        self.planned: Planned | None = None
        self.waiting: Callable[[Planned], None] | None = None

    # --- for who builds on it ------------------------------------------------------------------------
    def show_plan(self, planned: Planned) -> None:
        """Shows the newest plan."""
        raise NotImplementedError

    def show_no_plan(self, said: str) -> None:
        """Shows why there is no plan; an old one is not left standing."""
        raise NotImplementedError

    def replan(self) -> None:
        """Works out the plan of the case as it is now."""
        self._work_out(self.open.case, self.replanner.wish())

    def once_planned(self, then: Callable[[Planned], None]) -> None:
        """Does `then` with the plan of the case as it is now: at once, or as soon as that is there."""
        self.settle()
        if self.planned is not None and self.planned.case == self.open.case:
            then(self.planned)
        else:
            self.waiting = then

    # --- working it out ------------------------------------------------------------------------------
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
        self.planned = event.planned
        self.show_plan(event.planned)
        waiting, self.waiting = self.waiting, None
        if waiting is not None and self.is_current:
            waiting(event.planned)

    @on(PlanFailed)
    def _failed(self, event: PlanFailed) -> None:
        if self.replanner.current(event.number):
            self.planned = self.waiting = None
            self.show_no_plan(one_line(event.said))
