"""ctrl+k: what can be done where one is, and nothing that cannot."""

from __future__ import annotations

from conftest import Driven, open_demo, seen, type_text, until
from textual.command import CommandPalette

from tui.app import ToeroomApp
from tui.screens.desk import DeskScreen
from tui.screens.handbook import HandbookScreen


async def offered(pilot: Driven, app: ToeroomApp, typed: str = "") -> str:
    """What the palette shows, `typed` into it."""
    await pilot.press("ctrl+k")
    await until(pilot, lambda: isinstance(app.screen, CommandPalette))
    await type_text(pilot, typed)
    await until(pilot, lambda: app.screen.query_one("CommandList").option_count)
    return seen(app)


async def test_it_offers_what_fits_the_place(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        assert "new case" in await offered(pilot, app)
        await pilot.press("escape")
        await open_demo(pilot, "bunion-and-numb-feet")
        assert "new case" not in await offered(pilot, app, "new")


async def test_it_offers_no_key_that_does_nothing_now(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        await open_demo(pilot, "bunion-and-numb-feet")
        assert "Page Left" not in await offered(pilot, app, "page")


async def test_what_is_chosen_is_done(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.press("u")
        assert desk.open.unsaved
        await offered(pilot, app, "undo")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen) and not desk.open.unsaved)


async def test_a_page_and_a_demo_case_open_by_part_of_their_name(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        await offered(pilot, app, "page: bunion: width")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and "Bunion" in seen(app))
        await offered(pilot, app, "demo case: right leg 14")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen))


async def test_a_line_has_its_key_and_then_what_it_does(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        shown = [line.split() for line in (await offered(pilot, app)).split("\n")]
        assert any("n new case" in " ".join(line) for line in shown)
        assert any("F9 light or dark" in " ".join(line) for line in shown)
        await pilot.press("escape")
        assert "page Sock marks" in " ".join((await offered(pilot, app, "sock marks")).split())
