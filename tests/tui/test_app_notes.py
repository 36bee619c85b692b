"""Notes read on request: each finding confirmed before it counts."""

from __future__ import annotations

from dataclasses import replace

from conftest import Driven, find, new_case, open_demo, type_text, until, words
from textual.widgets import TextArea

from tui.app import ToeroomApp
from tui.screens.about import AboutScreen
from tui.screens.desk import DeskScreen
from tui.screens.reading import ReadingScreen
from tui.widgets.proposal_pane import ProposalPane

NOTES = "Diabetes. Bunion on the left [/b]. Callus. Left foot length 262 mm."


async def reading(pilot: Driven, desk: DeskScreen, notes: str) -> ProposalPane:
    """The notes are set on the case and read."""
    desk.open.change(replace(desk.open.case, notes=notes))
    await pilot.press("r")
    await until(pilot, lambda: isinstance(pilot.app.screen, ReadingScreen))
    pane = pilot.app.screen.query_one(ProposalPane)
    await until(pilot, lambda: pane.proposals or pane.said.startswith("Nothing"))
    await pilot.pause()
    return pane


async def test_all_that_is_clear_at_one_key_and_the_rest_one_by_one(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "bunion")
        await pilot.press("n", "escape")
        pane = await reading(pilot, desk, NOTES)
        told = words(app, "#proposals")
        assert "Bunion, left: yes “Bunion” ! the case states no on the left foot" in told
        assert "Callus (which foot?): yes" in told
        await pilot.press("a")
        assert [one.said.id for one in pane.confirmed] == ["diabetes", "foot_length_mm"]
        while pane.proposals[int(pane.chosen)].said.id != "callus":
            await pilot.press("down")
        await pilot.press("y")
        assert "callus" not in [one.said.id for one in pane.confirmed]
        await pilot.press("r", "y", "enter")
        await pilot.pause()
        assert app.screen is desk
        case = desk.open.case
        assert case.findings == {
            ("bunion", "left"): "no",
            ("diabetes", "person"): "yes",
            ("callus", "right"): "yes",
        }
        assert [str(value) for value in case.measures.values()] == ["262"]
        await pilot.press("ctrl+z")
        assert desk.open.case.findings == {("bunion", "left"): "no"}


async def test_what_contradicts_the_case_counts_only_by_its_own_yes(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "bunion")
        await pilot.press("n", "escape")
        await reading(pilot, desk, "Bunion on the left.")
        await pilot.press("a", "enter")
        await pilot.pause()
        assert desk.open.case.finding("bunion", "left") == "no"
        await reading(pilot, desk, "Bunion on the left.")
        await pilot.press("y", "enter")
        await pilot.pause()
        assert desk.open.case.finding("bunion", "left") == "yes"


async def test_esc_takes_nothing(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await reading(pilot, desk, NOTES)
        before = desk.open.case
        await pilot.press("a", "escape")
        await pilot.pause()
        assert app.screen is desk
        assert desk.open.case == before


async def test_notes_are_written_then_read_in_one_go(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await pilot.press("r")
        await pilot.pause()
        assert isinstance(app.screen, AboutScreen)
        assert isinstance(app.focused, TextArea)
        await type_text(pilot, "bunion left")
        await pilot.press("ctrl+r")
        await until(pilot, lambda: isinstance(app.screen, ReadingScreen))
        await until(pilot, lambda: app.screen.query_one(ProposalPane).proposals)
        await pilot.press("a", "enter")
        await pilot.pause()
        assert desk.open.case.notes == "bunion left"
        assert desk.open.case.finding("bunion", "left") == "yes"


async def test_notes_that_say_nothing_say_so(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        await reading(pilot, desk, "Came by bus.")
        assert "Nothing in the notes was understood" in words(app, "#proposals")
        await pilot.press("y", "l", "a", "enter")
        await pilot.pause()
        assert app.screen is desk
