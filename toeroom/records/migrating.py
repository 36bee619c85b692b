"""Bringing the tables of a store to the schema this program works with."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection, inspect, text

from toeroom.errors import BadInput
from toeroom.records.address import Address
from toeroom.records.schema import COPIED, NEWEST, REVISION_TABLE, REVISIONS, about

STEPS = Path(__file__).parent / "migrations"


def revision_of(connection: Connection, address: Address) -> str | None:
    """The schema a database is at; None where it is empty.

    Raises `BadInput` where it belongs to something else, or to a toeroom newer than this one.
    """
    found = inspect(connection)
    tables = set(found.get_table_names())
    if REVISION_TABLE not in tables:
        if tables:
            raise BadInput("this holds something else than a store", file=address.shown, mend="name another")
        return None
    revision = connection.execute(text(f"SELECT version_num FROM {REVISION_TABLE}")).scalar()
    if revision not in REVISIONS:
        what = f"was written by a newer toeroom (schema {revision})"
        raise BadInput(what, file=address.shown, mend="use that one")
    _refuse_strangers(connection, address, {table.name for table in COPIED} - tables)
    return str(revision)


def _refuse_strangers(connection: Connection, address: Address, missing: set[str]) -> None:
    """Views and triggers would run what is not ours, with every save."""
    added = ()
    if connection.dialect.name == "sqlite":
        strange = "SELECT name FROM sqlite_master WHERE type IN ('view', 'trigger')"
        added = tuple(connection.execute(text(strange)).scalars())
    if added or missing:
        what = f"it holds '{added[0]}'" if added else f"'{min(missing)}' is missing"
        raise BadInput(f"this is not a store of ours: {what}", file=address.shown, mend="restore a backup")


def upgrade(connection: Connection, revision: str = NEWEST) -> None:
    """Brings the tables to `revision`, in the transaction that is open on `connection`."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(STEPS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def found_store(connection: Connection) -> None:
    """Writes down which store this is, once its tables are there."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    connection.execute(about.insert().values(store_id=secrets.token_hex(8), made_at=now))
