"""Opening a store's database safely: only ours, never half-made, every commit on the disk."""

from __future__ import annotations

import os
import struct
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL
from sqlalchemy.pool import NullPool

from toeroom.errors import BadInput
from toeroom.files import place_new
from toeroom.records.address import Address
from toeroom.records.faults import said_plainly
from toeroom.records.migrating import found_store, revision_of, upgrade
from toeroom.records.schema import APPLICATION_ID, NEWEST

BUSY_SECONDS = 30
WRITING = "toeroom_writing"
"""The execution option of a connection that will write: SQLite then waits at its beginning."""
MIGRATING = 0x746F6572
"""PostgreSQL's advisory lock while tables are made."""
SQLITE_MAGIC = b"SQLite format 3\0"

Fill = Callable[[Connection], None]


def connect(address: Address, *, make: bool) -> Engine:
    """The engine of the store at `address`, its tables at the newest schema; new where `make` says so.

    Raises `BadInput` where there is none, where it is not ours, newer than this program, or unreachable.
    """
    with said_plainly(address):
        if address.file is not None:
            if make and not _is_there(address.file):
                with suppress(FileExistsError):
                    make_file(address.file, found)
            _refuse_other_files(address.file)
            engine = _sqlite(address.url)
        else:
            engine = _postgresql(address.url)
        try:
            _bring_up(engine, address, make=make)
        except BaseException:
            engine.dispose()
            raise
        return engine


def found(connection: Connection) -> None:
    """Fills a new database with the tables of a store, and nothing in them."""
    upgrade(connection)
    found_store(connection)


def _bring_up(engine: Engine, address: Address, *, make: bool) -> None:
    with engine.connect() as connection:
        revision = revision_of(connection, address)
    if revision == NEWEST:
        return
    if revision is None and not make:
        raise BadInput("there is no store yet", file=address.shown, mend="'toeroom store save' makes one")
    with engine.connect().execution_options(**{WRITING: True}) as connection, connection.begin():
        if engine.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": MIGRATING})
        # Another process may have been here while this one waited.
        revision = revision_of(connection, address)
        if revision is None:
            found(connection)
        elif revision != NEWEST:
            upgrade(connection)


# --- SQLite --------------------------------------------------------------------------------------
def make_file(path: Path, fill: Fill) -> None:
    """A new SQLite store at `path`, filled by `fill`: there whole or not at all, for its owner only.

    Raises `FileExistsError` where another process was faster, `BadInput` where nothing can be written.
    """
    aside = None
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        os.close(handle)
        aside = Path(name)
        _build(aside, fill)
        place_new(aside, path)
        _sync(path.parent)
    except OSError as error:
        if aside is not None and isinstance(error, FileExistsError):
            raise
        raise BadInput(
            f"cannot be written ({error.strerror})", file=str(path), mend="name another place"
        ) from None
    finally:
        for companion in ("", "-wal", "-shm", "-journal") if aside is not None else ():
            Path(f"{aside}{companion}").unlink(missing_ok=True)


def _build(path: Path, fill: Fill) -> None:
    engine = _sqlite(URL.create("sqlite", database=str(path)), poolclass=NullPool)
    raw = engine.raw_connection()
    try:
        # Before the log is switched on, so that the mark stands in the file itself.
        raw.cursor().execute(f"PRAGMA application_id = {APPLICATION_ID}")
        raw.cursor().execute("PRAGMA journal_mode = WAL")
    finally:
        raw.close()
    with engine.connect().execution_options(**{WRITING: True}) as connection, connection.begin():
        fill(connection)
    engine.dispose()
    _sync(path)


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        # In a folder that may not be looked into; opening it says so.
        return True


def _refuse_other_files(path: Path) -> None:
    """Looks at the header alone: a file that is not ours is not even opened as a database."""
    try:
        with path.open("rb") as stream:
            header = stream.read(72)
    except FileNotFoundError:
        raise BadInput(
            "there is no store yet", file=str(path), mend="'toeroom store save' makes one"
        ) from None
    except OSError as error:
        raise BadInput(
            f"cannot be read ({error.strerror})", file=str(path), mend="check its rights"
        ) from None
    if not is_store(header):
        raise BadInput("this file is not a store of toeroom", file=str(path), mend="name another file")


def is_store(header: bytes) -> bool:
    """Whether the first 72 bytes of a file are those of a SQLite store of ours."""
    return header.startswith(SQLITE_MAGIC) and header[68:72] == struct.pack(">I", APPLICATION_ID)


def _sqlite(url: URL, **more: Any) -> Engine:
    engine = create_engine(url, connect_args={"timeout": BUSY_SECONDS}, **more)

    @event.listens_for(engine, "connect")
    def _prepare(raw: Any, _: object) -> None:
        raw.isolation_level = None
        for setting in (
            "foreign_keys = ON",
            "synchronous = FULL",
            "fullfsync = ON",
            "trusted_schema = OFF",
            "secure_delete = ON",
            "cell_size_check = ON",
        ):
            raw.execute(f"PRAGMA {setting}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # Whoever will write waits now: a reader that turns writer later could only be refused.
        writing = connection.get_execution_options().get(WRITING)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


# --- PostgreSQL ----------------------------------------------------------------------------------
def _postgresql(url: URL) -> Engine:
    try:
        engine = create_engine(url, pool_pre_ping=True, connect_args={"connect_timeout": 10})
    except ImportError:
        raise BadInput(
            "PostgreSQL needs a library that is not installed", mend="pip install 'toeroom[records]'"
        ) from None

    @event.listens_for(engine, "connect")
    def _prepare(raw: Any, _: object) -> None:
        # A server may be set to say "done" before the disk has it; a store never is.
        raw.autocommit = True
        raw.execute("SET synchronous_commit = on")
        raw.autocommit = False

    return engine
