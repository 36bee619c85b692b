"""`toeroom store`: cases in the record store, saved, listed and shown; keeping the store is beside it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toeroom.book import Book, open_book
from toeroom.case import parse_case
from toeroom.commands import store_keeping
from toeroom.commands.common import BAD_INPUT, DOES_NOT_HOLD, DONE, Parser, add_command, add_group, show_json
from toeroom.commands.store_keeping import open_to_read
from toeroom.errors import BadInput, one_line
from toeroom.wording import printable

if TYPE_CHECKING:
    from toeroom.records.casefile import CaseFile
    from toeroom.records.store import Conflict, Listed, Saved, Store, Version

ORDERS = ("saved", "case", "title", "as_of", "due")


def add(commands: Any) -> None:
    """Declares the command. Nothing of the store is imported before a verb runs."""
    verbs = add_group(commands, "store", "the record store: every version of every case")
    for name, text in (
        ("save", "the next version of a case, or a new case"),
        ("add", "a new case; refused where the store has it"),
    ):
        save = _verb(verbs, name, text, _save)
        save.add_argument("files", nargs="+", metavar="CASE.yaml")
        save.add_argument("--who", required=True, metavar="KL", help="initials of who saves")
        save.set_defaults(base=None, merge=False, take=[], only_new=name == "add")
        if name == "save":
            save.add_argument("--from", dest="base", type=int, metavar="N", help="the version you began from")
            save.add_argument("--merge", action="store_true", help="where others saved since: save both")
            save.add_argument(
                "--take", action="append", metavar="FIELD=mine|theirs", help="for a field that both changed"
            )
    _add_looking(verbs)
    _add_files(verbs)
    store_keeping.add(verbs, _verb)


def _verb(verbs: Any, name: str, text: str, run: Any) -> Parser:
    parser = add_command(verbs, name, text, run)
    parser.add_argument(
        "--store", metavar="URL", help="a file, or postgresql://HOST/DATABASE; or TOEROOM_STORE"
    )
    return parser


def _add_looking(verbs: Any) -> None:
    listing = _verb(verbs, "list", "the cases, newest first", _list)
    listing.add_argument("--find", default="", metavar="TEXT", help="words of the id or title")
    listing.add_argument("--order", choices=ORDERS, default="saved")
    listing.add_argument("--limit", type=_at_least_none, default=50, metavar="N", help="0 for all")
    show = _verb(verbs, "show", "a case as it is, or as it was", _show)
    show.add_argument("case", metavar="CASE")
    show.add_argument("--version", type=int, metavar="N")
    show.add_argument("--plan", action="store_true", help="the plan as it was worked out then")
    history = _verb(verbs, "history", "every version of a case: when, who, what changed", _history)
    history.add_argument("case", metavar="CASE")


def _at_least_none(text: str) -> int:
    number = int(text)
    if number < 0:
        raise argparse.ArgumentTypeError("a number of cases is 0 or more")
    return number


def _add_files(verbs: Any) -> None:
    export = _verb(verbs, "export", "the latest version of every case as a file", _export)
    export.add_argument("folder", type=Path, metavar="DIR")
    export.add_argument("--over", action="store_true", help="write over files that say something else")
    importing = _verb(verbs, "import", "case files, folders of them, or tables: all or none", _import)
    importing.add_argument("paths", nargs="+", metavar="DIR|FILE")
    importing.add_argument("--who", required=True, metavar="KL", help="initials of who saves")
    importing.add_argument("--over", action="store_true", help="as the next version of cases the store has")
    table = _verb(verbs, "csv", "a table: one row a case, one column a field", _csv)
    table.add_argument("file", nargs="?", type=Path, metavar="FILE.csv")


# --- saving --------------------------------------------------------------------------------------
def _save(options: argparse.Namespace) -> int:
    from toeroom.records.casefile import read_case_file
    from toeroom.records.store import Conflict, open_store

    if options.base is not None and len(options.files) > 1:
        raise BadInput("--from goes with one file", mend="save them one by one")
    book = open_book(options.book)
    files = [read_case_file(path) for path in options.files]
    for file in files:
        # Before anything is saved, so that a bad file among them leaves none half done.
        parse_case(file.text, book.vocabulary, name=file.name)
    take = _taken(options.take or [])
    code = DONE
    with open_store(options.store, book) as store:
        for file in files:
            result = _save_one(store, file, options, take)
            _show_result(result, as_json=options.json)
            code = max(code, DOES_NOT_HOLD if isinstance(result, Conflict) else DONE)
    return code


def _save_one(
    store: Store, file: CaseFile, options: argparse.Namespace, take: dict[str, str]
) -> Saved | Conflict:
    from toeroom.records.store import Conflict

    base = options.base if options.base is not None or options.only_new else file.base_in(store)
    result = store.save(file.text, options.who, base, name=file.name, take=take)
    while options.merge and isinstance(result, Conflict) and result.base is not None and result.offer.text:
        # Saved onto what was merged with: a third desk in between makes a conflict of its own.
        result = store.save(result.offer.text, options.who, result.latest.number, name=file.name, take=take)
    return result


def _taken(pairs: list[str]) -> dict[str, str]:
    found = {}
    for pair in pairs:
        field, sign, side = pair.rpartition("=")
        if not sign:
            raise BadInput(f"'{pair}' says not whose", file="--take", mend="write FIELD=mine or FIELD=theirs")
        found[field] = side
    return found


def _show_result(result: Saved | Conflict, *, as_json: bool) -> None:
    from toeroom.records.store import Conflict

    if isinstance(result, Conflict):
        if as_json:
            show_json(_conflict_json(result))
        else:
            print("\n".join(_conflict_lines(result)))
        return
    version = result.version
    if as_json:
        show_json({**version.as_json(), "saved": True, "new": result.new})
    elif result.new:
        print(f"{version.case}: saved as version {version.number}{_count(version)}")
    else:
        print(f"{version.case}: the store has just this, version {version.number}")


def _count(version: Version) -> str:
    many = len(version.changes)
    return f", {many} {'field' if many == 1 else 'fields'} changed" if many else ""


def _conflict_json(conflict: Conflict) -> dict[str, Any]:
    return {
        "case": conflict.case,
        "saved": False,
        "base": conflict.base,
        "latest": conflict.latest.as_json(),
        "mine": [change.as_json() for change in conflict.offer.mine],
        "theirs": [change.as_json() for change in conflict.offer.theirs],
        "clashes": [clash.as_json() for clash in conflict.clashes],
        "merged": conflict.offer.text,
    }


def _conflict_lines(conflict: Conflict) -> list[str]:
    latest, offer = conflict.latest, conflict.offer
    stands = f"version {latest.number} of {latest.who}, {_when(latest.at)}"
    if conflict.base is None:
        return [
            f"{conflict.case}: not saved: the store has it, {stands}",
            f"  say which version your file began from (--from {latest.number}), or give it another id",
        ]
    both = {clash.field for clash in offer.clashes}
    return [
        f"{conflict.case}: not saved: you began from version {conflict.base}, and there is {stands}",
        *(f"  they changed  {change}" for change in offer.theirs if change.field not in both),
        *(f"  you changed   {change}" for change in offer.mine if change.field not in both),
        *(f"  both changed  {clash}" for clash in offer.clashes),
        "  --merge saves both together"
        if offer.text
        else "  --merge saves both, with --take FIELD=mine or FIELD=theirs for each that both changed",
    ]


def _when(at: str) -> str:
    return f"{at[:10]} {at[11:16]} UTC"


# --- looking -------------------------------------------------------------------------------------
def _list(options: argparse.Namespace) -> int:
    with open_to_read(options) as store:
        found = store.cases(options.find, options.order, options.limit or None)
        total = store.count(options.find)
    width = max((len(listed.case) for listed in found), default=0)
    for listed in found:
        if options.json:
            show_json(_listed_json(listed))
        else:
            print(_listed_line(listed, width))
    if not options.json:
        if not total:
            print("no case is found" if options.find else "the store holds no case yet")
        elif len(found) == options.limit < total:
            print(f"{len(found)} of {total:,}; --limit 0 shows all, --find TEXT fewer")
    return DONE


def _listed_json(listed: Listed) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(listed)


def _listed_line(listed: Listed, width: int) -> str:
    stop = "STOP" if listed.stop else ""
    due = f"due {listed.next_due}" if listed.next_due else ""
    saved = f"v{listed.version} {_when(listed.saved_at)} {listed.who}"
    return (
        one_line(listed.case).ljust(width)
        + f" {saved:31} {stop:4} {due:14} {one_line(listed.title)}".rstrip()
    )


def _show(options: argparse.Namespace) -> int:
    from toeroom.records.casefile import marked
    from toeroom.records.plan_then import plan_lines

    with open_to_read(options) as store:
        version = store.load(options.case, options.version)
        plan = store.plan(options.case, version.number) if options.plan or options.json else None
    if options.json:
        show_json({**version.as_json(), "document": version.text, "plan": plan})
    elif plan is None:
        print("\n".join(printable(line) for line in marked(version).split("\n")), end="")
    else:
        print(f"case {version.case}, version {version.number} of {version.who}, {_when(version.at)}")
        print(f"planned for {version.as_of} by rules {version.book}, as it was then")
        print("\n".join(plan_lines(plan)))
    return DONE


def _history(options: argparse.Namespace) -> int:
    from toeroom.records.document import FieldChange

    with open_to_read(options) as store:
        found = store.history(options.case)
    for version in found:
        if options.json:
            show_json(version.as_json())
            continue
        print(f"version {version.number}  {_when(version.at)}  {version.who}  rules {version.book}")
        if version.number > 1 and not version.changes:
            print("  no field changed: its wording, or the rules it is planned by")
        for change in version.changes:
            print(f"  {FieldChange(str(change['field']), change['from'], change['to'])}")
    return DONE


# --- files ---------------------------------------------------------------------------------------
def _export(options: argparse.Namespace) -> int:
    from toeroom.records.casefile import export_cases

    with open_to_read(options) as store:
        count = export_cases(store, options.folder, over=options.over)
    if options.json:
        show_json({"folder": str(options.folder), "cases": count})
    else:
        print(f"{count:,} cases written to {options.folder}")
    return DONE


def _import(options: argparse.Namespace) -> int:
    from toeroom.records.store import Conflict, Document, open_store

    book = open_book(options.book)
    files, faults = _read_all(options.paths, book)
    for fault in faults:
        print(f"toeroom: {fault}", file=sys.stderr)
    if faults:
        return BAD_INPUT
    with open_store(options.store, book) as store:
        documents = [Document(file.name, file.text, file.base_in(store)) for file in files]
        results = store.save_all(documents, options.who, over=options.over)
    conflicts = [result for result in results if isinstance(result, Conflict)]
    if options.json:
        for result in conflicts or results:
            _show_result(result, as_json=True)
    elif conflicts:
        for conflict in conflicts:
            latest = conflict.latest
            print(f"{conflict.case}: the store has it, and other (version {latest.number} of {latest.who})")
        print("nothing is imported; --over saves each file as the next version of its case")
    else:
        new = sum(1 for result in results if not isinstance(result, Conflict) and result.new)
        print(f"{new:,} saved, {len(results) - new:,} there already")
    return DOES_NOT_HOLD if conflicts else DONE


def _read_all(paths: list[str], book: Book) -> tuple[list[CaseFile], list[BadInput]]:
    """Every file, or what is wrong with each: who imports hundreds wants to mend them at one go."""
    from toeroom.records.casefile import CaseFile, case_files, read_case_file
    from toeroom.records.table import read_table

    files: list[CaseFile] = []
    faults: list[BadInput] = []
    for path in case_files(paths):
        try:
            if path.suffix.lower() == ".csv":
                files += (CaseFile(name, text, None) for name, text in read_table(path))
            else:
                files.append(read_case_file(path))
        except BadInput as fault:
            faults.append(fault)
    for file in files:
        try:
            parse_case(file.text, book.vocabulary, name=file.name)
        except BadInput as fault:
            faults.append(fault)
    return files, faults


def _csv(options: argparse.Namespace) -> int:
    import io

    from toeroom.files import write_whole
    from toeroom.records.table import write_table

    with open_to_read(options) as store:
        if options.file is None and not options.json:
            write_table(store, sys.stdout)
            return DONE
        if options.file is None:
            raise BadInput("--json needs a file to write the table to", mend="name FILE.csv")
        table = io.StringIO()
        count = write_table(store, table)
        write_whole(options.file, table.getvalue(), mode=0o600)
    if options.json:
        show_json({"file": str(options.file), "cases": count})
    else:
        print(f"{count:,} cases written to {options.file}")
    return DONE
