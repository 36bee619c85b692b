"""The tour: it waits for the person's own keys, can be left at once, and does not come again."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import Driven, desk_of, find, new_case, settled, type_text, until, words

from tui.app import ToeroomApp, start_app
from tui.first_time import mark_seen, seen_mark
from tui.screens.ask import AskScreen
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.handbook import HandbookScreen
from tui.screens.why import WhyScreen
from tui.tour import STEPS
from tui.widgets.plan_pane import PlanPane
from tui.widgets.tour_note import TourNote


async def at_step(pilot: Driven, number: int) -> None:
    app = pilot.app
    assert isinstance(app, ToeroomApp)
    await until(pilot, lambda: app.tour is not None and app.tour.at == number - 1)
    await until(pilot, lambda: f"Tour {number} of {len(STEPS)}" in words(app))
    assert STEPS[number - 1].press in words(app)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_its_steps_are_done_by_the_keys_it_names(app: ToeroomApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        app.action_tour()
        await at_step(pilot, 1)
        assert desk_of(pilot).open.case.grade == "simple"
        # A key that is not asked for is no step, and no loss.
        await pilot.press("y", "n")
        await at_step(pilot, 1)
        await pilot.press("down", "down")
        await at_step(pilot, 2)
        await find(pilot, "open wound")
        await at_step(pilot, 3)
        await pilot.press("y")
        await settled(pilot)
        await at_step(pilot, 4)
        assert "STOP" in words(app)
        await pilot.press("ctrl+z")
        await at_step(pilot, 5)
        await pilot.press("tab")
        await at_step(pilot, 6)
        await settled(pilot)
        while desk_of(pilot).query_one(PlanPane).entry is None:
            await pilot.press("down")
        await pilot.press("w")
        assert isinstance(app.screen, WhyScreen)
        await at_step(pilot, 7)
        await pilot.press("w")
        await at_step(pilot, 8)
        await pilot.press("h")
        assert isinstance(app.screen, HandbookScreen)
        await at_step(pilot, 9)
        await pilot.press("f6")
        await at_step(pilot, 10)
        await pilot.press("a")
        assert isinstance(app.screen, AskScreen)
        await at_step(pilot, 11)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, CasesScreen)
        assert app.tour is None
        assert app.desks == []
        assert "Tour" not in words(app)
        # Esc and Enter are again what they were.
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen))


async def test_esc_leaves_it_at_once_and_what_was_open_is_as_it_was(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        desk = await new_case(pilot)
        await pilot.press("y", "f1", "t")
        await at_step(pilot, 1)
        assert desk_of(pilot) is not desk
        await pilot.press("down", "down")
        await at_step(pilot, 2)
        await find(pilot, "open wound")
        await pilot.press("y", "h")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and app.screen.query(TourNote))
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is desk
        assert app.desks == [desk]
        assert desk.open.case.findings == {("diabetes", "person"): "yes"}
        assert "Tour" not in words(app)


async def test_it_can_be_left_and_toeroom_with_it_without_a_question(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        app.action_tour()
        await at_step(pilot, 1)
        await pilot.press("y", "ctrl+q")
        await pilot.pause()
        assert app._exit


async def test_in_a_line_that_is_asked_for_words_can_be_typed(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        app.action_tour()
        await at_step(pilot, 1)
        await pilot.press("a")
        await until(pilot, lambda: isinstance(app.screen, AskScreen))
        await type_text(pilot, "bunion left")
        await pilot.press("enter")
        assert isinstance(app.screen, AskScreen)
        assert app.screen.talk.history[0].text == "bunion left"
        await at_step(pilot, 1)


def test_it_comes_by_itself_once_and_then_only_when_asked_for(
    own_places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun: list[bool] = []

    def run(self: ToeroomApp) -> None:
        begun.append(self.begin == self.action_tour)
        if begun[-1]:
            mark_seen()

    monkeypatch.setattr(ToeroomApp, "run", run)
    start_app(None)
    start_app(None)
    start_app(None, tour=True)
    assert begun == [True, False, True]
    assert own_places in seen_mark().parents


async def test_the_mark_is_left_when_it_begins_and_nowhere_to_write_is_no_fault(
    app: ToeroomApp, own_places: Path
) -> None:
    (own_places / "state").write_text("a file where the folder would be")
    async with app.run_test(size=(80, 24)) as pilot:
        app.action_tour()
        await at_step(pilot, 1)
        assert not seen_mark().exists()
        await pilot.press("escape")
        (own_places / "state").unlink()
        app.action_tour()
        await at_step(pilot, 1)
        assert seen_mark().exists()
