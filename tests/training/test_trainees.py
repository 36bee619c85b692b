"""Scripted trainees over all cases: their scores are ordered as they must be."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.training.trainees import at_random, careless, perfect, reckless, walked
from toeroom.book import Book
from toeroom.case import read_case
from toeroom.training.walk import Walk

CASES = sorted((ROOT / "cases_demo").glob("*.yaml"))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_better_the_trainee_the_better_the_score(book: Book, path: Path) -> None:
    case = read_case(path, book.vocabulary)
    best, forgets, harms = (walked(book.planner, case, trainee) for trainee in (perfect, careless, reckless))
    assert best.score == 100
    assert 0 <= forgets.score < best.score
    assert harms.score < forgets.score
    if any(step.moment.stopped for step in harms.steps):
        assert harms.tally.harm > 0
        assert harms.score < 0
    assert forgets.tally.harm == 0
    thrown = walked(book.planner, case, at_random("one"))
    assert thrown.score < best.score
    assert thrown.as_json() == walked(book.planner, case, at_random("one")).as_json()


def test_nothing_unasked_is_held_against_who_stopped_in_time(book: Book) -> None:
    case = read_case(ROOT / "cases_demo/hot-swollen-foot.yaml", book.vocabulary)
    walk = walked(book.planner, case, perfect)
    assert walk.closed
    assert [step.stage.id for step in walk.steps] == ["referral", "look"]
    assert walk.steps[-1].left == ()


def test_ending_early_leaves_all_that_comes_later_unasked(book: Book) -> None:
    from toeroom.training.decisions import Decision

    case = read_case(ROOT / "cases_demo/bunion-and-numb-feet.yaml", book.vocabulary)
    walk = Walk(book.planner, case)
    step = walk.decide(Decision(), end=True)
    assert walk.closed
    assert {"open_wound", "rest_pain"} & {term.id for term, _ in step.left}
    assert walk.tally.asked_share == 0
