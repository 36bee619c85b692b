"""A decision table holds every rule of its topic and every condition."""

from __future__ import annotations

import csv
import io
import re

import pytest
from markdown_it import MarkdownIt

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.errors import BadInput
from toeroom.rules.model import AnyOf, Feet
from toeroom.rules.model import tests_of as every_test
from toeroom.rules.reading import RuleFile
from toeroom.upkeep.decision_table import COLUMNS, as_csv, as_markdown, decision_table, topics
from toeroom.upkeep.rule_lines import test_in_words as in_words
from toeroom.upkeep.rule_lines import when_in_words

TOPICS = sorted(path.stem for path in (ROOT / "rules").glob("*.yaml"))
TOPICS = [topic for topic in TOPICS if topic not in ("vocabulary", "guarantees")]


def shown_in(markdown: str) -> list[list[str]]:
    """The cells of the first table as a reader of Markdown shows them."""
    page = MarkdownIt("commonmark", {"html": True}).enable("table").render(markdown)
    table = page.partition("<tbody>")[2].partition("</tbody>")[0]
    rows = table.split("<tr>")[1:]
    entities = {"&lt;": "<", "&gt;": ">", "&quot;": '"', "&amp;": "&"}
    cells = [[c.replace("<br>", "\n") for c in re.findall(r"<td[^>]*>(.*?)</td>", row)] for row in rows]
    return [[re.sub("|".join(entities), lambda m: entities[m[0]], c) for c in row] for row in cells]


@pytest.mark.parametrize("topic", TOPICS)
def test_every_rule_and_condition_is_in_it(topic: str, book: Book) -> None:
    table = decision_table(book, topic)
    rules = list(RuleFile(topics(book)[topic], book.vocabulary).rules())
    of_csv = list(csv.reader(io.StringIO(as_csv(table))))
    assert of_csv[0] == list(COLUMNS)
    assert shown_in(as_markdown(table)) == of_csv[1:] == [list(row) for row in table.rows]
    for rule, row in zip(rules, table.rows, strict=True):
        name, about, when, then, strength, sources, reviewed, agreed = row
        assert rule.title in name
        assert rule.id in name.split("\n")
        assert rule.stage in about
        for test in every_test(rule.when):
            assert in_words(test, book.vocabulary) in when
        for item in (*rule.then.advise, *rule.then.advise_person, *rule.then.hold_back):
            assert book.vocabulary.by_id[item].label in then
        assert all(caution.text in then for caution in rule.then.cautions)
        assert len(sources.split("\n")) == len(rule.sources)
        assert "not in sources.yaml" not in sources
        assert strength != "none"
        assert rule.review_by in reviewed
        assert agreed == ""


def test_conditions_that_differ_read_differently(book: Book) -> None:
    words = [when_in_words(rule.when, book.vocabulary) for rule in book.rules]
    alike = {text for text in words if words.count(text) > 1}
    for text in alike:
        same = [rule.when for rule in book.rules if when_in_words(rule.when, book.vocabulary) == text]
        shapes = {re.sub(r", line=\d+", "", repr(when)) for when in same}
        assert len(shapes) == 1, text


def test_brackets_tell_and_from_or(book: Book) -> None:
    rule = book.planner.by_id["spot-stretch-for-the-bump"]
    assert when_in_words(rule.when, book.vocabulary) == (
        "(Bunion or Little-toe bunion) and (Seam on a bony spot or Too narrow at the ball)"
    )
    feet = [r for r in book.rules if isinstance(r.when, Feet) and not isinstance(r.when.part, AnyOf)]
    assert all(when_in_words(r.when, book.vocabulary).startswith(f"on {r.when.which} (") for r in feet)


def test_an_unknown_topic_is_said(book: Book) -> None:
    with pytest.raises(BadInput, match="did you mean 'socks'"):
        decision_table(book, "sock")
