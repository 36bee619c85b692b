"""Check, backup, archive, restore and move: what is damaged is seen, and all comes back."""

from __future__ import annotations

import gzip
import sqlite3
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import text

from tests.records.quick import QuickPlanning, vocabulary
from toeroom.errors import BadInput
from toeroom.records.address import address_of
from toeroom.records.archive import check_archive, write_archive
from toeroom.records.checking import check_store
from toeroom.records.copying import contents, fingerprint, move
from toeroom.records.keeping import back_up, restore
from toeroom.records.store import Store, open_store

CASE = "case: c-{}\ntitle: case {} of many\nas_of: 2026-11-25\nleft: {{bunion: {}}}\nnotes: '{}'\n"


def filled(url: str, cases: int = 12) -> Store:
    """A store with two versions of each case."""
    store = open_store(url, planning=QuickPlanning())
    for number in range(cases):
        store.save(CASE.format(number, number, "yes", "x" * 900), "KL")
        store.save(CASE.format(number, number, "no", "y" * 900), "AB", 1)
    return store


def everything(store: Store) -> str:
    with store.reading() as connection:
        return fingerprint(contents(connection))


def faults(store: Store) -> list[str]:
    return [str(fault) for fault in check_store(store, vocabulary()).faults]


# --- check ---------------------------------------------------------------------------------------
def test_a_whole_store_holds_together(either: str) -> None:
    with filled(either) as store:
        report = check_store(store, vocabulary())
        assert (report.cases, report.versions, report.faults) == (12, 24, ())


SECRETLY = {
    "UPDATE versions SET document = replace(document, 'yes', 'no') WHERE case_code = 'c-3' AND number = 1": [
        "c-3, version 1: was changed since it was saved: its hash does not fit"
    ],
    "UPDATE versions SET who = 'ZZ' WHERE case_code = 'c-3' AND number = 1": [
        "c-3, version 1: was changed since it was saved: its hash does not fit"
    ],
    "UPDATE cases SET title = 'another' WHERE code = 'c-3'": [
        "c-3: the list has another title than its latest version"
    ],
    "UPDATE cases SET latest = 1 WHERE code = 'c-3'": [
        "c-3: version 1 is listed as the latest, and there are 2"
    ],
    "UPDATE plans SET body = x'00' WHERE case_code = 'c-3' AND number = 2": [
        "c-3, version 2: its plan cannot be read: it is cut off, or far too large"
    ],
    "DELETE FROM plans WHERE case_code = 'c-3' AND number = 2": ["c-3, version 2: its plan is missing"],
    "DELETE FROM due WHERE case_code = 'c-3'": ["c-3: the list has another day of what falls due next"],
    "DELETE FROM plans WHERE case_code = 'c-3' AND number = 1; "
    "DELETE FROM versions WHERE case_code = 'c-3' AND number = 1": ["c-3: version 1 is missing"],
    "PRAGMA foreign_keys = OFF; INSERT INTO names VALUES ('nobody', 'x')": [
        "a row of 'names' belongs to nothing in 'cases'"
    ],
    "UPDATE versions SET number = 'two' WHERE case_code = 'c-3' AND number = 1": None,
    "UPDATE cases SET stop = 'maybe' WHERE code = 'c-3'": [
        "c-3: the list says otherwise than its latest plan whether it is a stop"
    ],
}
"""What somebody does with another program, and the faults that it says. None: any."""


@pytest.mark.parametrize("deed", SECRETLY)
def test_what_was_changed_behind_its_back_is_said(tmp_path: Path, deed: str) -> None:
    filled(str(tmp_path / "s.db")).close()
    with sqlite3.connect(tmp_path / "s.db") as raw:
        raw.executescript(deed)
    raw.close()
    with open_store(str(tmp_path / "s.db")) as store:
        found = faults(store)
        assert found
        assert SECRETLY[deed] is None or found == SECRETLY[deed]


