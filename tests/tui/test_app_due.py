"""Due in the app: from a folder, from the store, nothing at all; to the desk, to the page and back."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from conftest import Driven, seen, settled, type_text, until, words

from toeroom.book import Book
from toeroom.due.weeks import week_name
from toeroom.records.store import open_store
from tui.app import ToeroomApp
from tui.screens.desk import DeskScreen
from tui.screens.due import DueScreen
from tui.screens.handbook import HandbookScreen

TODAY = date.today()
LATE = f"case: late-1\nas_of: {TODAY}\ndates: {{inserts_changed: {TODAY - timedelta(days=300)}}}\n"


@pytest.fixture(autouse=True)
def own_store(own_places: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody's own store is looked at."""
    monkeypatch.setenv("XDG_DATA_HOME", str(own_places / "data"))
    monkeypatch.delenv("TOEROOM_STORE", raising=False)


@pytest.fixture
def folder(own_places: Path, book: Book) -> Path:
    """A stopped case, one overdue with what looks like markup, one that comes late in the year."""
    made = own_places / "cases"
    made.mkdir()
    shutil.copy(book.cases_demo / "open-wound-on-the-sole.yaml", made)
    (made / "late.yaml").write_text(LATE + 'title: "[red]x[/]"\n')
    far = f"case: far-1\nas_of: {TODAY}\ndates: {{planned_delivery: {TODAY + timedelta(weeks=20)}}}\n"
    (made / "far.yaml").write_text(far)
    (made / "bad.yaml").write_text("case: bad-1\nleft: {'[bold]no': yes}\n")
    return made


async def due(pilot: Driven, key: str = "d") -> DueScreen:
    await pilot.press(key)
    await until(pilot, lambda: isinstance(pilot.app.screen, DueScreen) and pilot.app.screen.gathered)
    assert isinstance(pilot.app.screen, DueScreen)
    await pilot.pause()
    return pilot.app.screen


async def of_folder(pilot: Driven, folder: Path) -> DueScreen:
    place = await due(pilot)
    await pilot.press("o")
    await type_text(pilot, str(folder))
    await pilot.press("enter")
    await until(pilot, lambda: place.gathered and place.gathered.source == str(folder))
    await pilot.pause()
    return place


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_a_folder_stops_first_then_overdue(
    app: ToeroomApp, folder: Path, size: tuple[int, int]
) -> None:
    async with app.run_test(size=size) as pilot:
        await of_folder(pilot, folder)
        shown = words(app, "#due")
        assert shown.index("[bold]no") < shown.index("STOP: refer") < shown.index("Overdue")
        assert "late-1 inserts changed" in shown
        assert "far-1" not in shown
        await pilot.press("w", "end")
        await pilot.pause()
        shown = words(app, "#due")
        assert "far-1 hand-over" in shown
        assert f"Week {week_name(TODAY + timedelta(weeks=20))[6:]}" in shown
        assert "an empty list is no 'all well'" in shown
        assert shown.endswith(app.book.vocabulary.deferral)


async def test_enter_opens_the_desk_on_the_file_and_esc_keeps_all(app: ToeroomApp, folder: Path) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        place = await of_folder(pilot, folder)
        place.query_one("DuePane").choose("late-1|replace_inserts|person")  # type: ignore[attr-defined]
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen))
        desk = await settled(pilot)
        assert (desk.open.case.id, desk.open.path) == ("late-1", folder / "late.yaml")
        await due(pilot, "f11")
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is desk)
        assert app.desks == [desk]
        await due(pilot, "f11")
        await pilot.press("escape")
        await until(pilot, lambda: app.screen is desk)


async def test_p_opens_the_page_and_esc_comes_back(app: ToeroomApp, folder: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        place = await of_folder(pilot, folder)
        await pilot.press("p")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen))
        await until(pilot, lambda: app.book.version and "stop" in seen(app).lower())
        await pilot.press("escape")
        await until(pilot, lambda: app.screen is place)


async def test_the_store_and_a_case_of_it(app: ToeroomApp, book: Book) -> None:
    with open_store(book=book) as store:
        store.save(LATE, "KL")
    async with app.run_test(size=(80, 24)) as pilot:
        await due(pilot)
        assert "1 case · record store" in seen(app)
        assert "late-1 inserts changed" in words(app, "#due")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen))
        desk = await settled(pilot)
        assert (desk.open.case.id, desk.open.path, desk.open.unsaved) == ("late-1", None, False)


async def test_no_store_is_said_and_none_is_made(app: ToeroomApp, own_places: Path) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        place = await due(pilot)
        shown = words(app, "#due")
        assert "There is no record store yet." in shown
        assert "No case was looked at" in shown
        assert "Nothing is known to fall due" not in shown
        await pilot.press("enter", "p", "o")
        await type_text(pilot, "/nowhere")
        await pilot.press("enter")
        await pilot.pause()
        assert "no folder" in words(app)
        await pilot.press("escape", "escape")
        await until(pilot, lambda: app.screen is not place)
        assert not (own_places / "data").exists()


async def test_a_case_without_dates_is_not_called_well(app: ToeroomApp, own_places: Path) -> None:
    (own_places / "one.yaml").write_text(f"case: one-1\nas_of: {TODAY}\n")
    async with app.run_test(size=(80, 24)) as pilot:
        await of_folder(pilot, own_places)
        shown = words(app, "#due")
        assert "Nothing is known to fall due by" in shown
        assert "an empty list is no 'all well'" in shown
