"""`toeroom rules prove`: whether the guarantees hold for every case."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toeroom.book import Book, open_book
from toeroom.case import case_as_yaml
from toeroom.commands.common import (
    DOES_NOT_HOLD,
    DONE,
    add_command,
    add_progress,
    show_json,
    tell_progress,
)
from toeroom.errors import BadInput, BookFault
from toeroom.files import write_whole

if TYPE_CHECKING:
    from toeroom.upkeep.proving import Verdict


def add_prove(verbs: Any) -> None:
    """Declares the verb."""
    prove = add_command(verbs, "prove", "whether the guarantees hold for every case", _prove)
    prove.add_argument("ids", metavar="ID", nargs="*", help="only these guarantees, drafts too")
    add_progress(prove)
    prove.add_argument("--out", type=Path, metavar="DIR", help="write the cases that break one here")


def _prove(options: argparse.Namespace) -> int:
    # The solver is an extra, and only needed here.
    from toeroom.upkeep.guarantees import chosen, guarantees_file, read_guarantees
    from toeroom.upkeep.proving import Prover

    book = open_book(options.book)
    guarantees = chosen(read_guarantees(guarantees_file(book.folder), book.vocabulary), options.ids)
    holding = 0
    for number, verdict in enumerate(Prover(book.planner).prove(guarantees, date.today()), 1):
        holding += verdict.holds
        written = _written(verdict, book, options.out)
        tell_progress(options, number, len(guarantees))
        if options.json:
            show_json(_as_json(verdict, book))
        elif not verdict.holds:
            _show(verdict, book, written)
    if not options.json:
        print(f"{holding} of {len(guarantees)} guarantees hold for every case")
    return DONE if holding == len(guarantees) else DOES_NOT_HOLD


def _written(verdict: Verdict, book: Book, folder: Path | None) -> Path | None:
    """The file of the case that breaks a guarantee, where there is one and a folder to write it in."""
    if folder is None or verdict.case is None:
        return None
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            f"cannot be made ({error.strerror})", file=str(folder), mend="name another folder"
        ) from None
    path = folder / f"{verdict.case.id}.yaml"
    write_whole(path, case_as_yaml(verdict.case, book.vocabulary))
    return path


def _show(verdict: Verdict, book: Book, written: Path | None) -> None:
    guarantee = verdict.guarantee
    said = {
        "refuted": "does not hold",
        "empty": "says nothing: its condition holds in no case",
        "undecided": "is not decided",
    }[verdict.standing]
    what = f"'{guarantee.id}' {said}"
    if verdict.broken:
        what += f": {'; '.join(verdict.broken)}"
    mend = f"see 'toeroom plan {written}'" if written else "mend the rules or the guarantee"
    print(BookFault(what, file=guarantee.file, line=guarantee.line, mend=mend))
    if verdict.case is not None and written is None:
        print(
            "".join(f"  {line}\n" for line in case_as_yaml(verdict.case, book.vocabulary).splitlines()),
            end="",
        )


def _as_json(verdict: Verdict, book: Book) -> dict[str, Any]:
    guarantee = verdict.guarantee
    return {
        "id": guarantee.id,
        "title": guarantee.title,
        "status": guarantee.status,
        "standing": verdict.standing,
        "holds": verdict.holds,
        "broken": list(verdict.broken),
        "case": case_as_yaml(verdict.case, book.vocabulary) if verdict.case is not None else None,
        "file": guarantee.file,
        "line": guarantee.line,
    }
