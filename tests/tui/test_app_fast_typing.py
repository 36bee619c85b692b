"""Keys that come faster than the app draws: none is lost, none reaches a part it was not meant for."""

from __future__ import annotations

import pytest
from conftest import Driven, settled, until
from textual import events

from tui.app import ToeroomApp
from tui.screens.desk import DeskScreen
from tui.screens.handbook import HandbookScreen

NAMES = {"\r": "enter", "/": "slash", " ": "space", "-": "minus", "\x1b": "escape"}


def all_at_once(pilot: Driven, text: str) -> None:
    """The keys lie in the app's queue together, as over a slow link."""
    for character in text:
        pilot.app.post_message(events.Key(NAMES.get(character, character), character))


async def all_taken(pilot: Driven) -> DeskScreen:
    """Waits until every key is done with."""
    app = pilot.app
    assert isinstance(app, ToeroomApp)
    await pilot.pause()
    await until(pilot, lambda: not app.key_under_way and not app.keys_waiting)
    return await settled(pilot)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_a_case_typed_in_one_go_has_every_key(app: ToeroomApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        all_at_once(pilot, "nshown-7\r/open wound\ry\x1b/foot length\r262\r")
        desk = await all_taken(pilot)
        assert desk.open.case.id == "shown-7"
        assert desk.open.case.findings == {("open_wound", "left"): "yes"}
        assert [str(value) for value in desk.open.case.measures.values()] == ["262"]


async def test_the_way_into_another_place_and_back_loses_none(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        all_at_once(pilot, "h/numb feet")
        pilot.app.post_message(events.Key("f6", None))
        all_at_once(pilot, "nb\ry")
        desk = await all_taken(pilot)
        assert desk.open.case.id == "b"
        assert desk.open.case.findings == {("diabetes", "person"): "yes"}
        await pilot.press("f2")
        assert isinstance(app.screen, HandbookScreen)
        assert app.screen._text == "numb feet"
