"""The drawing of both feet: what is marked, in which order, and where."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.case import Case
from toeroom.errors import BookFault
from toeroom.foot_places import PLACES, WHOLE, FootPlaces, MarkedFeet, legend, marked_feet, read_places
from toeroom.pictures.two_feet import ACROSS, DOWN, LEFT_FOOT, LETTERS, SLOTS, WIDE, feet_cells, feet_lines
from toeroom.pictures.two_feet_svg import two_feet_svg
from toeroom.vocabulary import SIDES

DAY = date(2026, 11, 25)


def feet_of(book: Book, *yes: tuple[str, str]) -> MarkedFeet:
    case = Case("t", DAY, findings=dict.fromkeys(yes, "yes"))
    findings = book.planner.run(case).findings
    return marked_feet(case, findings, book.planner.plan(case), book.places, book.vocabulary)


def test_what_stops_comes_first_and_says_so(book: Book) -> None:
    feet = feet_of(book, ("bunion", "left"), ("sensation_lost", "left"), ("open_wound", "right"))
    assert [mark.id for mark in feet.marks] == ["open_wound", "sensation_lost", "bunion"]
    assert legend(feet)[0] == " 1  STOP  Open wound, right"
    assert legend(feet)[2] == " 3  Bunion, left: bunion side"


def test_no_and_unknown_are_not_marked(book: Book) -> None:
    case = Case("t", DAY, findings={("bunion", "left"): "no", ("callus", "left"): "unknown"})
    feet = marked_feet(case, case.findings, book.planner.plan(case), book.places, book.vocabulary)
    assert feet.marks == ()
    assert feet_lines(feet)[-1] == "Nothing to mark yet."


def test_the_right_foot_is_the_mirror_of_the_left(book: Book) -> None:
    drawn = feet_lines(feet_of(book, ("bunion", "left"), ("bunion", "right")))[1 : DOWN + 1]
    for row in (line.ljust(WIDE) for line in drawn):
        assert row[:ACROSS] == row[: -ACROSS - 1 : -1]


def test_a_number_stands_on_its_place() -> None:
    for place, slots in SLOTS.items():
        for row, column in slots:
            assert LETTERS[LEFT_FOOT[row][column]] == place


def test_every_place_of_the_file_is_drawn_or_stands_beneath(book: Book) -> None:
    assert set(SLOTS) | {WHOLE} == set(PLACES)
    assert set(book.places.place_of.values()) <= set(SLOTS)
    # Most of what can be stated of a foot has a place of its own or is the whole foot's.
    assert set(book.places.worst_first) <= set(book.vocabulary.findings)


def test_a_missing_foot_is_not_drawn(book: Book) -> None:
    feet = feet_of(book, ("leg_amputated", "right"), ("bunion", "left"), ("bunion", "right"))
    assert feet.sides == ("left",)
    assert all(mark.sides == ("left",) for mark in feet.marks)
    assert "no foot" in "\n".join(feet_lines(feet))
    assert "no foot" in two_feet_svg(feet)


def test_the_place_one_is_on_is_drawn_otherwise(book: Book) -> None:
    rows = feet_cells(feet_of(book), ("heel", "right"))
    dark = "".join(piece.text for row in rows for piece in row if piece.look == "here")
    assert set(dark) == {"▓"}
    assert len(dark) == sum(line.count("h") for line in LEFT_FOOT)


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_whatever_is_stated_the_grid_keeps_its_shape(book: Book, data: st.DataObject) -> None:
    foot = [i for i, term in book.vocabulary.findings.items() if term.scope == "foot"]
    stated = data.draw(st.sets(st.tuples(st.sampled_from(foot), st.sampled_from(SIDES)), max_size=60))
    case = Case("t", DAY, findings=dict.fromkeys(stated, "yes"))
    feet = marked_feet(case, case.findings, book.planner.plain_plan(case), book.places, book.vocabulary)
    rows = ["".join(piece.text for piece in row) for row in feet_cells(feet)]
    assert {len(row) for row in rows} == {WIDE}
    assert [mark.number for mark in feet.marks] == list(range(1, len(feet.marks) + 1))
    root = ElementTree.fromstring(two_feet_svg(feet))
    assert float(root.attrib["height"]) > 0


def test_a_stop_is_told_from_the_rest_without_colour_on_paper(book: Book) -> None:
    assert two_feet_svg(feet_of(book, ("open_wound", "left"))).count("url(#hatch)") == 1
    assert two_feet_svg(feet_of(book, ("bunion", "left"))).count("url(#hatch)") == 0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("heal: [bunion]", "did you mean 'heel'"),
        ("heel: [bunyon]", "did you mean 'bunion'"),
        ("heel: [diabetes]", "no finding of a foot"),
        ("heel: [bunion]\nball: [bunion]", "has a place already"),
    ],
)
def test_a_fault_in_the_file_is_named(book: Book, tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "places.yaml"
    path.write_text(text)
    with pytest.raises(BookFault, match=said):
        read_places(path, book.vocabulary)


def test_a_book_without_the_file_has_no_places(book: Book, tmp_path: Path) -> None:
    assert read_places(tmp_path / "places.yaml", book.vocabulary) == FootPlaces()
