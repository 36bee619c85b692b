"""Pages, their sections and their plain text."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toeroom.errors import BadInput, BookFault
from toeroom.handbook import Handbook
from toeroom.handbook.pages import page_from
from toeroom.handbook.reading_grade import grade_of, syllables_of, word_count
from toeroom.handbook.render import plain_text
from toeroom.handbook.sections import IN_SHORT, sections_of
from toeroom.handbook.sources import read_sources

FRONT = """---
id: sample
title: "Sample: a page"
shelf: feet
words: [one, two words]
findings: [bunion]
items: []
sources:
  - {key: common-practice, at: "here", grade: common practice}
author: toeroom
reviewed: 2026-01-02
review_by: 2027-01-02
status: active
---
"""
BODY = """Short answer [@common-practice, here]. See [bunion](page:bunion).

## What to do
1. First **act**.
2. Second act.
   - deeper

> **Caution.** Mind the [numb](page:numb-feet) foot.

## Sizes
| mm | EU |
|---|---|
| 250 | 39 |

    ## not a heading
"""
PATH = Path("kb/feet/sample.md")


def page(front: str = FRONT, body: str = BODY) -> object:
    return page_from(front + body, PATH)


def test_front_matter() -> None:
    read = page_from(FRONT + BODY, PATH)
    assert (read.id, read.title, read.shelf, read.words) == (
        "sample",
        "Sample: a page",
        "feet",
        ("one", "two words"),
    )
    assert (read.reviewed, read.review_by) == (date(2026, 1, 2), date(2027, 1, 2))
    assert str(read.sources[0]) == "common-practice, here (common practice)"
    assert read.body.startswith("Short answer")
    assert (FRONT + BODY).split("\n")[read.body_line - 1].startswith("Short answer")


@pytest.mark.parametrize(
    ("old", "new", "what", "line"),
    [
        ("id: sample", "id: other", "the file is named 'sample'", 2),
        ("id: sample", "id: Sam ple", "cannot be id", 2),
        ("shelf: feet", "shelf: shoes", "stands on the shelf 'feet'", 4),
        ("words: [one, two words]", "words: one", "'words' must be a list", 5),
        ("words: [one, two words]", "words: [one, one]", "holds 'one' twice", 5),
        ("findings: [bunion]\n", "", "has no 'findings'", 1),
        ("items: []", "itmes: []", "'itmes' is not a known key", 7),
        ("grade: common practice", "grade: rumour", "grade cannot be 'rumour'", 9),
        ('{key: common-practice, at: "here", grade: common practice}', "here", "a source has a key", 9),
        ("reviewed: 2026-01-02", "reviewed: 2026-02-30", "2026-02-30 does not exist", 11),
        ("status: active", "status: done", "status cannot be 'done'", 13),
        ("status: active", "status: active\nstatus: draft", "a second time", 14),
        ('title: "Sample: a page"', "title: Sample: a page", "is not valid YAML", 3),
        ('title: "Sample: a page"', "title:", "'title' must be one line", 3),
    ],
)
def test_a_fault_of_the_front_matter_is_named(old: str, new: str, what: str, line: int) -> None:
    with pytest.raises(BookFault) as caught:
        page_from(FRONT.replace(old, new) + BODY, PATH)
    assert what in str(caught.value)
    assert caught.value.line == line
    assert caught.value.mend


@pytest.mark.parametrize("text", ["", "no front matter", "---\nid: sample\n", "x\n---\nid: a\n---\n"])
def test_no_front_matter(text: str) -> None:
    with pytest.raises(BookFault, match="has no front matter"):
        page_from(text, PATH)


def test_windows_line_ends() -> None:
    assert page_from((FRONT + BODY).replace("\n", "\r\n"), PATH) == page()


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_a_page_or_a_fault(text: str) -> None:
    for whole in (text, "---\n" + text + "\n---\n", FRONT + text):
        try:
            read = page_from(whole, PATH)
        except BadInput as fault:
            said = str(fault)
        else:
            sections_of(read)
            said = ""
            assert all(c.isprintable() or c == "\n" for c in plain_text(read))
        assert "\n" not in said


def test_sections() -> None:
    read = page_from(FRONT + BODY, PATH)
    opening, acts, sizes = sections_of(read)
    assert (opening.heading, opening.text) == (IN_SHORT, "Short answer. See bunion.")
    assert acts.text.split("\n") == ["First act.", "Second act.", "deeper", "Caution. Mind the numb foot."]
    assert acts.cautions == ("Mind the numb foot.",)
    assert acts.markdown.startswith("## What to do\n1. First")
    assert (FRONT + BODY).split("\n")[acts.line - 1] == "## What to do"
    assert sizes.text.split("\n") == ["mm; EU", "250; 39", "## not a heading"]


def test_nothing_of_a_page_is_lost_in_its_sections(handbook: Handbook) -> None:
    for read in handbook.pages.values():
        sections = sections_of(read)
        assert sections[0].heading == IN_SHORT, read.id
        joined = "\n".join(section.markdown for section in sections)
        assert joined.split() == read.body.split(), read.id
        cautions = sum(section.text.count("Caution.") for section in sections)
        assert cautions == sum(len(section.cautions) for section in sections), read.id
        assert "[@" not in "".join(section.text + section.heading for section in sections)


def test_plain_text() -> None:
    text = plain_text(page_from(FRONT + BODY, PATH))
    assert text.startswith(
        "Sample: a page\n==============\n\nShort answer [@common-practice, here]. See bunion.\n"
    )
    assert "1. First act.\n2. Second act.\n  - deeper\n" in text
    assert "! Caution. Mind the numb foot.\n" in text
    assert "mm   EU\n---  --\n250  39\n" in text
    assert text.rstrip().endswith("Page sample, reviewed 2026-01-02, next review by 2027-01-02.")


def test_a_page_cannot_steer_a_terminal() -> None:
    hostile = page_from(FRONT + "Red \x1b[31mtext\x07 and [bold]markup[/bold].\n", PATH)
    assert "\x1b" not in plain_text(hostile)
    assert "[bold]markup[/bold]" in plain_text(hostile)


def test_every_page_as_plain_text(handbook: Handbook) -> None:
    for read in handbook.pages.values():
        text = plain_text(read)
        assert read.title in text
        assert "\n\n\n" not in text


def test_an_unknown_page_names_the_nearest(handbook: Handbook) -> None:
    with pytest.raises(BadInput, match="'bunion'"):
        handbook.page("bunionn")
    with pytest.raises(BadInput, match="there is no page 'zzz'"):
        handbook.page("zzz")
    assert handbook.page("bunion").id == "bunion"


def test_pages_stand_in_the_order_of_the_shelves(handbook: Handbook) -> None:
    shelves = [page.shelf for page in handbook.pages.values()]
    assert shelves[0] == "safety"
    assert sorted(set(shelves), key=shelves.index) == [
        s for i, s in enumerate(shelves) if i == 0 or shelves[i - 1] != s
    ]


def test_a_retired_page_says_what_replaced_it(copy: Path, tmp_path: Path) -> None:
    file = copy / "kb/feet/bunion.md"
    file.write_text(
        file.read_text().replace("status: active", "status: retired\nreplaced_by: tailors-bunion")
    )
    handbook = Handbook(copy, cache=tmp_path / "cache")
    assert "bunion" not in handbook.pages
    assert "bunion" not in [hit.page for hit in handbook.search("bunion").hits]
    with pytest.raises(BadInput, match=r"is retired; see 'tailors-bunion'"):
        handbook.page("bunion")


def test_sources(tmp_path: Path) -> None:
    file = tmp_path / "sources.yaml"
    entry = (
        "sources:\n"
        "  a-2020: {title: T, body: B, year: 2020, where: W, kind: study, seen: part, facts: [I1]}\n"
    )
    file.write_text(entry)
    source = read_sources(file)["a-2020"]
    assert (str(source), source.facts, source.line) == ("T. B. 2020. W", ("I1",), 2)
    for old, new, what in (
        ("kind: study", "kind: rumour", "'kind' cannot be"),
        ("seen: part, ", "", "no 'seen'"),
        ("title: T", "titel: T", "not a known key"),
        ("facts: [I1]", "facts: I1", "must be a list"),
    ):
        file.write_text(entry.replace(old, new))
        with pytest.raises(BookFault, match=what):
            read_sources(file)


def test_reading_grade() -> None:
    assert [syllables_of(word) for word in ("shoe", "bunion", "ankle", "measured", "heated", "a")] == [
        1,
        2,
        2,
        2,
        2,
        1,
    ]
    assert word_count(["A foot of 26.5 cm, well-known."]) == 6
    easy, hard = (
        "The foot is hot. Stop.",
        "Considerable biomechanical deformities necessitate individualised orthopaedic footwear.",
    )
    assert grade_of([easy]) < 2 < 12 < grade_of([hard])
    assert grade_of([]) == 0.0
