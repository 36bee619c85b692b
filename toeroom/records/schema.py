"""The tables of a store, as the newest migration leaves them. A test holds the two together.

Times are UTC, days and times are ISO texts: they sort, and read the same in SQLite and PostgreSQL.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    func,
)

REVISIONS = ("0001",)
"""Every schema this program opens, oldest first; the last is the one it works with."""
NEWEST = REVISIONS[-1]
REVISION_TABLE = "toeroom_schema"
APPLICATION_ID = 0x746F6572
"""Marks a SQLite file as a store of ours, in its header."""

metadata = MetaData()

about = Table(
    "about",
    metadata,
    Column("store_id", Text, primary_key=True),
    Column("made_at", Text, nullable=False),
    Column("moved_to", Text),
)
"""One row: which store this is, and where it was moved to."""

cases = Table(
    "cases",
    metadata,
    Column("code", Text, primary_key=True),
    Column("latest", Integer, nullable=False),
    Column("title", Text, nullable=False),
    Column("as_of", Text, nullable=False),
    Column("saved_at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("stop", Boolean, nullable=False),
    Column("next_due", Text),
    Column("book", Text, nullable=False),
    Column("sought", Text, nullable=False),
)
"""One row a case: what a list shows of its latest version. All of it can be had again from `versions`."""
Index("cases_by_lower_code", func.lower(cases.c.code), unique=True)
Index("cases_by_saved_at", cases.c.saved_at, cases.c.code)
Index("cases_by_as_of", cases.c.as_of, cases.c.code)
Index("cases_by_title", cases.c.title, cases.c.code)
Index("cases_by_next_due", cases.c.next_due, cases.c.code)

versions = Table(
    "versions",
    metadata,
    Column("case_code", Text, ForeignKey("cases.code"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("changes", Text, nullable=False),
    Column("as_of", Text, nullable=False),
    Column("book", Text, nullable=False),
    Column("program", Text, nullable=False),
    Column("document", Text, nullable=False),
    Column("plan_hash", Text, nullable=False),
    Column("parent", Text, nullable=False),
    Column("hash", Text, nullable=False),
)
"""Every version ever saved. `hash` covers all else of the row, and `parent` is the hash before it."""

plans = Table(
    "plans",
    metadata,
    Column("case_code", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("body", LargeBinary, nullable=False),
    ForeignKeyConstraint(["case_code", "number"], ["versions.case_code", "versions.number"]),
)
"""The plan of each version, JSON under zlib. Apart, so that going through documents does not read plans."""

due = Table(
    "due",
    metadata,
    Column("case_code", Text, ForeignKey("cases.code"), primary_key=True),
    Column("item", Text, primary_key=True),
    Column("side", Text, primary_key=True),
    *(Column(name, Text, nullable=False) for name in ("what", "why", "first", "last")),
    *(Column(name, Text, nullable=False) for name in ("source", "page", "category")),
)
"""What falls due by the latest version of each case: `toeroom.due.Due` without the standing, which hangs
on the day asked."""
Index("due_by_first", due.c.first)
Index("due_by_last", due.c.last)

names = Table(
    "names",
    metadata,
    Column("case_code", Text, ForeignKey("cases.code"), primary_key=True),
    Column("sealed", Text, nullable=False),
)
"""Names under encryption, for whoever must keep one. They have no versions: taken out is gone."""

name_lock = Table(
    "name_lock",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("salt", Text, nullable=False),
    Column("n", Integer, nullable=False),
    Column("r", Integer, nullable=False),
    Column("p", Integer, nullable=False),
    Column("proof", Text, nullable=False),
)
"""One row, of id 1, once a name is kept: how the passphrase makes the key, and a text that shows it fits."""

KINDS: dict[type, tuple[type, ...]] = {Integer: (int,), Boolean: (bool,), LargeBinary: (bytes,), Text: (str,)}
LARGEST_INTEGER = 2**31


def misfit(table: Table, row: Mapping[str, Any]) -> str | None:
    """The first column of `row` that `table` cannot hold, or that is not of it; None where all fit."""
    for name, value in row.items():
        if name not in table.c:
            return name
        column = table.c[name]
        if value is None and column.nullable:
            continue
        if type(value) not in KINDS[type(column.type)]:
            return name
        if isinstance(value, int) and not -LARGEST_INTEGER <= value < LARGEST_INTEGER:
            return name
        if isinstance(value, str) and not _storable(value):
            return name
    return None


def _storable(text: str) -> bool:
    """PostgreSQL holds no NUL, and UTF-8 no half of a character."""
    return "\0" not in text and not any("\ud800" <= c <= "\udfff" for c in text)


COPIED = (about, cases, versions, plans, due, names, name_lock)
"""All tables, in an order in which they can be filled."""
