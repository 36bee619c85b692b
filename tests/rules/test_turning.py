"""What would change: item by item, and which single findings would turn an item."""

from __future__ import annotations

from datetime import date

import pytest

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.rules.turning import turns
from toeroom.rules.whatif import Change, changes, stop_in_words

DAY = date(2026, 11, 25)


def change(before: str, after: str) -> Change:
    return Change("deep_toe_box", "left", "Deep toe box", "build", before, after)


@pytest.mark.parametrize(
    ("before", "after", "kind"),
    [
        ("absent", "advised", "comes in"),
        ("absent", "held_back", "is held back"),
        ("advised", "held_back", "is held back"),
        ("held_back", "advised", "is free again"),
        ("advised", "absent", "goes out"),
        ("held_back", "absent", "goes out"),
        ("advised {'heel_mm': 9}", "advised {'heel_mm': 14}", "other figures"),
        ("held_back {'heel_mm': 9}", "held_back {'heel_mm': 14}", "other figures"),
    ],
)
def test_what_becomes_of_an_item(before: str, after: str, kind: str) -> None:
    assert change(before, after).kind == kind


def test_a_turn_is_what_a_plan_with_the_finding_says(book: Book) -> None:
    case = read_case(book.cases_demo / "bunion-and-numb-feet.yaml", book.vocabulary)
    plan = book.planner.plan(case)
    place = ("extra_width", "left")
    found = turns(book.planner, case, [place])
    assert found[0].id == "bunion"
    assert (found[0].value, found[0].before, found[0].after) == ("no", "advised", "absent")
    for turn in found:
        other = book.planner.plan(case.with_finding(turn.id, turn.side, turn.value))
        line = other.line(*place)
        assert (line.standing if line else "absent") == turn.after
        assert place in {(c.id, c.side) for c in changes(plan, other)}


def test_no_finding_that_turns_an_item_is_missed(book: Book) -> None:
    case = Case("t", DAY, findings={("diabetes", "person"): "yes", ("claw_toes", "left"): "yes"})
    before = book.planner.plain_plan(case)
    place = ("deep_toe_box", "left")
    assert before.line(*place) is not None
    found = {(turn.id, turn.side, turn.value) for turn in turns(book.planner, case, [place])}
    for term_id in book.vocabulary.findings:
        for side in book.vocabulary.sides_of(term_id):
            for value in {"yes", "no"} - {case.finding(term_id, side)}:
                line = book.planner.plain_plan(case.with_finding(term_id, side, value)).line(*place)
                turned = line is None or line.standing != "advised"
                assert turned == ((term_id, side, value) in found)


def test_whether_the_fitting_stops_is_said_only_where_it_changes(book: Book) -> None:
    sound = book.planner.plan(Case("t", DAY))
    wound = book.planner.plan(Case("t", DAY, findings={("open_wound", "left"): "yes"}))
    assert stop_in_words(sound, wound) == "the fitting would stop"
    assert stop_in_words(wound, sound) == "the fitting would go on"
    assert stop_in_words(wound, wound) == ""
