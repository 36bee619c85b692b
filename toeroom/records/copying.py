"""All rows of a store, taken out of one database and poured into another, whichever two they are."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from itertools import groupby, islice
from typing import Any

from sqlalchemy import Connection, column, insert, select, table, text, update

from toeroom.errors import BadInput
from toeroom.records.address import Address
from toeroom.records.connecting import WRITING, connect, make_file
from toeroom.records.faults import said_plainly
from toeroom.records.migrating import upgrade
from toeroom.records.saving import refuse_moved
from toeroom.records.schema import COPIED, NEWEST, about, cases
from toeroom.records.store import Store
from toeroom.records.version import compact

AT_ONCE = 500

Rows = Iterable[tuple[str, dict[str, Any]]]
"""Each row with the name of its table, in an order in which they can be poured."""


def contents(connection: Connection) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every row of the store that `connection` is at, a few hundred in memory at a time."""
    for one in COPIED:
        found = connection.execute(select(one), execution_options={"yield_per": AT_ONCE})
        for row in found.mappings():
            yield one.name, dict(row)


def pour(connection: Connection, rows: Rows) -> None:
    """Writes rows into a store's tables, which hold none yet."""
    for name, group in groupby(rows, key=lambda row: row[0]):
        values = (row for _, row in group)
        while chunk := list(islice(values, AT_ONCE)):
            # By the columns the rows name: those of an older schema are fewer.
            into = table(name, *(column(key) for key in chunk[0]))
            connection.execute(insert(into), chunk)


def fingerprint(rows: Rows) -> str:
    """Equal for the same rows in any order; databases do not sort alike."""
    total = 0
    for name, row in rows:
        plain = {k: v.hex() if isinstance(v, bytes) else v for k, v in sorted(row.items())}
        total += int.from_bytes(hashlib.sha256(compact([name, plain]).encode()).digest(), "big")
    return f"{total % 2**256:064x}"


def fill_new(address: Address, rows: Rows, revision: str = NEWEST) -> None:
    """A new store at `address` holding `rows`, which are of schema `revision`.

    Raises `BadInput` where there is one with cases already. All is there afterwards, or nothing.
    """

    def fill(connection: Connection) -> None:
        upgrade(connection, revision)
        pour(connection, rows)
        upgrade(connection)
        connection.execute(update(about).values(moved_to=None))

    if address.file is None:
        _fill_database(address, rows)
        return
    with said_plainly(address):
        try:
            make_file(address.file, fill)
        except FileExistsError:
            raise BadInput("is there already", file=address.shown, mend="name another place") from None


def _fill_database(address: Address, rows: Rows) -> None:
    engine = connect(address, make=True)
    try:
        with (
            said_plainly(address),
            engine.connect().execution_options(**{WRITING: True}) as connection,
            connection.begin(),
        ):
            connection.execute(text("LOCK TABLE about, cases IN EXCLUSIVE MODE"))
            if connection.execute(select(cases.c.code).limit(1)).first():
                raise BadInput("holds cases already", file=address.shown, mend="name an empty database")
            connection.execute(about.delete())
            pour(connection, rows)
            connection.execute(update(about).values(moved_to=None))
            # Filled at one go: until the server knows what the tables hold it plans searches badly.
            connection.execute(text("ANALYZE"))
    finally:
        engine.dispose()


def move(store: Store, target: Address) -> int:
    """Copies all of `store` to a new one at `target`, and has the old one refuse to save from then on.

    The old store is held against writers meanwhile, so nothing falls between the two. Returns the number of
    cases. Raises `BadInput`; then the old store goes on as before.
    """
    if target.url == store.address.url:
        raise BadInput("this is the same store", file=target.shown, mend="name another place")
    with store.writing() as connection:
        if store.address.file is None:
            connection.execute(text("LOCK TABLE about, cases, versions, names IN EXCLUSIVE MODE"))
        refuse_moved(connection)
        fill_new(target, contents(connection))
        _compare(connection, target)
        connection.execute(update(about).values(moved_to=target.shown))
    return store.count()


def _compare(source: Connection, target: Address) -> None:
    """Reads back what was written: only then is the old store closed."""
    engine = connect(target, make=False)
    try:
        with said_plainly(target), engine.connect() as there, there.begin():
            if fingerprint(contents(source)) != fingerprint(contents(there)):
                raise BadInput("does not read back the same", file=target.shown, mend="the old store stays")
    finally:
        engine.dispose()
