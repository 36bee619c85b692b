"""Gathering what falls due, from a folder and from a store."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from toeroom.book import Book
from toeroom.due.gathering import WEEKS, from_folder, from_store
from toeroom.errors import BadInput
from toeroom.records.store import open_store

ON = date(2026, 11, 25)
WOUND = "case: {id}\nas_of: 2026-11-25\nleft: {{open_wound: yes}}\ndates: {{inserts_changed: 2026-01-01}}\n"


@pytest.fixture(autouse=True)
def own_places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("TOEROOM_STORE", raising=False)


def test_a_folder_and_a_store_of_the_same_cases_agree(tmp_path: Path, book: Book) -> None:
    with open_store(book=book) as store:
        for name in ("a-1", "b-1"):
            (tmp_path / f"{name}.yaml").write_text(WOUND.format(id=name))
            store.save(WOUND.format(id=name), "KL")
    folder, kept = from_folder(tmp_path, book, ON), from_store(book, ON)
    assert (folder.cases, kept.cases, folder.faults, kept.faults) == (2, 2, (), ())
    for weeks in WEEKS:
        assert folder.groups(weeks) == kept.groups(weeks)
    titles = [group.title for group in folder.groups(WEEKS[0])]
    assert titles == ["STOP: refer before anything else", "Overdue"]
    first = folder.groups(WEEKS[0])[0].entries[0]
    case, path = folder.case_of(first, book)
    assert (case.id, path) == ("a-1", tmp_path / "a-1.yaml")
    assert kept.case_of(first, book) == (case, None)


def test_a_bad_file_is_a_fault_and_the_others_count(tmp_path: Path, book: Book) -> None:
    (tmp_path / "a.yaml").write_text("case: a-1\nleft: {no_such_thing: yes}\n")
    (tmp_path / "b.yml").write_text(WOUND.format(id="b-1"))
    found = from_folder(tmp_path, book, ON)
    assert found.cases == 1
    assert len(found.faults) == 1
    assert "a.yaml, line 2" in found.faults[0]
    assert {due.case for due in found.entries} == {"b-1"}


def test_no_stop_is_lost_where_two_files_hold_a_case(tmp_path: Path, book: Book) -> None:
    (tmp_path / "a.yaml").write_text("case: x-1\nas_of: 2026-11-25\n")
    (tmp_path / "b.yaml").write_text(WOUND.format(id="x-1"))
    found = from_folder(tmp_path, book, ON)
    stop = found.groups(WEEKS[0])[0].entries[0]
    assert stop.id == "stop"
    assert "b.yaml: holds the case 'x-1' as a.yaml does" in found.faults[0]
    with pytest.raises(BadInput, match=r"a\.yaml and b\.yaml both hold"):
        found.case_of(stop, book)


def test_no_store_yet_is_no_fault_and_a_broken_one_is(tmp_path: Path, book: Book) -> None:
    found = from_store(book, ON)
    assert (found.said, found.faults) == ("There is no record store yet.", ())
    (tmp_path / "data" / "toeroom").mkdir(parents=True)
    (tmp_path / "data" / "toeroom" / "store.db").write_text("something else")
    broken = from_store(book, ON)
    assert broken.said == ""
    assert "not a store of toeroom" in broken.faults[0]


def test_what_is_no_folder_is_a_fault(tmp_path: Path, book: Book) -> None:
    assert "no folder" in from_folder(tmp_path / "nowhere", book, ON).faults[0]


def test_the_last_day_is_a_sunday_and_the_first_week_is_that_of_the_day(book: Book) -> None:
    found = replace(from_store(book, ON), on=ON)
    assert found.last_day(1) == date(2026, 11, 29)
    assert found.last_day(8) == date(2027, 1, 17)
