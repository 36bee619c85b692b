"""Nothing is lost to a crash: unsaved work is kept aside and offered at the next start."""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import time
from pathlib import Path

import pytest
from conftest import find, new_case, open_demo, settled, type_text, until, words

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.case import read_case
from toeroom.unsaved import left_behind, unsaved_folder
from tui.app import ToeroomApp
from tui.first_time import mark_seen
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.left_behind import LeftBehindScreen


def kept(book: Book) -> list[str]:
    """The cases that stand aside, whoever holds them."""
    return sorted(path.name for path in unsaved_folder().glob("*/*.yaml"))


def crash(app: ToeroomApp) -> None:
    """The lock goes, as it does with a process; what was kept stays."""
    lock = app.library.aside._lock
    assert lock is not None
    lock.close()


async def test_every_change_is_kept_and_saving_clears_it(app: ToeroomApp, own_places: Path) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        assert kept(app.book) == []
        await pilot.press("y")
        assert kept(app.book) == [f"{desk.kept_as}.yaml"]
        (file,) = unsaved_folder().glob("*/*.yaml")
        assert read_case(file, app.book.vocabulary) == desk.open.case
        await pilot.press("ctrl+z")
        assert kept(app.book) == []
        await pilot.press("ctrl+r")
        assert read_case(next(unsaved_folder().glob("*/*.yaml")), app.book.vocabulary) == desk.open.case
        await pilot.press("ctrl+s", "enter")
        await pilot.pause()
        assert kept(app.book) == []
        assert [path.name for path in own_places.glob("*.yaml")] == ["t-1.yaml"]


async def test_leaving_without_saving_clears_it_and_staying_does_not(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await pilot.press("y", "escape", "escape")
        assert len(kept(app.book)) == 1
        await pilot.press("escape", "right", "right", "enter")
        await pilot.pause()
        assert isinstance(app.screen, CasesScreen)
        assert kept(app.book) == []
        await new_case(pilot, "t-2")
        await pilot.press("y", "ctrl+q", "right", "right", "enter")
        await pilot.pause()
        assert kept(app.book) == []


async def test_notes_are_kept_as_they_are_written(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await pilot.press("r")
        await pilot.pause()
        await type_text(pilot, "red")
        await pilot.pause()
        (file,) = unsaved_folder().glob("*/*.yaml")
        assert read_case(file, app.book.vocabulary).notes == "red"


async def test_after_a_crash_it_is_offered_and_opens_as_it_was(book: Book, own_places: Path) -> None:
    first = ToeroomApp(book)
    async with first.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        await find(pilot, "open wound")
        await pilot.press("y")
        lost = desk.open.case
        crash(first)
    again = ToeroomApp(book)
    async with again.run_test(size=(120, 36)) as pilot:
        await until(pilot, lambda: isinstance(again.screen, LeftBehindScreen))
        assert "bunion-and-numb-feet: Diabetes, a bunion on both feet" in words(again, "#left-list")
        await pilot.press("k")
        await pilot.pause()
        desk = await settled(pilot)
        assert desk.open.case == lost
        assert desk.open.unsaved
        assert "STOP" in words(again)
        assert left_behind(book.vocabulary) == ()
        assert len(kept(book)) == 1


async def test_it_is_thrown_away_only_when_asked_twice_and_esc_puts_it_off(book: Book) -> None:
    first = ToeroomApp(book)
    async with first.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await pilot.press("y")
        crash(first)
    second = ToeroomApp(book)
    async with second.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: isinstance(second.screen, LeftBehindScreen))
        await pilot.press("d", "escape")
        await pilot.pause()
        assert len(left_behind(book.vocabulary)) == 1
    third = ToeroomApp(book)
    async with third.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: isinstance(third.screen, LeftBehindScreen))
        await pilot.press("d", "d")
        await pilot.pause()
        assert isinstance(third.screen, CasesScreen)
        assert left_behind(book.vocabulary) == ()


@pytest.mark.parametrize("touched", [False, True])
async def test_a_file_changed_since_is_not_written_over(book: Book, own_places: Path, touched: bool) -> None:
    path = own_places / "mine.yaml"
    path.write_text("case: mine\nas_of: 2026-11-25\n")
    first = ToeroomApp(book)
    async with first.run_test(size=(120, 36)) as pilot:
        await pilot.press("o")
        await type_text(pilot, "mine.yaml")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(first.screen, DeskScreen))
        await pilot.press("y")
        crash(first)
    if touched:
        later = time.time() + 60
        os.utime(path, (later, later))
    again = ToeroomApp(book)
    async with again.run_test(size=(120, 36)) as pilot:
        await until(pilot, lambda: isinstance(again.screen, LeftBehindScreen))
        await pilot.press("enter")
        desk = await settled(pilot)
        assert desk.open.path == (None if touched else path)
        assert desk.open.unsaved


async def test_where_it_cannot_be_kept_it_is_said_once_and_the_desk_goes_on(
    app: ToeroomApp, own_places: Path
) -> None:
    (own_places / "state").mkdir()
    (own_places / "state" / "toeroom").write_text("in the way")
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        desk = await new_case(pilot)
        await pilot.press("y")
        await until(pilot, lambda: "is not kept aside, so save often" in words(app))
        await pilot.press("n")
        assert desk.open.case.finding("diabetes", "person") == "no"


# --- a real process, killed ------------------------------------------------------------------------
class Child:
    """toeroom on a pseudo-terminal of its own."""

    def __init__(self) -> None:
        self.pid, self.master = pty.fork()
        if self.pid == 0:
            looks = {"TERM": "xterm-256color", "PYTHONPATH": str(ROOT), "COLUMNS": "100", "LINES": "30"}
            os.execve(sys.executable, [sys.executable, "-m", "toeroom"], {**os.environ, **looks})
        self.read = b""

    def until(self, words: str) -> None:
        end = time.monotonic() + 30
        while words.encode() not in self.read:
            assert time.monotonic() < end, self.read[-2000:]
            if select.select([self.master], [], [], 0.1)[0]:
                self.read += os.read(self.master, 65536)

    def type(self, keys: str) -> None:
        self.read = b""
        os.write(self.master, keys.encode())

    def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        os.waitpid(self.pid, 0)
        os.close(self.master)


def test_a_process_killed_in_the_middle_of_a_case_loses_nothing(book: Book, own_places: Path) -> None:
    mark_seen()
    child = Child()
    child.until("handbook")
    child.type("n")
    child.until("new case")
    child.type("killed-1\r")
    child.until("No stop")
    child.type("/open wound\ry")
    child.until("STOP")
    child.kill()
    (left,) = left_behind(book.vocabulary)
    assert left.case is not None
    assert left.case.findings == {("open_wound", "left"): "yes"}
    again = Child()
    again.until("Unsaved work")
    again.type("k")
    again.until("STOP")
    again.kill()
    (left,) = left_behind(book.vocabulary)
    assert left.case is not None
    assert left.case.id == "killed-1"
