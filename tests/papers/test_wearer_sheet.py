"""The wearer's sheet is read by who never went far in school, and says no more than the plan."""

from __future__ import annotations

from itertools import takewhile

from tests.papers.conftest import demo_paper
from tests.papers.reading import markdown_lines
from toeroom.book import Book
from toeroom.handbook.reading_grade import grade_of
from toeroom.papers.templates import folders
from toeroom.papers.words import read_words

GRADE = 6.0


def test_its_reading_grade_stays_at_or_under_six(name: str) -> None:
    lines = list(takewhile(lambda line: line != "Mind", markdown_lines(demo_paper(name, "wearer-sheet"))))
    assert len(lines) > 10
    assert grade_of(lines) <= GRADE


def test_no_single_thing_said_is_hard(book: Book) -> None:
    words = read_words(folders(book.folder, None), book.vocabulary)
    said = {item: w.wearer.replace("{foot}", "your left foot") for item, w in words.items() if w.wearer}
    assert len(said) > 30
    assert {item: grade_of([text]) for item, text in said.items() if grade_of([text]) > GRADE + 1} == {}


def test_all_that_is_asked_of_the_wearer_has_words(book: Book) -> None:
    words = read_words(folders(book.folder, None), book.vocabulary)
    items = book.vocabulary.plan_items.values()
    asked = [item.id for item in items if item.by == "wearer" or item.section == "stop" or item.with_stop]
    assert [item for item in asked if not (item in words and words[item].wearer)] == []


def test_every_referral_says_to_whom_and_how_fast(book: Book) -> None:
    words = read_words(folders(book.folder, None), book.vocabulary)
    stops = book.vocabulary.of_section("stop")
    assert [i for i in stops if not (words[i].to and words[i].urgency)] == []
