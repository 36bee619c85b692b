"""`toeroom paper`: fitting sheet, referral note, work order, wearer's sheet, hand-over list, plan."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toeroom.book import open_book
from toeroom.case import read_case
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.errors import BadInput

if TYPE_CHECKING:
    from toeroom.papers.making import Paper


def add(commands: Any) -> None:
    """Declares the command."""
    paper = add_command(commands, "paper", "a paper of a case: Markdown, HTML or PDF", _paper)
    paper.add_argument("words", nargs="*", metavar="KIND CASE.yaml", help="with --all: CASE.yaml alone")
    paper.add_argument("--kinds", action="store_true", help="list the papers there are")
    paper.add_argument("--all", action="store_true", help="every paper, into the folder --to")
    paper.add_argument("--format", choices=["md", "html", "pdf"], help="default: by the ending of --to")
    paper.add_argument("--to", type=Path, metavar="FILE", help="a file, or with --all a folder")
    paper.add_argument("--templates", type=Path, metavar="DIR", help="templates that go before the book's")


def _paper(options: argparse.Namespace) -> int:
    if options.kinds:
        return _kinds(options)
    if len(options.words) != (1 if options.all else 2):
        usage = "toeroom paper --all CASE.yaml --to DIR" if options.all else "toeroom paper KIND CASE.yaml"
        raise BadInput("a paper needs its kind and a case", mend=f"{usage}; kinds: toeroom paper --kinds")
    return _all(options) if options.all else _one(options)


def _kinds(options: argparse.Namespace) -> int:
    from toeroom.papers.kinds import KINDS

    for kind in KINDS.values():
        if options.json:
            show_json({"kind": kind.id, "title": kind.title, "for": kind.reader})
        else:
            print(f"{kind.id:15}{kind.title}: for {kind.reader}")
    return DONE


def _one(options: argparse.Namespace) -> int:
    from toeroom.papers.kinds import kind_of
    from toeroom.papers.making import make_paper
    from toeroom.papers.writing import ENDINGS, write_paper

    book = open_book(options.book)
    kind = kind_of(options.words[0])
    case = read_case(options.words[1], book.vocabulary)
    form = options.format or (ENDINGS.get(options.to.suffix.lower()) if options.to else None) or "md"
    if form == "pdf" and options.to is None:
        raise BadInput("a PDF goes into a file", file="--format", mend="add --to FILE.pdf")
    paper = make_paper(kind, case, book, templates=options.templates)
    if options.to is not None:
        written = write_paper(paper, form, options.to)
    if options.json:
        extra = {"written": [str(p) for p in written]} if options.to else {"text": _text(paper, form)}
        show_json({"case": case.id, "kind": kind.id, "format": form, "stop": paper.stop, **extra})
    elif options.to is None:
        sys.stdout.write(_text(paper, form))
    return DONE


def _all(options: argparse.Namespace) -> int:
    from toeroom.papers.kinds import KINDS
    from toeroom.papers.making import make_paper
    from toeroom.papers.writing import write_papers

    if options.to is None:
        raise BadInput("all papers go into a folder", file="--all", mend="add --to DIR")
    book = open_book(options.book)
    case = read_case(options.words[0], book.vocabulary)
    form = options.format or "pdf"
    papers = [make_paper(kind, case, book, templates=options.templates) for kind in KINDS.values()]
    for paper, path in write_papers(papers, form, options.to):
        if options.json:
            show_json({"case": case.id, "kind": paper.kind.id, "format": form, "written": str(path)})
        else:
            print(path)
    return DONE


def _text(paper: Paper, form: str) -> str:
    return paper.as_html() if form == "html" else paper.as_text()
