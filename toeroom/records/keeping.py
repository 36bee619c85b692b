"""Backups of a store in a file, and bringing a store back from a backup or an archive."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import update

from toeroom.errors import BadInput
from toeroom.files import place_new
from toeroom.records.address import Address, address_of
from toeroom.records.archive import GZIP_MAGIC, archived, check_archive
from toeroom.records.checking import StoreReport, check_store
from toeroom.records.connecting import is_store
from toeroom.records.copying import contents, fill_new
from toeroom.records.schema import about
from toeroom.records.store import Store, open_store

COMPANIONS = ("-wal", "-shm")
"""What stands beside a SQLite store's file while it is open, or after a crash."""


def back_up(store: Store, path: Path) -> None:
    """A copy of a store's file at `path`, as of one moment, while others go on saving.

    Raises `BadInput` where there is a file already, where the store is damaged, or is no file.
    """
    if store.address.file is None:
        raise BadInput(
            "a database of a server is no file", file=store.address.shown, mend="use 'store archive'"
        )
    try:
        if path.exists():
            raise BadInput("is there already", file=str(path), mend="name another file")
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        os.close(handle)
        try:
            _copy_live(store.address.file, Path(name))
            place_new(Path(name), path)
        finally:
            Path(name).unlink(missing_ok=True)
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})", file=str(path), mend="name another place"
        ) from None
    except sqlite3.Error as error:
        raise BadInput(
            f"cannot be copied ({error})", file=store.address.shown, mend="see 'toeroom store check'"
        ) from None


def _copy_live(source: Path, target: Path) -> None:
    there = sqlite3.connect(target)
    try:
        here = sqlite3.connect(source)
        try:
            here.backup(there)
        finally:
            here.close()
        # A backup is one file: nothing beside it that could be left behind.
        there.execute("PRAGMA journal_mode = DELETE")
        found = there.execute("PRAGMA integrity_check(1)").fetchone()[0]
        if found != "ok":
            raise sqlite3.DatabaseError(found)
    finally:
        there.close()
    with target.open("rb") as stream:
        os.fsync(stream.fileno())


def restore(
    path: Path, address: Address, *, replace: bool = False, despite_faults: bool = False
) -> tuple[StoreReport, Path | None]:
    """A store at `address` with all that the archive or backup at `path` holds.

    It is built beside, checked whole, and only then put in place. `replace`: a store that stands there, even
    a damaged one, is set aside (second of what is returned), never deleted. Raises `BadInput` where there is
    one and `replace` does not say so, and where the check finds faults and `despite_faults` does not.
    """
    if address.file is not None and address.file.exists() and not replace:
        raise BadInput(
            "there is a store already", file=address.shown, mend="--replace sets it aside, and keeps it"
        )
    try:
        return _restore(path, address, despite_faults=despite_faults)
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})", file=address.shown, mend="name another place"
        ) from None


def _restore(path: Path, address: Address, *, despite_faults: bool) -> tuple[StoreReport, Path | None]:
    folder = None if address.file is None else address.file.parent
    if folder is not None:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder, prefix=".restoring.") as name:
        built = address_of(str(Path(name) / "store.db"))
        _build(path, built, Path(name))
        with open_store(str(built.file), make=False) as store:
            report = check_store(store)
            if report.faults and not despite_faults:
                what = f"{len(report.faults)} faults, first: {report.faults[0]}"
                raise BadInput(what, file=str(path), mend="--despite-faults restores it all the same")
            if address.file is None:
                with store.reading() as connection:
                    fill_new(address, contents(connection))
                return report, None
        assert built.file is not None
        return report, _put_in_place(built.file, address.file)


def _build(source: Path, target: Address, scratch: Path) -> None:
    try:
        with source.open("rb") as stream:
            header = stream.read(72)
    except OSError as error:
        raise BadInput(
            f"cannot be read ({error.strerror})", file=str(source), mend="check the name"
        ) from None
    if header.startswith(GZIP_MAGIC):
        schema = check_archive(source)
        fill_new(target, archived(source), schema)
    elif is_store(header):
        with _opened_copy(source, scratch / "backup.db") as store, store.reading() as connection:
            fill_new(target, contents(connection))
    else:
        raise BadInput("is neither an archive nor a backup", file=str(source), mend="name one of the two")


@contextmanager
def _opened_copy(source: Path, copy: Path) -> Iterator[Store]:
    """A backup is never opened itself: an older one would be brought to the newest schema."""
    for companion in ("", "-wal"):
        with suppress(FileNotFoundError):
            shutil.copyfile(f"{source}{companion}", f"{copy}{companion}")
    with open_store(str(copy), make=False) as store:
        yield store


def _put_in_place(built: Path, place: Path) -> Path | None:
    if not place.exists():
        place_new(built, place)
        return None
    now = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%f")
    aside = place.with_name(f"{place.name}.before-{now}")
    _close_to_others(place)
    with suppress(OSError):
        # So that something stands in the place throughout; where that cannot be, it is renamed below.
        os.link(place, aside)
    for companion in COMPANIONS:
        # The log of the old store must be gone before the new one stands there: it would be read into it.
        with suppress(FileNotFoundError):
            os.rename(f"{place}{companion}", f"{aside}{companion}")
    if not aside.exists():
        place.rename(aside)
    os.replace(built, place)
    return aside


def _close_to_others(place: Path) -> None:
    """A desk that has the old store open would go on saving into the file set aside."""
    with (
        suppress(BadInput),
        open_store(str(place), make=False) as old,
        old.writing() as connection,
    ):
        connection.execute(update(about).values(moved_to=str(place)))
