"""A plan as a sheet of paper, or every paper of its case: what the name of a place asks for."""

from __future__ import annotations

from pathlib import Path

from toeroom.book import Book
from toeroom.case import Case
from toeroom.files import write_whole
from toeroom.plan import Plan
from toeroom.printing import sheet_text
from toeroom.sheet import make_sheet


def write_plan(path: Path, case: Case, plan: Plan, book: Book) -> list[Path]:
    """Writes the plan to the file `path`: Markdown, HTML or PDF by its ending, else text. Where the name
    has no ending it is a folder, which gets every paper of the case as PDF.

    Returns what was written. Raises `BadInput` where that cannot be done; what stood there stays.
    """
    # The papers bring their templates along, which nothing else waits for.
    from toeroom.papers.kinds import KINDS
    from toeroom.papers.making import make_paper
    from toeroom.papers.writing import ENDINGS, write_paper, write_papers

    if not path.suffix:
        papers = [make_paper(kind, case, book, plan=plan) for kind in KINDS.values()]
        return [written for _, written in write_papers(papers, "pdf", path)]
    if form := ENDINGS.get(path.suffix.lower()):
        return write_paper(make_paper(KINDS["plan"], case, book, plan=plan), form, path)
    write_whole(path, sheet_text(make_sheet(plan, book.vocabulary), full=True))
    return [path]
