"""Any case, however odd, makes every paper in every format."""

from __future__ import annotations

from hypothesis import given, settings

from tests.cases import cases
from tests.conftest import ROOT
from tests.papers.reading import html_tree, pdf_pages
from toeroom.book import open_book
from toeroom.case import Case
from toeroom.papers.kinds import KINDS
from toeroom.papers.making import make_paper

BOOK = open_book(ROOT)


@settings(max_examples=20, deadline=None)
@given(case=cases(BOOK.vocabulary))
def test_any_case_makes_every_paper(case: Case) -> None:
    plan = BOOK.planner.plain_plan(case)
    for kind in KINDS.values():
        paper = make_paper(kind, case, BOOK, plan=plan)
        assert plan.deferral in paper.markdown
        html_tree(paper.as_html())
        assert any("page 1 of" in page for page in pdf_pages(paper.as_pdf()))
        assert paper.stop == plan.stop
        if plan.stop and kind.id != "wearer-sheet":
            assert "**STOP: " in paper.markdown
