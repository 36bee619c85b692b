"""The plan written to a file: whole, as Markdown or text, and nothing in it taken for marks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from toeroom.book import Book
from toeroom.case import read_case
from toeroom.errors import BadInput
from toeroom.plan import Plan
from toeroom.plan_file import sheet_as_markdown, sheet_as_text, write_plan
from toeroom.sheet import make_sheet


@pytest.fixture
def plan(book: Book) -> Plan:
    case = read_case(book.cases_demo / "open-wound-on-the-sole.yaml", book.vocabulary)
    return book.planner.plan(case)


def test_every_item_and_caution_of_the_plan_is_on_the_sheet(book: Book, plan: Plan) -> None:
    sheet = make_sheet(plan, book.vocabulary)
    text = " ".join(sheet_as_text(sheet).split())
    for entry in sheet.all_entries:
        assert entry.act in text
        assert all(caution in text for caution in (*entry.cautions, *entry.more_cautions))
    assert "STOP left foot is not fitted today" in text
    assert sheet.deferral in text


def test_markdown_says_what_the_text_says(book: Book, plan: Plan) -> None:
    sheet = make_sheet(replace(plan, title="[left] *foot* <b># `x` \x1b[31m_y_"), book.vocabulary)
    marked = sheet_as_markdown(sheet)
    tokens = MarkdownIt().parse(marked)
    inner = [child for token in tokens for child in token.children or []]
    assert {child.type for child in inner} <= {"text", "strong_open", "strong_close"}
    assert tokens[0].type == "heading_open"
    assert "\x1b" not in marked
    shown = " ".join("".join(c.content for c in t.children or []) for t in tokens if t.type == "inline")
    plain = " ".join(sheet_as_text(sheet).split())
    for entry in sheet.all_entries:
        assert entry.act in " ".join(shown.split())
        assert entry.act in plain
    headings = [
        tokens[n + 1].content for n, token in enumerate(tokens) if token.tag == "h2" and token.nesting == 1
    ]
    assert headings[0] == "Refer"
    assert "Held back" in headings


def test_the_name_decides_and_a_place_that_cannot_be_written_is_said(
    book: Book, plan: Plan, tmp_path: Path
) -> None:
    write_plan(tmp_path / "plan.md", plan, book.vocabulary)
    write_plan(tmp_path / "plan.txt", plan, book.vocabulary)
    assert (tmp_path / "plan.md").read_text().startswith("# ")
    assert (tmp_path / "plan.txt").read_text().startswith("A wound under the left ball")
    with pytest.raises(BadInput, match="cannot be written"):
        write_plan(tmp_path / "nowhere" / "plan.md", plan, book.vocabulary)
