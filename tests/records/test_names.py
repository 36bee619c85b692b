"""A name is kept under a passphrase, and nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import text

from toeroom.errors import BadInput
from toeroom.records import names
from toeroom.records.archive import write_archive
from toeroom.records.names import Names, forget
from toeroom.records.store import Store

NAME = "Wilhelmina Überschär"
PASSPHRASE = "four words and more"


@pytest.fixture
def named(quick_store: Store) -> Store:
    for code in ("c-1", "c-2"):
        quick_store.save(f"case: {code}\n", "KL")
        Names(quick_store, PASSPHRASE).keep(code, f"{NAME} {code}")
    return quick_store


def test_the_passphrase_opens_it_and_another_does_not(named: Store) -> None:
    assert Names(named, PASSPHRASE).name("c-1") == f"{NAME} c-1"
    with pytest.raises(BadInput, match="does not fit"):
        Names(named, PASSPHRASE + " ").name("c-1")
    with pytest.raises(BadInput, match="does not fit"):
        Names(named, "another passphrase").keep("c-1", "Somebody")


def test_it_stands_in_no_file_and_in_no_version(named: Store, tmp_path: Path) -> None:
    write_archive(named, tmp_path / "archive")
    for path in tmp_path.iterdir():
        if path.is_file():
            raw = path.read_bytes()
            assert b"Wilhelmina" not in raw, path
    assert "Wilhelmina" not in named.load("c-1").text


def test_a_sealed_name_does_not_open_for_another_case(named: Store) -> None:
    with named.writing() as connection:
        other = "(SELECT sealed FROM names WHERE case_code = 'c-1')"
        connection.execute(text(f"UPDATE names SET sealed = {other} WHERE case_code = 'c-2'"))
    with pytest.raises(BadInput, match="does not open"):
        Names(named, PASSPHRASE).name("c-2")


def test_another_passphrase_for_all(named: Store) -> None:
    assert Names(named, PASSPHRASE).change_passphrase("quite other words") == 2
    assert Names(named, "quite other words").name("c-2") == f"{NAME} c-2"
    with pytest.raises(BadInput, match="does not fit"):
        Names(named, PASSPHRASE).name("c-1")


def test_forgotten_is_gone(named: Store) -> None:
    assert [forget(named, "c-1"), forget(named, "c-1")] == [True, False]
    assert Names(named, PASSPHRASE).name("c-1") is None


@pytest.mark.parametrize("name", ["", "  ", "a\nb", "\x1b[2J", "x" * 201])
def test_what_is_no_name_is_refused(named: Store, name: str) -> None:
    with pytest.raises(BadInput, match="no name"):
        Names(named, PASSPHRASE).keep("c-1", name)


def test_a_short_passphrase_is_refused(quick_store: Store) -> None:
    quick_store.save("case: c-1\n", "KL")
    with pytest.raises(BadInput, match="too short"):
        Names(quick_store, "short").keep("c-1", NAME)
    assert not names.has_passphrase(quick_store)


@pytest.mark.parametrize("n", [1, 2, 2**15, 2**16 + 1, 2**30])
def test_a_lock_that_asks_for_no_work_or_for_all_memory_is_refused(named: Store, n: int) -> None:
    with named.writing() as connection:
        connection.execute(text("UPDATE name_lock SET n = :n"), {"n": n})
    with pytest.raises(BadInput, match="not one of ours"):
        Names(named, PASSPHRASE).name("c-1")
