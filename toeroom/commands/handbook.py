"""`toeroom search`, `page` and `kb check`: the handbook."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from datetime import date
from typing import Any

from toeroom.book import shipped_folder
from toeroom.commands.authoring import add_page_writing
from toeroom.commands.common import DOES_NOT_HOLD, DONE, add_command, add_group, show_json, texts_of
from toeroom.handbook.check import check
from toeroom.handbook.handbook import Handbook


def add(commands: Any) -> None:
    """Declares the commands."""
    search = add_command(commands, "search", "pages and sections of the handbook; - reads lines", _search)
    search.add_argument("text", metavar="TEXT")
    search.add_argument("--limit", type=int, default=5, metavar="N", help="pages at most")
    page = add_command(commands, "page", "one page of the handbook", _page)
    page.add_argument("id", metavar="ID")
    verbs = add_group(commands, "kb", "for who maintains the handbook")
    add_command(verbs, "check", "whether the pages hold together", _check)
    add_page_writing(verbs)


def _search(options: argparse.Namespace) -> int:
    handbook = Handbook(options.book or shipped_folder())
    for text in texts_of(options.text):
        result = handbook.search(text, limit=max(1, options.limit))
        if options.json:
            show_json(result.as_json())
        else:
            from toeroom.printing import console
            from toeroom.printing_pages import print_hits

            print_hits(console(), result)
    return DONE


def _page(options: argparse.Namespace) -> int:
    handbook = Handbook(options.book or shipped_folder())
    page = handbook.page(options.id)
    if options.json:
        show_json(
            {
                "page": page.id,
                "title": page.title,
                "shelf": page.shelf,
                "findings": page.findings,
                "items": page.items,
                "sources": [str(source) for source in page.sources],
                "reviewed": page.reviewed.isoformat(),
                "review_by": page.review_by.isoformat(),
                "text": page.body,
            }
        )
        return DONE
    from toeroom.printing import console
    from toeroom.printing_pages import print_page

    print_page(console(), page)
    return DONE


def _check(options: argparse.Namespace) -> int:
    report = check(options.book or shipped_folder(), date.today())
    for fault in report.faults:
        if options.json:
            show_json(asdict(fault))
        else:
            print(fault)
    if not options.json:
        words = [figures.words for figures in report.figures]
        hard = max(report.figures, key=lambda figures: figures.grade, default=None)
        print(f"{len(words)} pages, {sum(words):,} words", end="")
        print(f"; hardest to read: {hard.page}, grade {hard.grade:.0f}" if hard else "")
    return DONE if report.ok else DOES_NOT_HOLD
