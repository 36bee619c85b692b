"""Saving, and never losing what is not saved."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import find, new_case, open_demo, type_text, words
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from textual.widgets import Input, TextArea

from toeroom.book import Book
from toeroom.case import parse_case, read_case
from toeroom.errors import BadInput
from tui.app import ToeroomApp
from tui.open_case import OpenCase, write_case
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.leaving import LeavingScreen
from tui.screens.prompt import PromptScreen


async def test_saved_and_reopened_it_is_the_same_case(app: ToeroomApp, own_places: Path) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "papers-with-a-lapse")
        await find(pilot, "bunion")
        await pilot.press("y", "right", "u", "ctrl+s")
        assert isinstance(app.screen, PromptScreen)
        assert app.screen.query_one(Input).value == "papers-with-a-lapse.yaml"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, DeskScreen)
        assert not desk.open.unsaved
        assert read_case("papers-with-a-lapse.yaml", app.book.vocabulary) == desk.open.case
        await pilot.press("n", "ctrl+s")
        assert isinstance(app.screen, DeskScreen)
        assert read_case("papers-with-a-lapse.yaml", app.book.vocabulary) == desk.open.case
        assert [p.name for p in own_places.iterdir() if p.name.endswith(".part")] == []


async def test_esc_asks_before_anything_is_lost(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await pilot.press("y", "escape")
        assert isinstance(app.screen, LeavingScreen)
        await pilot.press("escape")
        assert app.screen is desk
        await pilot.press("escape", "enter")
        assert app.screen is desk
        await pilot.press("escape", "right", "enter")
        assert isinstance(app.screen, PromptScreen)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, CasesScreen)
        assert read_case("t-1.yaml", app.book.vocabulary).findings == {("diabetes", "person"): "yes"}


async def test_leaving_toeroom_asks_too(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await pilot.press("y", "ctrl+q")
        assert isinstance(app.screen, LeavingScreen)
        await pilot.press("right", "right", "enter")
        await pilot.pause()
        assert not app.is_running or app._exit


async def test_a_number_half_typed_is_settled_before_saving(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "foot length")
        await type_text(pilot, "262")
        await pilot.press("ctrl+s", "enter")
        await pilot.pause()
        assert not desk.open.unsaved
        saved = read_case("t-1.yaml", app.book.vocabulary)
        assert [str(v) for v in saved.measures.values()] == ["262"]


async def test_another_file_of_the_name_is_replaced_only_when_asked_twice(app: ToeroomApp) -> None:
    Path("t-1.yaml").write_text("case: other\n")
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await pilot.press("y", "ctrl+s", "enter")
        assert "Enter again replaces it" in words(app, ".sheet")
        assert Path("t-1.yaml").read_text() == "case: other\n"
        await pilot.press("enter")
        await pilot.pause()
        assert read_case("t-1.yaml", app.book.vocabulary).id == "t-1"


async def test_where_it_cannot_be_written_it_is_said_and_kept(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await pilot.press("y", "ctrl+s")
        app.screen.query_one(Input).value = "nowhere/at/all.yaml"
        await pilot.press("enter")
        assert "cannot be written" in words(app, ".sheet")
        await pilot.press("escape")
        assert app.screen is desk
        assert desk.open.unsaved


async def test_title_and_notes_of_any_shape_come_back_to_the_letter(app: ToeroomApp) -> None:
    title, notes = "[left] foot [/b] [bold red]x", "[/b] [@click=app.bell]ring[/]\n[left] foot"
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await pilot.press("f5")
        app.screen.query_one("#about-title", Input).value = title
        app.screen.query_one("#about-notes", TextArea).text = notes
        await pilot.pause()
        assert "[@click=app.bell]ring[/] [left] foot" in words(app, "#about")
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is desk
        assert title in words(app)
        await pilot.press("ctrl+s", "enter")
        await pilot.pause()
        saved = read_case("t-1.yaml", app.book.vocabulary)
        assert (saved.title, saved.notes) == (title, notes)


async def test_control_characters_never_reach_the_screen_and_are_not_lost(
    app: ToeroomApp, own_places: Path
) -> None:
    text = 'case: odd\ntitle: "a\\e[31mred [/b]"\nnotes: "one\\e]0;x\\a two"\n'
    (own_places / "odd.yaml").write_text(text)
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("o")
        await type_text(pilot, "odd.yaml")
        await pilot.press("enter")
        await pilot.pause(0.2)
        desk = app.screen
        assert isinstance(desk, DeskScreen)
        assert "red [/b]" in words(app)
        await pilot.press("f5")
        await pilot.pause()
        assert "\x1b" not in app.export_screenshot()
        await pilot.press("escape")
        assert not desk.open.unsaved
        assert "\x1b" in desk.open.case.title


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(title=st.text(max_size=40), notes=st.text(max_size=80))
def test_any_text_is_written_so_that_it_reads_back_or_refused(
    book: Book, own_places: Path, title: str, notes: str
) -> None:
    case = parse_case("case: t\nas_of: 2026-11-25\n", book.vocabulary)
    case = type(case)(id=case.id, as_of=case.as_of, title=title, notes=notes)
    path = own_places / "any.yaml"
    path.unlink(missing_ok=True)
    try:
        write_case(case, book.vocabulary, path)
    except BadInput:
        assert not path.exists()
    else:
        assert read_case(path, book.vocabulary) == case


def test_a_failed_write_leaves_the_old_file_and_the_unsaved_mark(
    book: Book, own_places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blank = parse_case("case: t\nas_of: 2026-11-25\n", book.vocabulary)
    opened = OpenCase(blank.with_finding("diabetes", "person", "yes"), None, blank)
    path = own_places / "t.yaml"
    path.write_text("case: old\n")

    def refuses(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", refuses)
    with pytest.raises(BadInput, match="No space left"):
        opened.save(path, book.vocabulary)
    assert path.read_text() == "case: old\n"
    assert opened.unsaved
    assert list(own_places.glob(".*.part")) == []
