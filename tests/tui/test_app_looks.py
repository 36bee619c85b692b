"""Sizes, colours, and two pictures."""

from __future__ import annotations

import pytest
from conftest import find, new_case, open_demo, seen, settled, until, words
from textual.color import Color
from textual.theme import Theme

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


@pytest.mark.parametrize("theme", [LAMP, DAYLIGHT], ids=lambda theme: theme.name)
def test_every_word_stands_out_from_its_ground(theme: Theme) -> None:
    """At least 4.5 to 1 (Web Content Accessibility Guidelines 2.2, 1.4.3)."""
    more = theme.variables
    grounds = [theme.background, theme.surface, theme.panel, more["row"]]
    words_in = [theme.foreground, theme.primary, theme.secondary, theme.accent, theme.warning, theme.error]
    pairs = [(word, ground) for word in (*words_in, more["quiet"]) for ground in grounds]
    pairs += [(more["on-stop"], more["stop"])]
    faint = {pair: contrast(*pair) for pair in pairs if pair[0] and pair[1] and contrast(*pair) < 4.5}
    assert faint == {}


def contrast(one: str, other: str) -> float:
    """How much lighter the lighter of two colours is."""
    darker, lighter = sorted(luminance(colour) for colour in (one, other))
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    """The relative luminance of `#rrggbb`, as the guidelines define it."""
    parts = [value / 255 for value in Color.parse(colour).rgb]
    red, green, blue = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


async def test_what_may_be_typed_is_told_as_plainly_as_all_that_is_quiet(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        app.theme = DAYLIGHT.name
        await pilot.press("k")
        await until(pilot, lambda: app.screen.query("#filter"))
        told = app.screen.query_one("#filter").get_component_styles("input--placeholder").color
        assert told == Color.parse(DAYLIGHT.variables["quiet"])
