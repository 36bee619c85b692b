"""The debrief says what was decided, what the plan was and why, and takes no text for markup."""

from __future__ import annotations

from dataclasses import replace
from html.parser import HTMLParser

import pytest

from tests.conftest import ROOT
from tests.training.trainees import careless, perfect, reckless, walked
from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.training.debrief import Block, debrief
from toeroom.training.debrief_pages import as_html, as_markdown, as_text
from toeroom.training.decisions import Decision
from toeroom.training.walk import Walk

EVIL = "<script>alert(1)</script> **bold** [link](http://x) \x1b[31m `code` & _so_"


@pytest.fixture(scope="module")
def wound(book: Book) -> Case:
    return read_case(ROOT / "cases_demo/open-wound-on-the-sole.yaml", book.vocabulary)


def texts(blocks: tuple[Block, ...]) -> str:
    return "\n".join(f"{b.kind}|{b.text}|{b.more}" for b in blocks)


def test_harm_comes_first_with_what_led_to_it_and_its_source(book: Book, wound: Case) -> None:
    blocks = debrief(walked(book.planner, wound, reckless))
    headings = [b.text for b in blocks if b.kind == "heading"]
    assert headings[0] == "What could have hurt"
    gone_on = next(b for b in blocks if b.kind == "harmful")
    assert gone_on.text == "First look, left: went on where the plan stops"
    assert "open wound" in gone_on.more
    assert "source: van-netten-2018" in gone_on.more
    held = [b for b in blocks if b.kind == "harmful" and "holds this back" in b.text]
    assert "Rocker sole" in held[0].text
    assert "left not fitted today: open wound" in held[0].more


def test_each_decision_stands_beside_the_plan(book: Book, wound: Case) -> None:
    walk = walked(book.planner, wound, careless)
    blocks = debrief(walk, trainee="T7", seconds=125)
    told = texts(blocks)
    assert "trainee T7" in told
    assert "minutes: 2 (not marked)" in told
    assert "You: stop left, refer soon" in told
    assert "The plan then: stop left; refer soon" in told
    missed = [m for m in walk.steps[-1].marks if m.verdict == "missed"]
    assert len(missed) > 3
    for mark in missed:
        assert book.vocabulary.plan_items[mark.item].label in told
    assert "Best next question:" in told
    assert blocks[-1] == Block("end", book.vocabulary.deferral)


def test_what_never_came_to_light_is_told_and_not_marked(book: Book, wound: Case) -> None:
    walk = Walk(book.planner, wound)
    walk.decide(Decision(), end=True)
    told = texts(debrief(walk))
    assert "Wound on the sole, left" in told
    assert "With this the plan stops: left foot is not fitted today" in told
    assert walk.tally.harm == 0


def test_who_did_it_all_is_told_no_fault(book: Book, wound: Case) -> None:
    blocks = debrief(walked(book.planner, wound, perfect))
    assert not [b for b in blocks if b.kind in ("harmful", "missed", "needless")]
    assert "Score 100" in texts(blocks)


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.add(tag)


def test_no_text_of_a_case_or_trainee_becomes_markup(book: Book, wound: Case) -> None:
    lesson = replace(
        wound.lesson, teaches=EVIL, say=EVIL, notes={"look": f"1. {EVIL}", "referral": f"# {EVIL}"}
    )
    walk = Walk(book.planner, replace(wound, title=EVIL, lesson=lesson))
    walk.decide(Decision(say=EVIL))
    walk.decide(Decision(say=EVIL), end=True)
    blocks = debrief(walk, trainee="T7")
    html, markdown, text = as_html(blocks), as_markdown(blocks), as_text(blocks)
    found = _Tags()
    found.feed(html)
    assert not found.tags & {"script", "a", "code", "img", "ol"}
    assert html.count("&lt;script&gt;alert(1)&lt;/script&gt;") >= 5
    assert "http" not in html.replace("http://x", "")
    for written in (html, markdown, text):
        assert "\x1b" not in written
    assert " ".join(EVIL.replace("\x1b", "").split()) in " ".join(text.split())


def test_the_html_needs_nothing_else(book: Book, wound: Case) -> None:
    html = as_html(debrief(walked(book.planner, wound, careless)))
    assert html.startswith("<!DOCTYPE html>")
    for asset in ("<link", "<script", "src=", "url(", "@import"):
        assert asset not in html
