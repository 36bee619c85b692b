"""The plan written to a file: whole, in the form that its name asks for."""

from __future__ import annotations

from pathlib import Path

import pytest

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.errors import BadInput
from toeroom.papers.kinds import KINDS
from toeroom.plan import Plan
from toeroom.plan_file import write_plan
from toeroom.sheet import make_sheet


@pytest.fixture
def case(book: Book) -> Case:
    return read_case(book.cases_demo / "open-wound-on-the-sole.yaml", book.vocabulary)


@pytest.fixture
def plan(book: Book, case: Case) -> Plan:
    return book.planner.plan(case)


def test_every_item_and_caution_of_the_plan_is_in_the_text(
    book: Book, case: Case, plan: Plan, tmp_path: Path
) -> None:
    write_plan(tmp_path / "plan.txt", case, plan, book)
    text = " ".join((tmp_path / "plan.txt").read_text().split())
    sheet = make_sheet(plan, book.vocabulary)
    for entry in sheet.all_entries:
        assert entry.act in text
        assert all(caution in text for caution in (*entry.cautions, *entry.more_cautions))
    assert "STOP left foot is not fitted today" in text
    assert sheet.deferral in text


@pytest.mark.parametrize(
    ("name", "begins"), [("p.md", b"# Plan"), ("p.HTML", b"<!DOCTYPE html>"), ("p.pdf", b"%PDF")]
)
def test_the_ending_decides(
    book: Book, case: Case, plan: Plan, tmp_path: Path, name: str, begins: bytes
) -> None:
    assert tmp_path / name in write_plan(tmp_path / name, case, plan, book)
    assert (tmp_path / name).read_bytes().startswith(begins)


def test_a_folder_gets_every_paper(book: Book, case: Case, plan: Plan, tmp_path: Path) -> None:
    written = write_plan(tmp_path / "papers", case, plan, book)
    assert {path.name for path in written} == {f"{case.id}-{kind}.pdf" for kind in KINDS}


@pytest.mark.parametrize("name", ["nowhere/plan.md", "nowhere/plan.txt", "nowhere/papers"])
def test_a_place_that_cannot_be_written_is_said(
    book: Book, case: Case, plan: Plan, tmp_path: Path, name: str
) -> None:
    with pytest.raises(BadInput, match=r"cannot be (written|made)"):
        write_plan(tmp_path / name, case, plan, book)
