"""Sizes, colours, and two pictures."""

from __future__ import annotations

import pytest
from conftest import find, new_case, open_demo, seen, settled, words

from toeroom.book import Book
from tui.app import ToeroomApp
from tui.themes import DAYLIGHT, LAMP
from tui.widgets.form import Form
from tui.widgets.plan_pane import PlanPane


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 36), (200, 60)])
async def test_form_plan_stop_and_keys_are_in_sight_at(app: ToeroomApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await new_case(pilot)
        await find(pilot, "open wound")
        await pilot.press("y", "escape")
        desk = await settled(pilot)
        assert desk.open.unsaved
        text = seen(app)
        assert "STOP  left foot is not fitted today" in text
        assert "■ yes" in text
        assert "Wound to the foot service" in text
        assert "not saved" in text
        assert "F1 help" in text
        for _ in range(12):
            await pilot.press("down")
        grid = desk.query_one(Form).grid
        assert grid.line is not None
        assert f"▸ {grid.line.term.label}" in seen(app)


async def test_on_a_small_screen_the_part_in_use_has_the_room(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        form, plan = desk.query_one(Form), desk.query_one(PlanPane)
        assert form.size.height > plan.size.height
        await pilot.press("tab")
        await pilot.pause()
        assert plan.size.height > form.size.height
        await pilot.press("end")
        await pilot.pause()
        assert desk.planned is not None
        assert desk.planned.sheet.deferral in words(app, "#plan")


async def test_a_resize_keeps_the_cursor_in_sight(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 50)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        for _ in range(30):
            await pilot.press("down")
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        grid = desk.query_one(Form).grid
        assert grid.line is not None
        assert f"▸ {grid.line.term.label}" in seen(app)


async def test_without_colour_the_words_are_there(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    app = ToeroomApp(book)
    assert app.no_color
    async with app.run_test(size=(80, 24)) as pilot:
        await open_demo(pilot, "open-wound-on-the-sole")
        text = seen(app)
        assert "STOP  left foot is not fitted today" in text
        assert "▸ Diabetes" in text


async def test_dark_and_light(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await open_demo(pilot, "bunion-and-numb-feet")
        dark = app.export_screenshot()
        await pilot.press("f9")
        await pilot.pause()
        assert app.theme == DAYLIGHT.name
        assert "Therapeutic shoe" in words(app, "#plan")
        assert app.export_screenshot() != dark
        await pilot.press("f9")
        await pilot.pause()
        assert app.theme == LAMP.name
