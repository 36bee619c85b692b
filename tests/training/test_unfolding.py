"""What comes to light when, what may be asked, and finding what is meant."""

from __future__ import annotations

import pytest

from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.errors import BadInput
from toeroom.training.decisions import Decision
from toeroom.training.finding import meant
from toeroom.training.stages import STAGES, stage_of, stateable, terms_of_stage
from toeroom.training.walk import Walk

CASE = """case: u-1
as_of: 2026-11-25
person: {diabetes: yes}
left: {wound_on_sole: yes, bunion: yes, pulses_absent: no}
measures: {left: {filament_sites_missed: 3}}
dates: {physician_visit: 2026-09-01}
training: {volunteers: [pulses_absent@left]}
"""


@pytest.fixture
def walk(book: Book) -> Walk:
    return Walk(book.planner, parse_case(CASE, book.vocabulary))


def test_every_term_of_the_book_is_met_at_one_stage(book: Book) -> None:
    met = [term.id for index in range(len(STAGES)) for term in terms_of_stage(book.vocabulary, index)]
    assert sorted(met) == sorted(stateable(book.vocabulary))


def test_the_shape_lies_open_and_the_skin_does_not(walk: Walk) -> None:
    assert walk.known.findings == {("diabetes", "person"): "yes"}
    walk.decide(Decision())
    assert walk.known.findings == {("diabetes", "person"): "yes", ("bunion", "left"): "yes"}
    walk.decide(Decision())
    assert walk.known.finding("pulses_absent", "left") == "no"
    assert not walk.known.dates


def test_what_a_case_says_without_stating_it_is_answered(walk: Walk) -> None:
    walk.decide(Decision())
    assert [(f.side, f.value) for f in walk.ask("open_wound")] == [("left", "yes"), ("right", "unknown")]
    walk.decide(Decision())
    assert walk.ask("sensation_lost")[0].value == "yes"
    assert walk.known.finding("open_wound", "left") == "yes"


def test_what_is_unknown_stays_so_and_costs_a_step_all_the_same(walk: Walk) -> None:
    walk.decide(Decision())
    assert {f.value for f in walk.ask("blister")} == {"unknown"}
    assert ("blister", "left") not in walk.known.findings
    assert len(walk.asked) == 1


@pytest.mark.parametrize(
    ("term_id", "said"),
    [
        ("open_wound", "comes later"),
        ("kidney_failure", "nothing here tells of"),
        ("diabetes", "is known already"),
        ("wombat", "is not known here"),
    ],
)
def test_what_cannot_be_asked_now_is_said(walk: Walk, term_id: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        walk.ask(term_id)


def test_a_walk_ends_once(walk: Walk) -> None:
    for _ in STAGES:
        walk.decide(Decision())
    assert walk.closed
    for act in (lambda: walk.decide(Decision()), lambda: walk.ask("open_wound")):
        with pytest.raises(BadInput, match="this walk is over"):
            act()


@pytest.mark.parametrize(
    ("text", "first", "alone"),
    [
        ("open wound", "open_wound", True),
        ("OPEN_WOUND", "open_wound", True),
        ("gangrene", "black_tissue", True),
        ("callus", "callus", True),
        ("callus on a toe tip", "toe_tip_callus", True),
        ("toe", "overlapping_toe", False),
        ("zzz", "", False),
        ("  ", "", False),
    ],
)
def test_some_words_find_what_is_meant(book: Book, text: str, first: str, alone: bool) -> None:
    found = meant(book.vocabulary.findings.values(), text)
    assert (found[0].id if found else "") == first
    assert (len(found) == 1) == alone


def test_a_term_of_a_group_of_ones_own_is_met_last(book: Book) -> None:
    from dataclasses import replace

    assert stage_of(replace(book.vocabulary.findings["callus"], group="gait")) == len(STAGES) - 1
