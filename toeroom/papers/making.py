"""From a case to a paper in one of three formats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from toeroom.book import Book
from toeroom.case import Case
from toeroom.papers.contents import contents_of
from toeroom.papers.drawings import Drawing
from toeroom.papers.html import html_of
from toeroom.papers.kinds import Kind
from toeroom.papers.templates import fill, folders
from toeroom.plan import Plan
from toeroom.rules.asking import with_questions

FORMATS = ("md", "html", "pdf")


@dataclass(frozen=True, slots=True)
class Paper:
    """A filled paper. `markdown` is its one text; drawings stand in it as `drawing:NAME`."""

    kind: Kind
    case: str
    as_of: date
    version: str
    stop: bool
    markdown: str
    drawings: Mapping[str, Drawing]

    @property
    def foot(self) -> str:
        """What stands at the bottom of every page."""
        return f"{self.kind.title} · case {self.case} · {self.as_of} · rules {self.version}"

    @property
    def drawn(self) -> tuple[str, ...]:
        """The names of the drawings the paper shows."""
        return tuple(name for name in self.drawings if f"](drawing:{name})" in self.markdown)

    def as_text(self, stem: str = "") -> str:
        """The Markdown as a file, its drawings named as files beside it: `STEM-NAME.svg`."""
        text = self.markdown
        for name in self.drawings:
            text = text.replace(f"](drawing:{name})", f"]({stem or self.kind.id}-{name}.svg)")
        return text

    def as_html(self) -> str:
        """One HTML file."""
        return html_of(self.kind, self.markdown, self.drawings)

    def as_pdf(self) -> bytes:
        """A tagged PDF."""
        from toeroom.papers.pdf import pdf_of

        return pdf_of(self.kind, self.markdown, self.drawings, self.foot, self.as_of)


def make_paper(
    kind: Kind, case: Case, book: Book, *, templates: Path | None = None, plan: Plan | None = None
) -> Paper:
    """The paper of `kind` for `case`, planned by both engines where no `plan` is given.

    Raises `BookFault` for a fault in a template, `EnginesDiffer` where there is no plan.
    """
    planner = book.planner
    plan = plan or with_questions(planner, case, planner.plan(case))
    where = folders(book.folder, templates)
    contents = contents_of(kind, case, plan, book, where)
    markdown = fill(kind.id, contents.names, where)
    return Paper(kind, case.id, case.as_of, plan.book_version, plan.stop, markdown, contents.drawings)
