"""Every paper of every demo case, in all three formats."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise

import pytest

from tests.papers.conftest import STOPPED, demo_case, demo_paper
from tests.papers.reading import drawn_words, html_tree, markdown_lines, pdf_pages, words
from toeroom.book import Book
from toeroom.papers.marks import tokens_of, words_of

SVG = "{http://www.w3.org/2000/svg}svg"


def test_it_says_what_every_paper_says(name: str, kind: str, book: Book) -> None:
    paper, case = demo_paper(name, kind), demo_case(name)
    text = "\n".join(markdown_lines(paper))
    plan = book.planner.plan(case)
    for needed in (plan.deferral, f"Rules {plan.book_version}", case.id, "25 November 2026", *plan.cautions):
        assert needed in text
    assert "Sources" in text or not paper.drawings or "nothing" in text.lower()


def test_somebody_signs_it_unless_nothing_is_asked_of_them(name: str, kind: str) -> None:
    text = "\n".join(markdown_lines(demo_paper(name, kind)))
    nothing = ("there is nothing to send", "Nothing is ordered", "orders nothing", "Nothing is handed over")
    assert ("Signature" in text) != any(phrase in text for phrase in nothing)


def test_the_html_is_valid_and_stands_alone(name: str, kind: str) -> None:
    text = demo_paper(name, kind).as_html()
    tree = html_tree(text)
    assert tree.get("lang") == "en-GB"
    assert (tree.findtext("head/title") or "").strip()
    assert tree.find("head/style") is not None
    assert "@media print" in text
    assert not re.search(r"""(?:src|href)\s*=|url\((?!#)|@import|<script""", text)
    ids = [element.get("id") for element in tree.iter() if element.get("id")]
    assert len(ids) == len(set(ids))


def test_headings_and_tables_are_ones_a_screen_reader_can_walk(name: str, kind: str) -> None:
    tree = html_tree(demo_paper(name, kind).as_html())
    levels = [int(e.tag[1]) for e in tree.iter() if re.fullmatch("h[1-6]", str(e.tag))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    for table in tree.iter("table"):
        assert all(th.get("scope") == "col" for th in table.iterfind("thead/tr/th"))
        assert all(tr[0].tag == "th" and tr[0].get("scope") == "row" for tr in table.iterfind("tbody/tr"))
        assert {len(tr) for tr in table.iter("tr")} == {len(table.find("thead/tr") or [])}


def test_every_drawing_named_is_there_and_says_what_it_shows(name: str, kind: str) -> None:
    paper = demo_paper(name, kind)
    images = [c for t in tokens_of(paper.markdown) for c in t.children or [] if c.type == "image"]
    assert len(images) == len(paper.drawn)
    assert all(len(words_of(image)) > 20 for image in images)
    assert paper.as_html().count("<svg ") == len(paper.drawn)


def test_the_pdf_has_the_words_of_the_markdown(name: str, kind: str) -> None:
    paper = demo_paper(name, kind)
    pages = pdf_pages(paper.as_pdf())
    read = sum((words(page) for page in pages), Counter[str]())
    for number in range(1, len(pages) + 1):
        read -= words(f"{paper.foot} page {number} of {len(pages)}")
    written = words(" ".join(markdown_lines(paper))) + drawn_words(paper)
    assert written - read == Counter()
    # A long table repeats its head on the next page.
    assert set(read - written) <= {"Point", "Left", "Right", "Judged"}


def test_the_pdf_is_tagged_titled_and_the_same_each_time(name: str, kind: str) -> None:
    paper = demo_paper(name, kind)
    raw = paper.as_pdf()
    assert raw == paper.as_pdf()
    assert b"/StructTreeRoot" in raw
    assert b"/Lang" in raw
    assert b"pdfuaid" in raw
    assert b"20261125" in raw


@pytest.mark.parametrize("stopped", STOPPED)
@pytest.mark.parametrize("kind", ["fitting-sheet", "work-order", "referral-note", "hand-over", "plan"])
def test_a_stop_is_said_before_anything_else(stopped: str, kind: str) -> None:
    text = demo_paper(stopped, kind).markdown
    assert 0 < text.index("**STOP: ") < (text.find("\n## ") if "\n## " in text else len(text))


@pytest.mark.parametrize("stopped", STOPPED)
def test_nothing_is_ordered_or_handed_over_while_the_plan_stops(stopped: str, book: Book) -> None:
    order, sheet = demo_paper(stopped, "work-order").markdown, demo_paper(stopped, "wearer-sheet").markdown
    assert "Nothing is ordered: the plan stops." in order
    items = book.vocabulary.plan_items.values()
    assert not [i.label for i in items if i.by in ("lab", "repairer") and i.label in order]
    assert "Nothing while the plan stops." in demo_paper(stopped, "fitting-sheet").markdown
    assert "Nothing is handed over." in demo_paper(stopped, "hand-over").markdown
    assert sheet.startswith("# What to do now\n\nNo new shoes today.")
    assert "Wear them in" not in sheet


def test_an_order_holds_only_what_the_plan_advises(name: str, book: Book) -> None:
    text = demo_paper(name, "work-order").markdown
    plan = book.planner.plan(demo_case(name))
    made = {i.label for i in book.vocabulary.plan_items.values() if i.by in ("lab", "repairer")}
    advised = {line.label for line in plan.lines if line.advised and line.label in made}
    ordered = {label for label in made if f"\n### {label}" in text}
    assert ordered == (set() if plan.stop else advised)
