"""`toeroom words`: what a case may state."""

from __future__ import annotations

import argparse
from typing import Any

from toeroom.book import open_book
from toeroom.commands.common import DONE, add_command, show_json


def add(commands: Any) -> None:
    """Declares the command."""
    words = add_command(
        commands, "words", "the findings, measures, choices and dates a case may state", _words
    )
    words.add_argument("part", nargs="?", default="", help="only words that hold this")


def _words(options: argparse.Namespace) -> int:
    vocabulary = open_book(options.book).vocabulary
    kinds: dict[str, dict[str, Any]] = {
        "finding": {**vocabulary.findings},
        "measure": {**vocabulary.measures},
        "choice": {**vocabulary.choices},
        "date": {**vocabulary.dates},
    }
    for kind, terms in kinds.items():
        for term in terms.values():
            text = f"{term.id} {term.label} {' '.join(term.words)}".lower()
            if options.part.lower() not in text:
                continue
            if options.json:
                show_json(
                    {"kind": kind, "id": term.id, "scope": term.scope, "label": term.label, "page": term.page}
                )
            else:
                print(f"{term.id:24} {term.scope:7} {kind:8} {term.label}")
    return DONE
