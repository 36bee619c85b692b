"""Unsaved work kept aside: whole, apart from a person's files, and offered only when its app is gone."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.unsaved import Aside, left_behind

CASE = Case("t-1", date(2026, 11, 25), findings={("bunion", "left"): "yes"})
HOLDS = """
import sys
from datetime import date
from pathlib import Path
from toeroom.book import open_book
from toeroom.case import Case
from toeroom.unsaved import Aside

aside = Aside(Path(sys.argv[1]))
aside.keep("a", Case("t-1", date(2026, 11, 25), notes="x"), None, open_book().vocabulary)
print("kept", flush=True)
sys.stdin.read()
"""


def test_what_a_running_app_keeps_is_not_offered_and_after_a_kill_it_is(book: Book, tmp_path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-c", HOLDS, str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert child.stdout is not None
    assert child.stdout.readline() == b"kept\n"
    assert left_behind(book.vocabulary, tmp_path) == ()
    child.kill()
    child.wait()
    (left,) = left_behind(book.vocabulary, tmp_path)
    assert left.case is not None
    assert left.case.notes == "x"
    left.discard()
    assert list(tmp_path.iterdir()) == []


def test_clearing_the_last_leaves_nothing(book: Book, tmp_path: Path) -> None:
    aside = Aside(tmp_path)
    for name in ("a", "b"):
        aside.keep(name, CASE, None, book.vocabulary)
    aside.clear("a")
    assert (aside.folder / "b.yaml").exists()
    assert aside.folder.stat().st_mode & 0o077 == 0
    aside.clear("b")
    aside.clear("never kept")
    assert list(tmp_path.iterdir()) == []
    aside.keep("a", CASE, None, book.vocabulary)
    assert (aside.folder / "a.yaml").exists()


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(notes=st.text(max_size=80), name=st.text(max_size=20))
def test_case_and_path_come_back(book: Book, tmp_path: Path, notes: str, name: str) -> None:
    aside = Aside(tmp_path)
    case = Case("t-1", date(2026, 11, 25), notes=notes)
    path = Path("/somewhere") / f"x{name}"
    try:
        aside.keep("a", case, path, book.vocabulary)
    except BadInput:
        return
    aside._lock.close()  # type: ignore[union-attr]
    (left,) = left_behind(book.vocabulary, tmp_path)
    assert (left.case, left.path) == (case, path)
    left.discard()


def test_what_cannot_be_read_is_named_and_not_lost(book: Book, tmp_path: Path) -> None:
    own = tmp_path / "gone"
    own.mkdir()
    (own / "a.yaml").write_text('# not saved; from: ""\ncase: x\nleft: {bunyon: yes}\n')
    (left,) = left_behind(book.vocabulary, tmp_path)
    assert left.case is None
    assert "bunyon" in left.fault
    assert left.file.exists()


def test_a_place_that_cannot_be_written_is_said(book: Book, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="cannot be written"):
        Aside(tmp_path / "file").keep("a", CASE, None, book.vocabulary)
