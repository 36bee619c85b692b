"""`toeroom cds-hooks` and `toeroom fhir`: exchange with other programs by open standards."""

from __future__ import annotations

import argparse
import json
import re
import sys
from datetime import date
from pathlib import Path
from typing import Any

from toeroom.book import Book, open_book
from toeroom.case import case_as_yaml, read_case
from toeroom.commands.common import DONE, add_command, add_group, show_json
from toeroom.errors import BadInput
from toeroom.exchange import RELEASES, need_extra
from toeroom.exchange.cards import cards_response
from toeroom.exchange.codes import Codes, read_codes
from toeroom.files import write_whole
from toeroom.handbook.sources import read_sources
from toeroom.rules.asking import with_questions


def add(commands: Any) -> None:
    """Declares the commands."""
    text = "the plan for a case as HL7 CDS Hooks cards"
    cards = add_command(commands, "cds-hooks", text, _cards)
    cards.add_argument("cases", nargs="+", metavar="CASE.yaml")
    verbs = add_group(commands, "fhir", "a case to and from a FHIR bundle of Observations")
    export = add_command(verbs, "export", "a case as a FHIR bundle, on standard output", _export)
    export.add_argument("case", metavar="CASE.yaml")
    export.add_argument("--release", choices=RELEASES, default="R4", help="R4 (checked as R4B) or R5")
    export.add_argument("--with-texts", action="store_true", help="title and notes too: they may name people")
    read = add_command(verbs, "import", "a FHIR bundle as a new case file", _import)
    read.add_argument("bundle", metavar="BUNDLE.json")
    read.add_argument("--to", required=True, metavar="CASE.yaml", help="a file that does not exist yet")
    read.add_argument("--release", choices=RELEASES, default="", help="either, where it is left out")


def _codes(book: Book) -> Codes:
    return read_codes(book.folder / "kb" / "codes.yaml", book.vocabulary)


def _cards(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    sources = read_sources(book.folder / "kb" / "sources.yaml")
    for case in [read_case(path, book.vocabulary) for path in options.cases]:
        plan = with_questions(book.planner, case, book.planner.plan(case))
        _show(cards_response(plan, book.vocabulary, sources), compact=options.json)
    return DONE


def _show(value: object, *, compact: bool) -> None:
    if compact:
        show_json(value)
    else:
        print(json.dumps(value, ensure_ascii=False, indent=1))


def _export(options: argparse.Namespace) -> int:
    need_extra()
    # Only now: it needs the library of the extra.
    from toeroom.exchange.fhir_export import bundle_of

    book = open_book(options.book)
    case = read_case(options.case, book.vocabulary)
    made = bundle_of(case, book.vocabulary, _codes(book), release=options.release, texts=options.with_texts)
    if made.own_only:
        _aside(f"under toeroom's own code, for want of a standard one: {', '.join(made.own_only)}")
    if made.left_out:
        _aside(f"left out, since it may name people: {', '.join(made.left_out)}; --with-texts sends it")
    if made.not_sent:
        _aside(f"not in the bundle: {', '.join(made.not_sent)}")
    if options.json:
        report = {"own_only": made.own_only, "left_out": made.left_out, "not_sent": made.not_sent}
        show_json({"case": case.id, "release": options.release, "bundle": made.bundle, **report})
    else:
        _show(made.bundle, compact=False)
    return DONE


def _import(options: argparse.Namespace) -> int:
    need_extra()
    # Only now: it needs the library of the extra.
    from toeroom.exchange.fhir_import import case_of
    from toeroom.exchange.strict_json import read_json

    book, to = open_book(options.book), Path(options.to)
    _free(to)
    made = case_of(
        read_json(options.bundle),
        book.vocabulary,
        _codes(book),
        file=options.bundle,
        name=_name_from(to),
        today=date.today(),
        release=options.release,
    )
    write_whole(to, case_as_yaml(made.case, book.vocabulary))
    for line in made.not_read:
        _aside(f"not read: {line}")
    for line in made.mind:
        _aside(f"mind: {line}")
    if options.json:
        found = {
            "case": made.case.id,
            "as_of": made.case.as_of.isoformat(),
            "to": options.to,
            "read": made.read,
        }
        show_json(
            {**found, "not_read": made.not_read, "mind": made.mind, "deferral": book.vocabulary.deferral}
        )
    else:
        print(f"{options.to}: case {made.case.id} · {made.case.as_of}, {made.read} Observations read")
        print("What no Observation stated is unknown, never 'no': look at both bare feet.")
    return DONE


def _free(path: Path) -> None:
    try:
        taken = path.exists() or path.is_symlink()
    except (OSError, ValueError):
        raise BadInput("this cannot be the name of a file", file=str(path), mend="check the name") from None
    if taken:
        raise BadInput("there is a file already", file=str(path), mend="name a new one")


def _name_from(path: Path) -> str:
    """A case code from the name of the file."""
    return re.sub(r"[^A-Za-z0-9]+", "-", path.stem).strip("-")[:64].strip("-") or "imported"


def _aside(text: str) -> None:
    print(f"toeroom: {text}", file=sys.stderr)
