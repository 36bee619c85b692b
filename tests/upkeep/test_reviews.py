"""Reviews: written into the files with their comments kept, and listed by when they are due."""

from __future__ import annotations

import difflib
from datetime import date
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.errors import BadInput
from toeroom.upkeep.checking import check_rules
from toeroom.upkeep.own_book import new_book
from toeroom.upkeep.reviews import all_reviews, due, note_review

ON, NEXT = date(2026, 11, 20), date(2027, 6, 1)
RULES, PAGES = ("rule", "guarantee"), ("page",)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    new_book(tmp_path / "own", ROOT)
    return tmp_path / "own"


def added(own: Path, file: str) -> list[str]:
    lines = difflib.ndiff((ROOT / file).read_text().split("\n"), (own / file).read_text().split("\n"))
    return [line for line in lines if line[0] in "+-"]


def test_a_review_of_a_rule_adds_three_lines_to_it_and_touches_nothing_else(own: Path) -> None:
    note_review(own, ["bunion-build"], RULES, "ab", ON, NEXT)
    assert added(own, "rules/fit.yaml") == [
        "+     reviewed: 2026-11-20",
        "+     reviewed_by: ab",
        "+     review_by: 2027-06-01",
    ]
    assert check_rules(own, date(2026, 11, 25)) == []
    note_review(own, ["bunion-build"], RULES, "cd", date(2026, 11, 24))
    assert "+     reviewed_by: cd" in added(own, "rules/fit.yaml")
    assert len(added(own, "rules/fit.yaml")) == 3


def test_a_guarantee_and_a_whole_topic(own: Path) -> None:
    done = note_review(own, ["topic:socks", "nothing-to-sell-for-a-wound"], RULES, "A.B.", ON)
    reviews = {r.id: r for r in all_reviews(own) if r.kind != "page"}
    assert {r.place for r in done} == {"socks", "guarantees"}
    for one in done:
        now = reviews[one.id]
        assert (now.reviewed, now.by, now.next) == ("2026-11-20", "A.B.", "2027-11-20")
    assert sum(r.by == "A.B." for r in reviews.values()) == len(done)


def test_a_page(own: Path) -> None:
    note_review(own, ["bunion"], PAGES, "ab", ON, NEXT)
    changed = added(own, "kb/feet/bunion.md")
    assert sorted(changed) == [
        "+ review_by: 2027-06-01",
        "+ reviewed: 2026-11-20",
        "+ reviewed_by: ab",
        "- review_by: 2027-11-25",
        "- reviewed: 2026-11-25",
    ]
    assert {r.id for r in note_review(own, ["shelf:socks"], PAGES, "ab", ON)} == {
        path.stem for path in (own / "kb/socks").glob("*.md")
    }


def test_one_list_of_all_that_is_due(own: Path) -> None:
    reviews = all_reviews(own)
    assert {r.kind for r in reviews} == {"rule", "page", "guarantee"}
    assert due(reviews, date(2026, 11, 25)) == []
    assert due(reviews, date(2028, 1, 1)) == reviews
    note_review(own, ["bunion-build", "nothing-to-sell-for-a-wound"], RULES, "ab", ON, date(2026, 12, 1))
    note_review(own, ["bunion"], PAGES, "ab", ON, date(2026, 12, 1))
    assert [r.id for r in due(all_reviews(own), date(2026, 12, 1))] == [
        "bunion-build",
        "nothing-to-sell-for-a-wound",
        "bunion",
    ]


def test_a_guarantee_never_looked_at_is_due_first(own: Path) -> None:
    path = own / "rules/guarantees.yaml"
    path.write_text(
        path.read_text().replace("defaults:\n  reviewed: 2026-11-25\n  review_by: 2027-11-25\n", "")
    )
    found = due(all_reviews(own), date(2026, 11, 25))
    assert {r.kind for r in found} == {"guarantee"}
    assert {r.next for r in found} == {""}


@pytest.mark.parametrize(
    ("ids", "by", "on", "following", "said"),
    [
        (["bunion-bild"], "ab", ON, NEXT, "did you mean 'bunion-build'"),
        (["bunion-build"], "Somebody Long", ON, NEXT, "no initials"),
        (["bunion-build"], "ab", date(2199, 1, 1), None, "lies in the future"),
        (["bunion-build"], "ab", ON, ON, "the next one before it"),
        (["bunion-build", "topic:sock"], "ab", ON, NEXT, "did you mean 'topic:socks'"),
        (["bunion"], "ab", ON, NEXT, "there is no 'bunion'"),
    ],
)
def test_what_will_not_do_is_said_and_nothing_written(
    own: Path, ids: list[str], by: str, on: date, following: date | None, said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        note_review(own, ids, RULES, by, on, following)
    assert added(own, "rules/fit.yaml") == []
