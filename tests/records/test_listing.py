"""What a list, a search and a look at what falls due find."""

from __future__ import annotations

from datetime import date

import pytest

from tests.records.quick import QuickPlanning
from toeroom.book import Book
from toeroom.records.store import Listed, Store, open_store

TITLES = ("Große Füße, wide", "narrow heel", "WIDE and short", "")


@pytest.fixture
def shop(either: str) -> Store:
    store = open_store(either, planning=QuickPlanning())
    for number, title in enumerate(TITLES):
        store.save(f"case: C-{number}\ntitle: '{title}'\nas_of: 2026-11-{10 + number}\n", "KL")
    store.save("case: C-0\ntitle: 'Große Füße, wide'\nas_of: 2026-11-01\n", "KL", 1)
    return store


def codes(found: list[Listed]) -> list[str]:
    return [listed.case for listed in found]


def test_words_are_found_in_id_and_title_whatever_their_case(shop: Store) -> None:
    found = {
        "wide": ["C-0", "C-2"],
        "WIDE FÜSSE": ["C-0"],
        "füße": ["C-0"],
        "heel narrow": ["C-1"],
        "c-3": ["C-3"],
        "": ["C-0", "C-1", "C-2", "C-3"],
        "2026": [],
    }
    for words, cases in found.items():
        assert codes(shop.cases(words, "case")) == cases, words
        assert shop.count(words) == len(cases), words


def test_orders(shop: Store) -> None:
    assert codes(shop.cases()) == ["C-0", "C-3", "C-2", "C-1"]
    assert codes(shop.cases(order="as_of")) == ["C-3", "C-2", "C-1", "C-0"]
    assert codes(shop.cases(order="case", limit=2)) == ["C-0", "C-1"]


def test_documents_are_the_latest_of_every_case(shop: Store) -> None:
    assert [(version.case, version.number) for version in shop.documents()] == [
        ("C-0", 2),
        ("C-1", 1),
        ("C-2", 1),
        ("C-3", 1),
    ]


def test_what_falls_due_is_that_of_the_latest_version(store: Store, book: Book) -> None:
    text = "case: d-1\nas_of: 2026-11-25\ndates: {inserts_changed: 2026-09-01, delivered: 2026-09-01}\n"
    store.save(text, "KL")
    store.save("case: d-2\nas_of: 2026-11-25\n", "KL")
    (first, *_) = store.due_between(date(2026, 1, 1), date(2027, 12, 31))
    assert (first.case, store.cases(order="due")[0].next_due) == ("d-1", first.last)
    assert codes(store.cases(order="due")) == ["d-1"]
    before = {item.item: item.last for item in store.due_between(date(2026, 1, 1), date(2027, 12, 31))}
    store.save(text.replace("inserts_changed: 2026-09-01", "inserts_changed: 2026-11-20"), "KL", 1)
    after = {item.item: item.last for item in store.due_between(date(2026, 1, 1), date(2027, 12, 31))}
    assert after["replace_inserts"] > before["replace_inserts"]
    assert after["footwear_review"] == before["footwear_review"]
    last = date.fromisoformat(after["footwear_review"])
    assert [item.item for item in store.due_between(last, last)] == ["footwear_review"]


def test_papers_stand_among_it_by_the_day_they_lapse(store: Store) -> None:
    store.save(
        "case: p-1\nas_of: 2026-11-25\nperson: {us_medicare: yes}\ndates: {physician_visit: 2026-08-01}\n",
        "KL",
    )
    found = store.due_between(date(2026, 1, 1), date(2028, 1, 1), limit=1)
    assert [(item.category, item.item) for item in found] == [("papers", "physician_visit_lapses")]
