"""An answer goes into the case file, and nothing else of the file changes."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from toeroom.book import Book
from toeroom.case import read_case
from toeroom.errors import BadInput
from toeroom.fit_check.writing import with_answer, write_answer

CASE = """# kept
case: a            # kept too
as_of: 2026-11-25
left: {bunion: yes,
       callus: no}   # and this
notes: >-
  one
  two
"""


def test_the_block_is_added_at_the_end() -> None:
    after = with_answer(CASE, ("left", "room_mm"), Decimal(13))
    assert after == CASE + "fit_check:\n  left:\n    room_mm: 13\n"


def test_a_block_in_the_middle_keeps_what_stands_round_it() -> None:
    text = CASE.replace(
        "notes:", "fit_check:\n  left:\n    # by rule\n    room_mm: 12   # first\n\n# on notes\nnotes:"
    )
    after = with_answer(text, ("right", "skin_whole"), "yes")
    wanted = "    room_mm: 12   # first\n  right:\n    skin_whole: yes\n\n# on notes\nnotes:"
    assert after == text.replace("    room_mm: 12   # first\n\n# on notes\nnotes:", wanted)


def test_a_flow_block_and_another_value() -> None:
    text = CASE + "fit_check: {left: {room_mm: 12}}\n"
    assert (
        with_answer(text, ("left", "room_mm"), Decimal("13.5"))
        == CASE + "fit_check: {left: {room_mm: 13.5}}\n"
    )


def test_windows_line_ends_stay() -> None:
    after = with_answer(CASE.replace("\n", "\r\n"), ("left", "room_mm"), Decimal(13))
    assert after.replace("\r\n", "") == after.replace("\r\n", "").replace("\n", "")
    assert after.replace("\r\n", "\n").startswith(CASE)


def test_a_file_without_a_last_line_end() -> None:
    assert with_answer("case: a", ("left", "room_mm"), Decimal(1)).splitlines()[0] == "case: a"


def test_rights_and_links_stay(tmp_path: Path, book: Book) -> None:
    real, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    real.write_text(CASE)
    real.chmod(0o600)
    link.symlink_to(real)
    check = write_answer(link, book.vocabulary, ("left", "room_mm"), Decimal(13))
    assert check.of("room_mm", "left") == 13
    assert link.is_symlink()
    assert real.stat().st_mode & 0o777 == 0o600
    assert read_case(real, book.vocabulary).fit_check == check


@pytest.mark.parametrize("text", ["{case: a, as_of: 2026-11-25}\n", "case: a\nas_of: 2026-11-25\n...\n"])
def test_a_file_that_would_change_otherwise_is_left_alone(text: str, tmp_path: Path, book: Book) -> None:
    path = tmp_path / "c.yaml"
    path.write_text(text)
    with pytest.raises(BadInput):
        write_answer(path, book.vocabulary, ("left", "room_mm"), Decimal(13))
    assert path.read_text() == text
