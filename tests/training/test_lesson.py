"""The `training:` part of a case file: what it may hold, and what is refused."""

from __future__ import annotations

import pytest

from toeroom.book import Book
from toeroom.case import case_as_yaml, parse_case
from toeroom.errors import BadInput

CASE = """case: l-1
as_of: 2026-11-25
left: {bunion: yes}
training:
  teaches: "One thing: [this]"
  grade: hard
  title: A woman in sandals
  opening: "She walks in, \\"quickly\\"."
  told: {look: Left shoe off first, shoe: It smells}
  volunteers: [rest_pain@left, fall_history]
  notes: {look: Wait for the second sock}
  say: Not today.
  covers: [deep_toe_box, extra_width]
"""


def test_a_lesson_is_read_and_written_back_to_the_same(book: Book) -> None:
    case = parse_case(CASE, book.vocabulary)
    assert case.lesson.told == {"look": "Left shoe off first", "shoe": "It smells"}
    assert case.lesson.volunteers == (("rest_pain", "left"), ("fall_history", "person"))
    assert case.lesson.covers == ("deep_toe_box", "extra_width")
    assert (case.teaches, case.grade) == ("One thing: [this]", "hard")
    assert parse_case(case_as_yaml(case, book.vocabulary), book.vocabulary) == case


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("grade: hard", "grade: tricky", 6, "cannot be 'tricky'"),
        ("told: {look", "told: {lok", 9, "did you mean 'look'"),
        ("volunteers: [rest_pain@left", "volunteers: [rest_pian@left", 10, "did you mean 'rest_pain'"),
        ("rest_pain@left, fall_history", "fall_history@left", 10, "does not stand on 'left'"),
        ("covers: [deep_toe_box", "covers: [deep_toebox", 13, "did you mean 'deep_toe_box'"),
        ("covers: [deep_toe_box, extra_width]", "covers: deep_toe_box", 13, "a list of words"),
        ("say: Not today.", "says: Not today.", 12, "did you mean 'say'"),
        ("say: Not today.", "say: [Not today]", 12, "must be text"),
    ],
)
def test_what_is_not_understood_is_refused_with_its_line(
    book: Book, old: str, new: str, line: int, said: str
) -> None:
    assert old in CASE
    with pytest.raises(BadInput, match=said) as caught:
        parse_case(CASE.replace(old, new), book.vocabulary, name="l.yaml")
    assert caught.value.line == line
