"""What points at a page."""

from __future__ import annotations

from dataclasses import replace

import pytest

from toeroom.book import Book, open_book
from toeroom.case import parse_case
from toeroom.handbook import Handbook
from toeroom.handbook.pointing import pointing_at


@pytest.fixture(scope="module")
def book() -> Book:
    return open_book()


def test_rules_words_and_cases_that_lead_to_a_page(book: Book, handbook: Handbook) -> None:
    page = handbook.page("bunion")
    texts = (
        "left: {bunion: yes}",
        "left: {bunion: no}",
        "right: {bunion: unknown}",
        "left: {open_wound: yes}",
    )
    cases = [parse_case(f"case: c-{i}\n{text}\n", book.vocabulary) for i, text in enumerate(texts)]
    found = pointing_at(page, book, cases)
    assert "bunion" in [term.id for term in found.findings]
    assert [case.id for case in found.cases] == ["c-0"]
    assert {rule.id for rule in found.rules} == {r.id for r in book.rules if "bunion" in r.pages}
    assert all("bunion" in (*item.pages, item.page) for item in found.items)


def test_a_page_nothing_names_has_nothing_that_points_at_it(book: Book, handbook: Handbook) -> None:
    alone = replace(handbook.page("bunion"), id="alone", findings=())
    case = parse_case("case: c\nleft: {bunion: yes}\n", book.vocabulary)
    found = pointing_at(alone, book, [case])
    assert (found.rules, found.findings, found.items, found.cases) == ((), (), (), ())


def test_every_rule_and_word_with_a_page_is_found_from_that_page(book: Book, handbook: Handbook) -> None:
    found = {page_id: pointing_at(page, book) for page_id, page in handbook.pages.items()}
    for rule in book.rules:
        assert all(rule in found[page].rules for page in rule.pages)
    for item in book.vocabulary.plan_items.values():
        assert all(item in found[page].items for page in item.pages)
    for term in book.vocabulary.findings.values():
        assert not term.page or term in found[term.page].findings
