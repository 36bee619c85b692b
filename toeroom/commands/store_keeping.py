"""`toeroom store archive`, `restore`, `backup`, `check`, `move`, `name` …: for who keeps a store."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toeroom.book import open_book
from toeroom.commands.common import DOES_NOT_HOLD, DONE, Parser, show_json
from toeroom.errors import BadInput

if TYPE_CHECKING:
    from toeroom.records.store import Store

PASSPHRASE, NEW_PASSPHRASE = "TOEROOM_STORE_PASSPHRASE", "TOEROOM_STORE_NEW_PASSPHRASE"

Verb = Callable[[Any, str, str, Any], Parser]


def add(verbs: Any, verb: Verb) -> None:
    """Declares the verbs; `verb` declares one with the options all of the store have."""
    archive = verb(verbs, "archive", "the whole store in one file with a checksum", _archive)
    archive.add_argument("file", type=Path, metavar="FILE")
    backup = verb(verbs, "backup", "a copy of the store's file, while others work", _backup)
    backup.add_argument("file", type=Path, metavar="FILE")
    restore = verb(verbs, "restore", "the store back from an archive or a backup", _restore)
    restore.add_argument("file", type=Path, metavar="FILE")
    restore.add_argument("--replace", action="store_true", help="set aside the store that stands there")
    restore.add_argument("--despite-faults", action="store_true", help="also where the check finds faults")
    verb(verbs, "check", "whether the store is whole: file, chain, hashes, documents", _check)
    move = verb(verbs, "move", "all to another place; the old store saves no more", _move)
    move.add_argument("to", metavar="URL")
    name = verb(verbs, "name", "the name kept for a case, under a passphrase", _name)
    name.add_argument("case", metavar="CASE")
    what = name.add_mutually_exclusive_group()
    what.add_argument("--set", action="store_true", help="keep a name; it is asked for, never an argument")
    what.add_argument("--forget", action="store_true", help="take the name out")
    verb(verbs, "passphrase", "another passphrase for the names", _passphrase)


def open_to_read(options: argparse.Namespace) -> Store:
    """The store that is there. Says so where it was moved: what it shows is what it was before."""
    from toeroom.records.store import open_store

    store = open_store(options.store, make=False)
    if moved := store.moved_to():
        print(
            f"toeroom: {store.address.shown} was moved to {moved}; this is what it was then", file=sys.stderr
        )
    return store


def _archive(options: argparse.Namespace) -> int:
    from toeroom.records.archive import write_archive

    with open_to_read(options) as store:
        rows = write_archive(store, options.file)
    return _done(options, {"file": str(options.file), "rows": rows}, f"{rows:,} rows in {options.file}")


def _backup(options: argparse.Namespace) -> int:
    from toeroom.records.keeping import back_up

    with open_to_read(options) as store:
        back_up(store, options.file)
    size = options.file.stat().st_size
    return _done(options, {"file": str(options.file), "bytes": size}, f"{size:,} bytes in {options.file}")


def _restore(options: argparse.Namespace) -> int:
    from toeroom.records.address import address_of
    from toeroom.records.keeping import restore

    address = address_of(options.store)
    report, aside = restore(
        options.file, address, replace=options.replace, despite_faults=options.despite_faults
    )
    value = {
        "store": address.shown,
        "cases": report.cases,
        "versions": report.versions,
        "faults": [fault.as_json() for fault in report.faults],
        "set_aside": None if aside is None else str(aside),
    }
    text = f"{report.cases:,} cases, {report.versions:,} versions in {address.shown}"
    _done(options, value, text + (f"; what stood there is in {aside}" if aside else ""))
    return DOES_NOT_HOLD if report.faults else DONE


def _check(options: argparse.Namespace) -> int:
    from toeroom.records.checking import check_store

    with open_to_read(options) as store:
        report = check_store(store, open_book(options.book).vocabulary)
        shown = store.address.shown
    if options.json:
        faults = [fault.as_json() for fault in report.faults]
        show_json({"store": shown, "cases": report.cases, "versions": report.versions, "faults": faults})
    else:
        for fault in report.faults:
            print(fault)
        if not report.faults:
            held = f"cases: {report.cases:,}, versions: {report.versions:,}"
            print(f"the store holds together; {held}, in {shown}")
    return DOES_NOT_HOLD if report.faults else DONE


def _move(options: argparse.Namespace) -> int:
    from toeroom.records.address import address_of
    from toeroom.records.copying import move
    from toeroom.records.store import open_store

    target = address_of(options.to)
    with open_store(options.store, make=False) as store:
        count = move(store, target)
        old = store.address.shown
    text = f"{count:,} cases are in {target.shown}; {old} stays as it is and saves no more"
    return _done(options, {"from": old, "to": target.shown, "cases": count}, text)


def _name(options: argparse.Namespace) -> int:
    from toeroom.records.store import open_store

    names = _names_module()
    with open_store(options.store, make=False) as store:
        if options.forget:
            gone = names.forget(store, options.case)
            text = "the name is taken out" if gone else "no name was kept"
            return _done(options, {"case": options.case, "forgotten": gone}, text)
        if options.set:
            name = _asked("Name: ")
            new = not names.has_passphrase(store)
            names.Names(store, _passphrase_from(PASSPHRASE, new=new)).keep(options.case, name)
            return _done(options, {"case": options.case, "kept": True}, "the name is kept, sealed")
        found = names.Names(store, _passphrase_from(PASSPHRASE)).name(options.case)
    return _done(options, {"case": options.case, "name": found}, found or "no name is kept for this case")


def _passphrase(options: argparse.Namespace) -> int:
    from toeroom.records.store import open_store

    names = _names_module()
    with open_store(options.store, make=False) as store:
        old = _passphrase_from(PASSPHRASE)
        count = names.Names(store, old).change_passphrase(_passphrase_from(NEW_PASSPHRASE, new=True))
    return _done(options, {"names": count}, f"{count:,} names are sealed anew")


def _names_module() -> Any:
    try:
        from toeroom.records import names
    except ImportError:
        raise BadInput(
            "names need a library that is not installed", mend="pip install 'toeroom[records]'"
        ) from None
    return names


def _passphrase_from(variable: str, *, new: bool = False) -> str:
    """From the environment, or asked for: an argument could be read by every user of the machine."""
    found = os.environ.get(variable, "")
    if found:
        return found
    if not sys.stdin.isatty():
        raise BadInput("there is nobody to ask for the passphrase", mend=f"set {variable}")
    from getpass import getpass

    passphrase = getpass("New passphrase: " if new else "Passphrase: ")
    if new and getpass("The same again: ") != passphrase:
        raise BadInput("the two are not the same", mend="try again")
    return passphrase


def _asked(prompt: str) -> str:
    if sys.stdin.isatty():
        return input(prompt)
    return sys.stdin.readline().rstrip("\n")


def _done(options: argparse.Namespace, value: dict[str, Any], text: str) -> int:
    if options.json:
        show_json(value)
    else:
        print(text)
    return DONE
