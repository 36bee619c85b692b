"""What is read in notes counts only once confirmed, with its foot, and replaces nothing in silence."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from toeroom.answers.confirming import Proposal, on_side, proposals, with_confirmed
from toeroom.answers.cues import read_cues
from toeroom.answers.understand import Understood, understand
from toeroom.book import Book
from toeroom.case import Case, case_as_yaml, parse_case

DAY = date(2026, 11, 25)


def read(book: Book, notes: str, case: Case) -> dict[str, Proposal]:
    understood = understand(notes, book.vocabulary, read_cues(book.folder / "kb"))
    return {one.said.id: one for one in proposals(understood, case, book.vocabulary)}


def test_each_entry_has_its_words_its_side_and_what_stands_against_it(book: Book) -> None:
    case = Case("t", DAY, findings={("bunion", "left"): "no", ("diabetes", "person"): "yes"})
    found = read(book, "Diabetes. Bunion on the left. Callus. Left foot length 262 mm.", case)
    assert found["diabetes"].known
    assert found["bunion"].stands == (("left", "no"),)
    assert found["bunion"].said.text == "Bunion"
    assert found["callus"].sides == ()
    assert found["foot_length_mm"].value == "262"
    assert not found["foot_length_mm"].stands


def test_nothing_counts_but_what_is_confirmed(book: Book) -> None:
    case = Case("t", DAY, findings={("callus", "right"): "no"}, notes="kept")
    found = read(book, "Bunion on the left. Callus. Left foot length 262 mm.", case)
    assert with_confirmed(case, []) == case
    callus = on_side(found["callus"], "both", case)
    assert callus.stands == (("right", "no"),)
    after = with_confirmed(case, [callus, found["foot_length_mm"]])
    assert after.findings == {("callus", "left"): "yes", ("callus", "right"): "yes"}
    assert after.measures == {("foot_length_mm", "left"): Decimal("262")}
    assert after.notes == "kept"
    assert parse_case(case_as_yaml(after, book.vocabulary), book.vocabulary) == after


def test_the_same_number_in_other_digits_is_known(book: Book) -> None:
    case = Case("t", DAY, measures={("foot_length_mm", "left"): Decimal("262.0")})
    assert read(book, "Left foot length 262 mm.", case)["foot_length_mm"].known


def test_unknown_before_is_no_contradiction(book: Book) -> None:
    case = Case("t", DAY, findings={("bunion", "left"): "unknown"})
    found = read(book, "Bunion on the left.", case)
    assert found["bunion"].stands == ()
    assert not found["bunion"].known


def test_a_number_no_case_could_hold_is_not_offered(book: Book) -> None:
    said = Understood("foot_length_mm", "left", "", 999.0, "999 mm", 0, 6)
    assert proposals([said], Case("t", DAY), book.vocabulary) == ()
