"""Text from a case does nothing on a paper, in any of its languages; a template can do no harm."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.papers.conftest import paper_of
from tests.papers.reading import html_tree, markdown_lines, pdf_pages, words
from toeroom.book import Book
from toeroom.case import case_as_yaml, parse_case
from toeroom.errors import BookFault
from toeroom.papers.escaping import as_markdown
from toeroom.papers.marks import tokens_of, words_of

HOSTILE = [
    "{{ 7 * 7 }} {% for i in range(9) %}x{% endfor %} {{ ''.__class__.__mro__ }}",
    "<script>alert(1)</script> <img src=x onerror=alert(1)> <!-- &lt;b&gt; &amp;",
    "# heading **bold** _it_ `code` | cell | [a](http://x) ![p](drawing:size-rule) <http://x> - 1. > + ***",
    "- 1. > + *** --- === ~~~",
    '"] #read("/etc/passwd") #import "@preview/x:1.0.0" \\u{41} $ x $ @ref <label> /* c */ // d',
    "\x1b[31mred\x07 \u202e turned \u0000 line\nbreak\r\n\n# new",
    "Ελληνικά кириллица 漢字 عربي ﬁ ½ ≥ ☐ ____",
]
FRAMES = ["{}\n", "# {}\n", "- {}\n", "| a |\n|---|\n| {} |\n", "> {}\n", "**x** {}\n"]


ANY = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=60)
MARKS = st.text("_*`#-+>|[]()!<&~=\\.:1 ☐", min_size=1, max_size=12)


@given(text=ANY | MARKS, frame=st.sampled_from(FRAMES))
def test_any_text_is_shown_as_it_is(text: str, frame: str) -> None:
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    assume(plain)
    tokens, usual = tokens_of(frame.format(as_markdown(text))), tokens_of(frame.format("word"))
    assert [t.type for t in tokens] == [t.type for t in usual]
    inner, expected = ([t for t in found if t.type == "inline"][-1] for found in (tokens, usual))
    assert [c.type for c in inner.children or []] == [c.type for c in expected.children or []]
    if frame == "- {}\n":
        # A box at the head of a list entry is the mark of the list.
        plain = plain.removeprefix("☐").lstrip()
    assert words_of(inner) == words_of(expected).replace("word", plain)


@pytest.mark.parametrize("text", HOSTILE)
def test_a_hostile_title_and_note_are_only_words(text: str, book: Book) -> None:
    case = parse_case("case: a\nas_of: 2026-11-25\n", book.vocabulary)
    from dataclasses import replace

    paper = paper_of(case_as_yaml(replace(case, title=text, notes=text), book.vocabulary), "plan")
    shown = words(" ".join(markdown_lines(paper)))
    assert not words(text) - shown
    page = paper.as_html()
    tree = html_tree(page)
    assert {e.tag for e in tree.iter()} & {"script", "img", "a", "svg", "code"} == set()
    assert not words(text) - words("".join(tree.itertext()))
    pdf = words(" ".join(pdf_pages(paper.as_pdf())))
    assert not {w for w in words(text) - pdf if w.isascii()}
    assert "root:" not in pdf


@pytest.mark.parametrize(
    ("template", "line", "word"),
    [
        ("# a\n{{ case.titel }}\n", 2, "titel"),
        ("# a\n\n{% if x %}\n", 3, "end"),
        ("# a\n{{ nobody }}\n", 2, "nobody"),
        ("# a\n{{ ''.__class__.__mro__ }}\n", 2, "unsafe"),
        ("# a\n{{ case.findings.clear() }}\n", 2, "unsafe"),
        ("# a\n{% include '../../etc/passwd' %}\n", 0, "no such template"),
        ("# a\n{% include 'plan.md' %}\n", 0, "includes itself"),
        ("# a\n{{ 1 / 0 }}\n", 2, "division"),
        ("# a\n{% for i in range(10 ** 9) %}{% endfor %}\n", 2, "too big"),
    ],
)
def test_a_faulty_template_is_told_in_one_line(template: str, line: int, word: str, tmp_path: Path) -> None:
    (tmp_path / "plan.md").write_text(template)
    with pytest.raises(BookFault) as caught:
        paper_of("case: a\nas_of: 2026-11-25\n", "plan", templates=tmp_path)
    said = str(caught.value)
    assert "\n" not in said
    assert word in said
    if line:
        assert f"plan.md, line {line}:" in said


def test_a_template_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / "plan.md").write_bytes(b"# \xff\n")
    with pytest.raises(BookFault, match="UTF-8"):
        paper_of("case: a\nas_of: 2026-11-25\n", "plan", templates=tmp_path)


def test_a_clinics_template_stands_before_ours(tmp_path: Path) -> None:
    (tmp_path / "_foot.md").write_text("Our own foot, {{ case.id }}.\n")
    paper = paper_of("case: a\nas_of: 2026-11-25\ntitle: 'x * y'\n", "plan", templates=tmp_path)
    assert paper.markdown.startswith("# Plan\n")
    assert paper.markdown.endswith("Our own foot, a.\n")


def test_a_book_brings_its_own(tmp_path: Path, book: Book) -> None:
    from dataclasses import replace

    from toeroom.papers.kinds import KINDS
    from toeroom.papers.making import make_paper

    (tmp_path / "papers").mkdir()
    (tmp_path / "papers" / "plan.md").write_text("# {{ case.title }}\n\n{{ drawing('size-rule', 'x') }}\n")
    case = parse_case("case: a\nas_of: 2026-11-25\ntitle: '**x**'\n", book.vocabulary)
    paper = make_paper(KINDS["plan"], case, replace(book, folder=tmp_path))
    assert paper.markdown == "# \\*\\*x\\*\\*\n\n![x](drawing:size-rule)\n"
    assert html_tree(paper.as_html()).findtext("body/main/h1") == "**x**"
    # A drawing of which there is nothing to draw is named in words.
    assert "<em>x</em>" in paper.as_html()
    assert paper.as_pdf().startswith(b"%PDF")
