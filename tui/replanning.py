"""The plan that follows the typing: worked out in threads, the last wish wins."""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass

from toeroom.case import Case
from toeroom.foot_places import MarkedFeet, marked_feet
from toeroom.plan import Plan, Question
from toeroom.rules.asking import ask_next
from toeroom.sheet import Asked, Sheet, asked, make_sheet
from tui.library import Library

PAUSE_BEFORE_ASKING = 0.06
"""Seconds. Questions cost ten times a plan; while someone types on, they are not worked out."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan, its sheet and where the findings lie. `questions` and `asked` are None until worked out."""

    case: Case
    plan: Plan
    sheet: Sheet
    feet: MarkedFeet
    questions: tuple[Question, ...] | None = None
    asked: tuple[Asked, ...] | None = None


class Replanner:
    """Works out plans by a book. Threads may call it; a wish that a later one has overtaken is dropped."""

    def __init__(self, library: Library) -> None:
        self.library, self.book = library, library.book
        self._numbers = itertools.count(1)
        self._latest = 0
        self._planning, self._asking = threading.Lock(), threading.Lock()

    def wish(self) -> int:
        """A number for a new wish, which overtakes all before it."""
        self._latest = next(self._numbers)
        return self._latest

    def current(self, number: int) -> bool:
        """Whether no later wish has come."""
        return number == self._latest

    def work(self, case: Case, number: int) -> Iterator[Planned]:
        """The plan, as soon as it is there; then the same with its questions."""
        planner, vocabulary = self.book.planner, self.book.vocabulary
        with self._planning:
            if not self.current(number):
                return
            plan = planner.plan(case)
        sheet = make_sheet(plan, vocabulary)
        feet = marked_feet(case, planner.run(case).findings, plan, self.library.places, vocabulary)
        yield Planned(case, plan, sheet, feet)
        time.sleep(PAUSE_BEFORE_ASKING)
        with self._asking:
            if not self.current(number):
                return
            questions = ask_next(planner, case)
        yield Planned(case, plan, sheet, feet, questions, asked(questions))
