"""What stands beside the form: the feet, the sizes; and the plan written to a file."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import find, new_case, open_demo, seen, settled, type_text, until, words
from textual.widgets import Input

from toeroom.foot_places import legend
from tui.app import ToeroomApp
from tui.screens.desk import DeskScreen
from tui.screens.feet import FeetScreen
from tui.screens.prompt import PromptScreen
from tui.widgets.feet_pane import FeetPane
from tui.widgets.size_pane import SizePane


# --- feet ------------------------------------------------------------------------------------------
@pytest.mark.parametrize("size", [(120, 36), (200, 60)])
async def test_the_feet_follow_the_case_where_there_is_room(app: ToeroomApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await new_case(pilot)
        await find(pilot, "bunion")
        await pilot.press("y", "escape")
        await find(pilot, "open wound")
        await pilot.press("right", "y", "escape")
        await settled(pilot)
        told = words(app, "#feet")
        assert "1 STOP Open wound, right" in told
        assert "2 Bunion, left: bunion side" in told
        await find(pilot, "cracked heel")
        assert "▓ heel, right" in words(app, "#feet")


async def test_the_plan_has_the_room_while_it_is_read(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        assert desk.query_one(FeetPane).display
        before = desk.query_one("#plan").size.height
        await pilot.press("tab")
        await pilot.pause()
        assert desk.query_one("#plan").size.height > before + 10


async def test_a_key_shows_the_feet_on_a_narrow_terminal(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        desk = await open_demo(pilot, "open-wound-on-the-sole")
        assert "left foot right foot ░" not in words(app)
        await pilot.press("f")
        await pilot.pause()
        assert isinstance(app.screen, FeetScreen)
        drawn = seen(app)
        assert "left foot    right foot" in drawn
        assert "1  STOP  Open wound, left" in drawn
        await pilot.press("end")
        await pilot.pause()
        feet = desk.query_one(FeetPane).feet
        assert feet is not None
        assert legend(feet)[-1].split()[-1] in words(app, "#feet-legend")
        await pilot.press("escape")
        assert app.screen is desk


async def test_places_that_cannot_be_read_never_cost_the_plan(
    app: ToeroomApp, monkeypatch: pytest.MonkeyPatch, own_places: Path
) -> None:
    folder = own_places / "book"
    (folder / "kb").mkdir(parents=True)
    (folder / "kb" / "places.yaml").write_text("heal: [bunion]\n")
    broken = type(app.book)(folder, app.book.vocabulary, app.book.rules, app.book.version)
    own = ToeroomApp(broken)
    async with own.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await find(pilot, "bunion")
        await pilot.press("y")
        desk = await settled(pilot)
        assert desk.planned is not None
        assert "1 Bunion, left" in words(own, "#feet")
        assert "is no place" in next((own_places / "state").rglob("app.log")).read_text()


# --- sizes -----------------------------------------------------------------------------------------
async def test_sizes_stand_in_place_of_the_plan_and_follow_what_is_measured(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await pilot.press("s")
        await pilot.pause()
        assert "No size yet: no foot length is stated" in words(app, "#sizes")
        await find(pilot, "foot length")
        await type_text(pilot, "262")
        await pilot.press("enter")
        await pilot.pause()
        assert "The left foot: 262 mm" in words(app, "#sizes")
        await type_text(pilot, "258")
        await pilot.press("enter")
        await pilot.pause()
        assert "The left foot decides: 262 mm" in words(app, "#sizes")
        await pilot.press("escape", "tab", "l", "m", "plus")
        await pilot.pause()
        assert "last: men; room above the toes: 1 mm" in words(app, "#sizes")
        assert "262 mm (10 5/16 in)" in words(app, "#sizes")
        await pilot.press("s")
        await pilot.pause()
        assert desk.query_one("#plan").display
        assert not desk.query_one(SizePane).display
        assert desk.focused is desk.query_one("#plan")


async def test_sizes_of_a_stopped_foot_say_the_stop_first(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_demo(pilot, "open-wound-on-the-sole")
        await pilot.press("s", "tab")
        await pilot.pause()
        told = words(app, "#sizes").lstrip("╍ ")
        assert told.startswith("STOP the left foot is not fitted today: its sizes wait")


# --- the plan to a file ----------------------------------------------------------------------------
async def test_a_new_case_becomes_a_sheet_on_paper(app: ToeroomApp, own_places: Path) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await find(pilot, "open wound")
        await pilot.press("y", "escape")
        await settled(pilot)
        await pilot.press("e")
        assert isinstance(app.screen, PromptScreen)
        assert app.screen.query_one(Input).value == "t-1-plan.pdf"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen))
        assert (own_places / "t-1-plan.pdf").read_bytes().startswith(b"%PDF")
        await pilot.press("e")
        app.screen.query_one(Input).value = "sheet.txt"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen))
        sheet = (own_places / "sheet.txt").read_text()
        assert "STOP  left foot is not fitted today" in sheet
        assert "Wound to the foot service" in sheet
        assert "Ask next" in sheet
        await pilot.press("e", "enter")
        assert "Enter again replaces it" in words(app, ".sheet")
        app.screen.query_one(Input).value = "nowhere/plan.txt"
        await pilot.press("enter")
        assert "cannot be written" in words(app, ".sheet")


# --- the line of keys ------------------------------------------------------------------------------
@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 36), (200, 60)])
async def test_no_key_on_the_last_line_is_cut_off(app: ToeroomApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.pause()
        for keys in ((), ("tab",)):
            await pilot.press(*keys)
            await pilot.pause(0.05)
            last = seen(app).splitlines()[-1]
            assert "F1 help" in last
            assert "h handbook" in last
            assert last.endswith("^k more")
