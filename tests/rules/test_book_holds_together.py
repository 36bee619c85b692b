"""The shipped rules: readable, complete, with examples that hold."""

from __future__ import annotations

import pytest

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.rules.engine import MOST_KEYS, branches
from toeroom.rules.model import Rule
from toeroom.upkeep.checking import check_rules
from toeroom.upkeep.examples import example_case, failing_examples


def test_no_fault_is_found() -> None:
    # Every item and state is reached, every finding is read, all sources and pages are there.
    assert [str(fault) for fault in check_rules(ROOT)] == []


def test_every_rule_speaks_and_stays_silent_where_it_says(book: Book) -> None:
    assert len(book.rules) >= 120
    assert failing_examples(book) == []


def test_both_engines_agree_on_every_example(book: Book) -> None:
    for rule in book.rules:
        for kind in ("fires", "silent"):
            book.planner.plan(example_case(rule, kind, book.vocabulary))


def test_branches_keep_within_what_the_library_can_join(book: Book) -> None:
    widest = max(len({key for key, _, _ in b}) for r in book.rules for s in r.sides for b in branches(r, s))
    assert widest <= MOST_KEYS


def test_items_that_can_hurt_carry_a_caution(book: Book) -> None:
    harmless = {"remeasure_right_socks", "complete_visit", "complete_order", "complete_foot_exam"}
    bare = {i for i, item in book.vocabulary.plan_items.items() if not item.cautions}
    assert bare == harmless


def test_no_caution_is_written_twice(book: Book) -> None:
    texts = [c for item in book.vocabulary.plan_items.values() for c in item.cautions]
    texts += [c.text for rule in book.rules for c in rule.then.cautions]
    assert len(texts) == len(set(texts))


@pytest.mark.parametrize("field", ["title", "author", "reviewed", "review_by", "pages", "sources"])
def test_every_rule_says_who_stands_behind_it(field: str, book: Book) -> None:
    missing = [rule.id for rule in book.rules if not getattr(rule, field)]
    assert missing == []


def test_ids_of_rules_are_words_of_their_titles_subject(book: Book) -> None:
    ids = [rule.id for rule in book.rules]
    assert len(ids) == len(set(ids))
    assert all(isinstance(rule, Rule) and rule.line > 0 for rule in book.rules)
