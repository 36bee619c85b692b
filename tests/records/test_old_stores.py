"""A store of any released schema opens, whole; one of a later toeroom or of something else does not."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, text

from tests.records.freezing import FROZEN, NAME, PASSPHRASE
from tests.records.quick import QuickPlanning, vocabulary
from toeroom.errors import BadInput
from toeroom.records.address import address_of
from toeroom.records.checking import check_store
from toeroom.records.keeping import restore
from toeroom.records.migrating import STEPS
from toeroom.records.names import Names
from toeroom.records.schema import NEWEST, REVISION_TABLE, REVISIONS, metadata
from toeroom.records.store import Saved, Store, open_store


def thawed(revision: str, folder: Path, way: str) -> Path:
    """The frozen store of a schema, as a file again."""
    place = folder / "old.db"
    if way == "archive":
        restore(FROZEN / f"{revision}.archive", address_of(str(place)))
        return place
    with sqlite3.connect(place) as raw:
        raw.executescript((FROZEN / f"{revision}.sql").read_text(encoding="utf-8"))
    raw.close()
    place.chmod(0o600)
    return place


def check_all_is_there(store: Store) -> None:
    report = check_store(store, vocabulary())
    assert (report.cases, report.versions, report.faults) == (2, 3, ())
    first, second = store.history("leg-length-14-mm")
    assert (first.who, second.who) == ("KL", "AB")
    assert second.changes == ({"field": "as_of", "from": "2026-11-25", "to": "2026-11-26"},)
    assert store.plan("leg-length-14-mm", 1)["as_of"] == "2026-11-25"
    assert Names(store, PASSPHRASE).name("papers") == NAME
    assert [listed.next_due for listed in store.cases(find="papers")] == ["2026-12-31"]
    assert isinstance(store.save(second.text + "# on\n", "KL", 2), Saved)


@pytest.mark.parametrize("way", ["sql", "archive"])
@pytest.mark.parametrize("revision", REVISIONS)
def test_a_store_of_every_schema_opens_with_all_it_held(revision: str, way: str, tmp_path: Path) -> None:
    place = thawed(revision, tmp_path, way)
    with open_store(str(place), planning=QuickPlanning(), make=False) as store:
        check_all_is_there(store)


@pytest.mark.parametrize("revision", REVISIONS)
def test_an_archive_of_every_schema_goes_into_a_database(revision: str, database: str) -> None:
    restore(FROZEN / f"{revision}.archive", address_of(database))
    with open_store(database, planning=QuickPlanning(), make=False) as store:
        check_all_is_there(store)


@pytest.mark.filterwarnings("ignore:.*expression-based index")
def test_the_steps_lead_to_the_tables_the_program_works_with(either: str) -> None:
    scripts = ScriptDirectory(str(STEPS))
    assert scripts.get_heads() == [NEWEST]
    assert tuple(step.revision for step in scripts.walk_revisions())[::-1] == REVISIONS
    with open_store(either) as store, store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"version_table": REVISION_TABLE})
        assert compare_metadata(context, metadata) == []


def test_a_store_of_a_later_toeroom_is_refused_and_left_alone(either: str, tmp_path: Path) -> None:
    with open_store(either, planning=QuickPlanning()) as store:
        store.save("case: a-1\n", "KL")
        with store.writing() as connection:
            connection.execute(text(f"UPDATE {REVISION_TABLE} SET version_num = '9999'"))
    with pytest.raises(BadInput, match=r"written by a newer toeroom \(schema 9999\)"):
        open_store(either)


def test_a_database_of_something_else_is_refused_and_left_alone(database: str, tmp_path: Path) -> None:
    place = tmp_path / "theirs.db"
    with sqlite3.connect(place) as raw:
        raw.execute("CREATE TABLE theirs (x)")
    raw.close()
    before = place.read_bytes()
    with pytest.raises(BadInput, match="not a store of toeroom"):
        open_store(str(place))
    assert place.read_bytes() == before
    address = address_of(database)
    engine = create_engine(address.url)
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE theirs (x int)"))
    engine.dispose()
    with pytest.raises(BadInput, match="something else than a store"):
        open_store(database)


@pytest.mark.parametrize("content", [b"", b"hello", b"SQLite format 3\0" + b"\0" * 200, b"\x1f\x8b\x08" * 40])
def test_a_file_that_is_no_store_is_refused_and_left_alone(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "f").write_bytes(content)
    for make in (True, False):
        with pytest.raises(BadInput, match="not a store of toeroom"):
            open_store(str(tmp_path / "f"), make=make)
    assert (tmp_path / "f").read_bytes() == content
    assert [path.name for path in tmp_path.iterdir()] == ["f"]