@pytest.mark.parametrize(
    "deed", ["versions SET document = replace(document, 'yes', 'no')", "plans SET body = x'00'"]
)
def test_what_was_changed_is_not_shown_as_what_was_saved(tmp_path: Path, deed: str) -> None:
    filled(str(tmp_path / "s.db")).close()
    with sqlite3.connect(tmp_path / "s.db") as raw:
        raw.execute(f"UPDATE {deed} WHERE case_code = 'c-3' AND number = 1")
    raw.close()
    with (
        open_store(str(tmp_path / "s.db")) as store,
        pytest.raises(BadInput, match="was changed since it was saved"),
    ):
        (store.load if "document" in deed else store.plan)("c-3", 1)


def test_a_document_that_no_longer_reads_is_said(tmp_path: Path) -> None:
    class Careless(QuickPlanning):
        def __call__(self, text: str, name: str):  # type: ignore[no-untyped-def]
            return super().__call__(text.replace("bunionn", "bunion"), name)

    with open_store(str(tmp_path / "s.db"), planning=Careless()) as store:
        store.save("case: c-1\nas_of: 2026-11-25\nleft: {bunionn: yes}\n", "KL")
        (said,) = faults(store)
        assert said.startswith("c-1, version 1: does not read as a case: 'bunionn' is not known here")


def test_a_file_others_may_read_is_said(quick_store: Store) -> None:
    assert quick_store.address.file is not None
    quick_store.address.file.chmod(0o644)
    assert "others may read the file" in faults(quick_store)[0]


