"""The plan that follows the typing: worked out in threads, the last wish wins."""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass

from toeroom.book import Book
from toeroom.case import Case
from toeroom.plan import Plan, Question
from toeroom.rules.asking import ask_next
from toeroom.sheet import Asked, Sheet, asked, make_sheet

PAUSE_BEFORE_ASKING = 0.06
"""Seconds. Questions cost ten times a plan; while someone types on, they are not worked out."""


@dataclass(frozen=True, slots=True)
class Planned:
    """A plan and its sheet. `questions` and `asked` are None until they have been worked out."""

    case: Case
    plan: Plan
    sheet: Sheet
    questions: tuple[Question, ...] | None = None
    asked: tuple[Asked, ...] | None = None


class Replanner:
    """Works out plans of one book. Threads may call it; a wish that a later one has overtaken is dropped."""

    def __init__(self, book: Book) -> None:
        self.book = book
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
        yield Planned(case, plan, sheet)
        time.sleep(PAUSE_BEFORE_ASKING)
        with self._asking:
            if not self.current(number):
                return
            questions = ask_next(planner, case)
        yield Planned(case, plan, sheet, questions, asked(questions))
