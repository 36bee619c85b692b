"""The line of keys, and what keys do on a sheet: whole at every width, and only what works."""

from __future__ import annotations

import pytest
from conftest import open_demo, seen, type_text, until, words

import tui.screens
from tui.app import ToeroomApp
from tui.key_names import key_name
from tui.screens.ask import AskScreen
from tui.screens.help import EVERYWHERE, HelpScreen
from tui.screens.prompt import PromptScreen
from tui.screens.why import WhyScreen
from tui.themes import DAYLIGHT
from tui.widgets.keys_line import KeysLine
from tui.widgets.stated_pane import StatedPane

HELP_ROOM = 70
"""Columns of a help text on a terminal of 80."""


def keys(app: ToeroomApp) -> str:
    """The line of keys as it stands there."""
    return seen(app, "KeysLine")


@pytest.mark.parametrize(
    ("key", "name"),
    [("slash", "/"), ("ctrl+s", "^s"), ("f5", "F5"), ("f", "f"), ("escape", "Esc"), ("enter", "Enter")],
)
def test_a_key_is_called_the_same_everywhere(key: str, name: str) -> None:
    assert key_name(key) == name


@pytest.mark.parametrize("place", ["f6", "h", "t", "d", "k", "f3"])
@pytest.mark.parametrize("tabs", [0, 1, 2])
async def test_no_key_is_cut_off(app: ToeroomApp, place: str, tabs: int) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(place)
        await until(pilot, lambda: app.screen.query(KeysLine))
        await pilot.press(*["tab"] * tabs)
        await pilot.pause(0.1)
        line = app.screen.query_one(KeysLine)
        shown = list(line.query("FooterKey"))
        assert shown
        assert max(key.region.right for key in shown) <= line.region.right
        assert "F1 help" in keys(app)


async def test_the_list_of_ask_leaves_its_last_keys_out_and_not_half_of_one(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: isinstance(app.screen, AskScreen))
        await pilot.press("tab", "tab")
        await pilot.pause(0.1)
        assert isinstance(app.focused, StatedPane)
        assert "Esc leave" in keys(app)


async def test_while_one_types_a_character_is_no_key(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await open_demo(pilot, "bunion-and-numb-feet")
        assert "/ find" in keys(app)
        await pilot.press("slash")
        await pilot.pause(0.1)
        assert "Enter to the line found" in " ".join(keys(app).split())
        assert "^p page" in keys(app)
        assert "/ find" not in keys(app)
        assert keys(app).rstrip().endswith("^k more")


async def test_help_is_there_on_a_sheet_too(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await open_demo(pilot, "open-wound-on-the-sole")
        await pilot.press("tab", "w")
        await until(pilot, lambda: isinstance(app.screen, WhyScreen))
        await pilot.press("f1")
        await until(pilot, lambda: isinstance(app.screen, HelpScreen))
        assert "Each rule that spoke" in words(app, "#help")
        await pilot.press("f1")
        await until(pilot, lambda: isinstance(app.screen, WhyScreen))
        await pilot.press("f9")
        assert app.theme == DAYLIGHT.name


async def test_a_line_asked_for_takes_its_letters_and_has_help(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("n")
        await type_text(pilot, "h-1")
        await pilot.press("f1")
        await until(pilot, lambda: isinstance(app.screen, HelpScreen))
        assert "A line is asked for." in words(app, "#help")
        await pilot.press("escape")
        assert isinstance(app.screen, PromptScreen)
        assert "h-1" in words(app, ".sheet")


def helps() -> dict[str, str]:
    """The help of every screen there is."""
    import importlib
    import pkgutil

    found = {"everywhere": EVERYWHERE}
    for module in pkgutil.iter_modules(tui.screens.__path__):
        held = importlib.import_module(f"tui.screens.{module.name}")
        found |= {name: kind.HELP for name, kind in vars(held).items() if "HELP" in vars(kind_of(kind))}
    return found


def kind_of(thing: object) -> type:
    return thing if isinstance(thing, type) else object


def test_help_fits_a_narrow_terminal_line_by_line() -> None:
    told = helps()
    assert len(told) > 15
    wide = {name: line for name, text in told.items() for line in text.split("\n") if len(line) > HELP_ROOM}
    assert wide == {}