def _damage_pages(path: Path) -> None:
    """Overwrites a part of every page but the first, which makes it a store at all."""
    raw = bytearray(path.read_bytes())
    for page in range(2, len(raw) // 4096):
        raw[page * 4096 : page * 4096 + 200] = b"\xa5" * 200
    path.write_bytes(raw)


def _damage_one_letter(path: Path) -> None:
    """A letter of a document, where the database itself notices nothing."""
    raw = path.read_bytes()
    where = raw.index(b"yyyyyyyyyy")
    path.write_bytes(raw[:where] + b"z" + raw[where + 1 :])


@pytest.mark.parametrize("damage", [_damage_pages, _damage_one_letter])
@pytest.mark.parametrize("way", ["backup", "archive"])
def test_damage_is_seen_and_restore_brings_all_back(
    tmp_path: Path, damage: Callable[[Path], None], way: str
) -> None:
    place = tmp_path / "s.db"
    with filled(str(place)) as store:
        before = everything(store)
        if way == "backup":
            back_up(store, tmp_path / "kept")
        else:
            write_archive(store, tmp_path / "kept")
    damage(place)
    with open_store(str(place), make=False) as store:
        assert faults(store)
    broken = place.read_bytes()
    with pytest.raises(BadInput, match="there is a store already"):
        restore(tmp_path / "kept", address_of(str(place)))
    report, aside = restore(tmp_path / "kept", address_of(str(place)), replace=True)
    assert (report.cases, report.versions) == (12, 24)
    assert aside is not None
    assert len(aside.read_bytes()) == len(broken)
    with open_store(str(place), planning=QuickPlanning()) as store:
        assert everything(store) == before
        assert not faults(store)


def test_who_has_the_old_store_open_cannot_save_into_what_was_set_aside(tmp_path: Path) -> None:
    with filled(str(tmp_path / "s.db")) as desk:
        write_archive(desk, tmp_path / "kept")
        restore(tmp_path / "kept", desk.address, replace=True)
        with pytest.raises(BadInput, match="was moved"):
            desk.save("case: new\n", "KL")


# --- archive and backup ----------------------------------------------------------------------------
def test_an_archive_goes_from_either_kind_into_either(either: str, tmp_path: Path, database: str) -> None:
    with filled(either) as store:
        before = everything(store)
        write_archive(store, tmp_path / "a")
    assert stat.S_IMODE((tmp_path / "a").stat().st_mode) == 0o600
    for target in (str(tmp_path / "other.db"), database):
        if target == either:
            continue
        restore(tmp_path / "a", address_of(target))
        with open_store(target) as store:
            assert everything(store) == before
        with pytest.raises(BadInput, match="already"):
            restore(tmp_path / "a", address_of(target))


def test_any_byte_wrong_in_an_archive_is_seen_and_nothing_is_restored(tmp_path: Path) -> None:
    with filled(str(tmp_path / "s.db"), 2) as store:
        write_archive(store, tmp_path / "a")
    whole = (tmp_path / "a").read_bytes()
    bad = tmp_path / "bad"
    for where in range(10, len(whole) - 8, max(1, len(whole) // 60)):
        for wrong in (whole[:where], whole[:where] + bytes([whole[where] ^ 0x10]) + whole[where + 1 :]):
            bad.write_bytes(wrong)
            with pytest.raises(BadInput):
                restore(bad, address_of(str(tmp_path / "new.db")))
    assert not (tmp_path / "new.db").exists()
    assert not list(tmp_path.glob(".restoring*"))


def test_lines_changed_with_their_packing_mended_are_seen(tmp_path: Path) -> None:
    with filled(str(tmp_path / "s.db"), 2) as store:
        write_archive(store, tmp_path / "a")
    lines = gzip.decompress((tmp_path / "a").read_bytes()).splitlines(keepends=True)
    for wrong in (
        lines[:-1],
        lines[:3] + lines[4:],
        [*lines, lines[-1]],
        [line.replace(b"KL", b"ZZ") for line in lines],
    ):
        (tmp_path / "b").write_bytes(gzip.compress(b"".join(wrong)))
        with pytest.raises(BadInput, match=r"cut off|checksum|after its end"):
            check_archive(tmp_path / "b")


def test_a_backup_is_one_file_taken_while_others_write(quick_store: Store, tmp_path: Path) -> None:
    quick_store.save("case: c-1\n", "KL")
    with quick_store.writing() as connection:
        connection.execute(text("UPDATE cases SET title = 'half done'"))
        back_up(quick_store, tmp_path / "b.db")
    with sqlite3.connect(tmp_path / "b.db") as raw:
        assert raw.execute("SELECT title FROM cases").fetchall() == [("",)]
    assert stat.S_IMODE((tmp_path / "b.db").stat().st_mode) == 0o600
    assert [path.name for path in tmp_path.glob("b.db*")] == ["b.db"]


def test_nothing_is_written_over(quick_store: Store, tmp_path: Path) -> None:
    (tmp_path / "there").write_text("dear")
    for write in (back_up, write_archive):
        with pytest.raises(BadInput, match="there already"):
            write(quick_store, tmp_path / "there")
    with pytest.raises(BadInput, match="there already"):
        move(quick_store, address_of(str(tmp_path / "there")))
    assert (tmp_path / "there").read_text() == "dear"


# --- move ----------------------------------------------------------------------------------------
def test_move_takes_all_along_and_the_old_store_saves_no_more(tmp_path: Path, database: str) -> None:
    with filled(str(tmp_path / "s.db")) as old:
        before = everything(old)
        assert move(old, address_of(database)) == 12
        assert old.moved_to()
        with pytest.raises(BadInput, match="was moved"):
            old.save("case: new\n", "KL")
        with pytest.raises(BadInput, match="was moved"):
            move(old, address_of(str(tmp_path / "third.db")))
    with open_store(database, planning=QuickPlanning()) as new:
        assert everything(new) == before
        assert not faults(new)
        new.save("case: new\n", "KL")
        move(new, address_of(str(tmp_path / "back.db")))
    with open_store(str(tmp_path / "back.db"), planning=QuickPlanning()) as back:
        assert back.count() == 13
        assert not faults(back)


def test_a_move_that_fails_leaves_the_old_store_as_it_was(tmp_path: Path) -> None:
    with filled(str(tmp_path / "s.db")) as old:
        with pytest.raises(BadInput):
            move(old, address_of("postgresql://nobody@127.0.0.1:1/none"))
        assert old.moved_to() is None
        old.save("case: new\n", "KL")
