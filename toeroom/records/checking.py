"""Whether a store is whole: the file, the links, every version's hash and chain, every document."""

from __future__ import annotations

import json
import re
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, func, select, text

from toeroom.case import CASE_ID
from toeroom.errors import BadInput, one_line
from toeroom.records.document import fields_of
from toeroom.records.saving import LONGEST_TITLE
from toeroom.records.schema import cases, due, plans, versions
from toeroom.records.store import Store
from toeroom.records.version import hash_of, unpacked, version_of
from toeroom.vocabulary import Vocabulary

MOST_OF_SQLITE = 10


@dataclass(frozen=True, slots=True)
class StoreFault:
    """Something that does not hold. case, version: where; empty and 0 for the store as a whole."""

    what: str
    case: str = ""
    version: int = 0

    def as_json(self) -> dict[str, Any]:
        return {"case": self.case or None, "version": self.version or None, "what": self.what}

    def __str__(self) -> str:
        place = ", ".join(
            part for part in (self.case, f"version {self.version}" if self.version else "") if part
        )
        return one_line(f"{place}: {self.what}" if place else self.what)


@dataclass(frozen=True, slots=True)
class StoreReport:
    """How much was looked at, and what does not hold."""

    cases: int
    versions: int
    faults: tuple[StoreFault, ...]


def check_store(store: Store, vocabulary: Vocabulary | None = None) -> StoreReport:
    """Looks at all of a store; what stops the looking is a fault too.

    With a `vocabulary`, the latest version of every case must also read as a case of today's words.
    """
    counted = _Counted()
    faults = []
    try:
        with store.reading() as connection:
            for fault in _faults(store, connection, vocabulary, counted):
                faults.append(fault)
    except BadInput as fault:
        faults.append(StoreFault(fault.what))
    except (TypeError, ValueError) as error:
        # SQLite lets a column hold anything; ours never do.
        faults.append(StoreFault(f"a row holds a value of the wrong kind ({error})"))
    return StoreReport(counted.cases, counted.versions, tuple(faults))


@dataclass
class _Counted:
    cases: int = 0
    versions: int = 0


def _faults(
    store: Store, connection: Connection, vocabulary: Vocabulary | None, counted: _Counted
) -> Iterator[StoreFault]:
    if store.address.file is not None:
        yield from _file_faults(store, connection)
    listed = {row["code"]: dict(row) for row in connection.execute(select(cases)).mappings()}
    counted.cases = len(listed)
    seen = set()
    for code, rows in groupby(_versions(connection), key=lambda row: str(row["case_code"])):
        seen.add(code)
        yield from _case_faults(code, rows, listed.get(code), vocabulary, counted)
    for code in listed.keys() - seen:
        yield StoreFault("is listed and has no version", code)
    yield from _due_faults(connection)


def _file_faults(store: Store, connection: Connection) -> Iterator[StoreFault]:
    assert store.address.file is not None
    mode = stat.S_IMODE(store.address.file.stat().st_mode)
    if mode & 0o077:
        yield StoreFault(f"others may read the file (mode {mode:04o}): chmod 600 {store.address.file}")
    found = connection.execute(text(f"PRAGMA integrity_check({MOST_OF_SQLITE})")).scalars().all()
    for line in found:
        if line != "ok":
            yield StoreFault(f"the file is damaged: {line}")
    for table, _, above, _ in connection.execute(text("PRAGMA foreign_key_check")):
        yield StoreFault(f"a row of '{table}' belongs to nothing in '{above}'")


def _versions(connection: Connection) -> Iterator[Mapping[str, Any]]:
    wanted = (
        select(versions, plans.c.body)
        .outerjoin(plans, (plans.c.case_code == versions.c.case_code) & (plans.c.number == versions.c.number))
        .order_by(versions.c.case_code, versions.c.number)
    )
    for row in connection.execute(wanted, execution_options={"yield_per": 500}).mappings():
        yield dict(row)


def _case_faults(
    code: str,
    rows: Iterator[Mapping[str, Any]],
    listed: Mapping[str, Any] | None,
    vocabulary: Vocabulary | None,
    counted: _Counted,
) -> Iterator[StoreFault]:
    """The chain of one case: numbers without a gap, each version naming the hash of the one before."""
    if not re.fullmatch(CASE_ID, code):
        yield StoreFault("this is no case id", one_line(code))
    before: Mapping[str, Any] | None = None
    for row in rows:
        counted.versions += 1
        number = before["number"] + 1 if before else 1
        if row["number"] != number:
            yield StoreFault(f"version {number} is missing", code)
        elif row["parent"] != (before["hash"] if before else ""):
            yield StoreFault("does not follow on the version before it", code, number)
        for what in _version_faults(code, row):
            yield StoreFault(what, code, row["number"])
        before = row
    assert before is not None
    yield from (StoreFault(what, code) for what in _listing_faults(before, listed))
    if vocabulary is not None:
        try:
            version_of(before).read(vocabulary)
        except (BadInput, ValueError) as fault:
            what = fault.what if isinstance(fault, BadInput) else str(fault)
            yield StoreFault(f"does not read as a case: {what}", code, before["number"])


def _version_faults(code: str, row: Mapping[str, Any]) -> Iterator[str]:
    if hash_of(row) != row["hash"]:
        yield "was changed since it was saved: its hash does not fit"
    try:
        if fields_of(row["document"]).get("case") != code:
            yield "its document is of another case"
    except BadInput as fault:
        yield f"its document cannot be read: {fault.what}"
    if row["body"] is None:
        yield "its plan is missing"
        return
    try:
        if unpacked(row["body"])[1] != row["plan_hash"]:
            yield "its plan was changed since it was saved"
    except ValueError as error:
        yield f"its plan cannot be read: {error}"


def _listing_faults(latest: Mapping[str, Any], listed: Mapping[str, Any] | None) -> Iterator[str]:
    if listed is None:
        yield "has versions and is not listed"
        return
    if listed["latest"] != latest["number"]:
        yield f"version {listed['latest']} is listed as the latest, and there are {latest['number']}"
        return
    pairs = (("saved_at", "at"), ("who", "who"), ("as_of", "as_of"), ("book", "book"))
    for name, other in pairs:
        if listed[name] != latest[other]:
            yield f"the list has another '{name}' than its latest version"
    try:
        title = one_line(fields_of(latest["document"]).get("title", ""))[:LONGEST_TITLE]
        plan = json.loads(unpacked(latest["body"])[0])
    except (BadInput, TypeError, ValueError):
        # Said already, with the version.
        return
    if listed["title"] != title:
        yield "the list has another title than its latest version"
    if listed["stop"] != plan["stop"]:
        yield "the list says otherwise than its latest plan whether it is a stop"


def _due_faults(connection: Connection) -> Iterator[StoreFault]:
    soonest = select(due.c.case_code, func.min(due.c.last).label("last")).group_by(due.c.case_code).subquery()
    wanted = select(cases.c.code, cases.c.next_due, soonest.c.last).outerjoin(
        soonest, soonest.c.case_code == cases.c.code
    )
    for code, listed, last in connection.execute(wanted):
        if listed != last:
            yield StoreFault("the list has another day of what falls due next", code)
