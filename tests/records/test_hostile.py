"""What somebody else made: ids that lead out of a folder, bombs, SQL in notes, stores with more in them."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from tests.records.quick import QuickPlanning
from toeroom.cli import main
from toeroom.errors import BadInput
from toeroom.records.address import address_of
from toeroom.records.archive import write_archive
from toeroom.records.casefile import export_cases
from toeroom.records.checking import check_store
from toeroom.records.keeping import restore
from toeroom.records.store import Store, open_store

PATHS = ["../out", "/etc/out", "..", "a/b", "a\\b", "a\0b", "C:out", "-", "a.yaml", "", "a" * 65, "a\nb"]
SQL = "'; DROP TABLE versions; --\" \\ %_ $1 :x ?"
ESCAPES = "\x1b[2J\x1b]0;gone\x07\u202e"


@pytest.mark.parametrize("code", PATHS)
def test_a_case_id_that_could_be_a_path_is_refused_on_the_way_in(quick_store: Store, code: str) -> None:
    with pytest.raises(BadInput):
        quick_store.save(f"case: {json.dumps(code)}\n", "KL")
    assert quick_store.count() == 0


@pytest.mark.parametrize("code", [path for path in PATHS if "\0" not in path])
def test_an_id_that_got_in_otherwise_leads_out_of_no_folder(
    quick_store: Store, code: str, tmp_path: Path
) -> None:
    quick_store.save("case: a-1\n", "KL")
    with quick_store.writing() as connection:
        connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
        for table, column in (
            ("cases", "code"),
            ("versions", "case_code"),
            ("plans", "case_code"),
            ("due", "case_code"),
        ):
            connection.execute(text(f"UPDATE {table} SET {column} = :code"), {"code": code})
    (tmp_path / "out" / "in").mkdir(parents=True)
    with pytest.raises(BadInput, match="is no case id"):
        export_cases(quick_store, tmp_path / "out" / "in")
    assert not [path for path in (tmp_path / "out").rglob("*") if path.is_file()]
    assert any("no case id" in str(fault) for fault in check_store(quick_store).faults)


BOMBS = {
    "anchors": "a: &a [x, x]\nb: &b [*a, *a]\ncase: a-1\n",
    "tag": "case: a-1\nnotes: !!python/object/apply:os.system [true]\n",
    "deep": "case: a-1\nnotes: " + "[" * 5000 + "]" * 5000,
    "large": "case: a-1\nnotes: " + "x" * 200_001,
    "twice": "case: a-1\ncase: a-2\n",
    "documents": "case: a-1\n---\ncase: a-2\n",
    "half a character": "case: a-1\nnotes: \ud800\n",
    "nul": "case: a-1\nnotes: a\0b\n",
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_yaml_bombs_are_refused(quick_store: Store, bomb: str) -> None:
    with pytest.raises(BadInput):
        quick_store.save(BOMBS[bomb], "KL")
    quick_store.save("case: a-1\n", "KL")
    with pytest.raises(BadInput):
        quick_store.save(BOMBS[bomb], "KL", 1)
    assert not check_store(quick_store).faults


def test_sql_and_escapes_in_a_case_are_words(either: str, capsys: pytest.CaptureFixture[str]) -> None:
    document = f"case: a-1\ntitle: {json.dumps(SQL + ESCAPES)}\nnotes: {json.dumps(SQL + ESCAPES)}\n"
    with open_store(either, planning=QuickPlanning()) as store:
        store.save(document, "KL")
        assert store.load("a-1").text == document
        assert [listed.case for listed in store.cases(find=SQL)] == ["a-1"]
        assert store.cases(find="%_%") == []
        for found in (store.cases(find="' OR 1=1 --"), store.cases(find="\\")[1:]):
            assert found == []
        with pytest.raises(BadInput, match="has no case"):
            store.load("a-1' OR '1'='1")
        assert not check_store(store).faults
    for command in (["list"], ["history", "a-1"], ["show", "a-1"], ["csv"]):
        assert main(["store", *command, "--store", either]) == 0
    assert not set("\x1b\x07\u202e") & set(capsys.readouterr().out)


def test_a_store_with_a_trigger_is_refused(tmp_path: Path) -> None:
    open_store(str(tmp_path / "s.db")).close()
    with sqlite3.connect(tmp_path / "s.db") as raw:
        raw.execute("CREATE TRIGGER t AFTER INSERT ON versions BEGIN DELETE FROM versions; END")
    raw.close()
    with pytest.raises(BadInput, match="not a store of ours: it holds 't'"):
        open_store(str(tmp_path / "s.db"))


def test_a_store_with_a_table_missing_is_refused(tmp_path: Path) -> None:
    open_store(str(tmp_path / "s.db")).close()
    with sqlite3.connect(tmp_path / "s.db") as raw:
        raw.execute("DROP TABLE due")
    raw.close()
    with pytest.raises(BadInput, match="'due' is missing"):
        open_store(str(tmp_path / "s.db"))


# --- archives with a good checksum and bad content ---------------------------------------------------
def rows_of(path: Path) -> list[Any]:
    return [json.loads(line) for line in gzip.decompress(path.read_bytes()).splitlines()[:-1]]


def archive_with(path: Path, rows: list[Any]) -> Path:
    raw = b"".join(json.dumps(row).encode() + b"\n" for row in rows)
    end = {"rows": len(rows) - 1, "sha256": hashlib.sha256(raw).hexdigest()}
    path.write_bytes(gzip.compress(raw + json.dumps(end).encode() + b"\n"))
    return path


def changed(rows: list[Any], table: str, **values: object) -> list[Any]:
    header, *others = rows
    return [header, *([name, {**row, **values} if name == table else row] for name, row in others)]


@pytest.fixture
def rows(quick_store: Store, tmp_path: Path) -> list[Any]:
    quick_store.save("case: a-1\n", "KL")
    write_archive(quick_store, tmp_path / "good")
    return rows_of(tmp_path / "good")


@pytest.mark.parametrize(
    ("table", "values"),
    [
        ("versions", {"number": "two"}),
        ("versions", {"number": 2**70}),
        ("versions", {"number": True}),
        ("versions", {"document": {"a": 1}}),
        ("versions", {"document": None}),
        ("versions", {"document": "a\0b"}),
        ("versions", {"document": "\ud800"}),
        ("versions", {"x; DROP TABLE cases": 1}),
        ("versions", {"who": "ZZ"}),
        ("cases", {"code": "../../out"}),
        ("cases", {"stop": True}),
        ("plans", {"body": "no base64!"}),
        ("plans", {"body": base64.b64encode(gzip.compress(b"x")).decode()}),
        ("due", {"last": "2026-01-01"}),
    ],
)
def test_bad_rows_in_an_archive_are_refused(
    rows: list[Any], tmp_path: Path, table: str, values: dict[str, object]
) -> None:
    bad = archive_with(tmp_path / "bad", changed(rows, table, **values))
    with pytest.raises(BadInput):
        restore(bad, address_of(str(tmp_path / "new.db")))
    assert not (tmp_path / "new.db").exists()


def test_the_archive_these_are_made_from_is_good(rows: list[Any], tmp_path: Path) -> None:
    report, _ = restore(archive_with(tmp_path / "same", rows), address_of(str(tmp_path / "new.db")))
    assert report.faults == ()


@pytest.mark.parametrize(
    "row", [["sqlite_master", {}], ["versions"], [1, 2], "x", 7, ["cases", {}], [["a"], {}], ["due", []]]
)
def test_rows_that_are_none_are_refused(rows: list[Any], tmp_path: Path, row: object) -> None:
    with pytest.raises(BadInput):
        restore(archive_with(tmp_path / "bad", [*rows, row]), address_of(str(tmp_path / "new.db")))


def test_an_archive_of_a_later_toeroom_or_of_something_else_is_refused(
    rows: list[Any], tmp_path: Path
) -> None:
    for header, said in (({**rows[0], "schema": "9999"}, "newer toeroom"), ({"kind": "x"}, "not an archive")):
        with pytest.raises(BadInput, match=said):
            restore(archive_with(tmp_path / "bad", [header, *rows[1:]]), address_of(str(tmp_path / "new.db")))


def test_faults_can_be_restored_on_purpose(rows: list[Any], tmp_path: Path) -> None:
    bad = archive_with(tmp_path / "bad", changed(rows, "versions", who="ZZ"))
    report, _ = restore(bad, address_of(str(tmp_path / "new.db")), despite_faults=True)
    assert any(fault.what.startswith("was changed since it was saved") for fault in report.faults)
