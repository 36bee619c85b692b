"""What the app does is a command as well: the table in docs/accessibility.md holds."""

from __future__ import annotations

import re
from functools import cache

import pytest

from tests.cli.run import toeroom
from tests.conftest import ROOT
from tui.app import ToeroomApp
from tui.screens.ask import AskScreen
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.handbook import HandbookScreen

PAGE = (ROOT / "docs/accessibility.md").read_text()
ROWS = re.findall(r"^\| (?!in the app|---)(.+?) \| (.+) \|$", PAGE, re.MULTILINE)


@cache
def helped(command: str) -> str:
    done = toeroom(command, "--help")
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_every_action_of_the_app_has_a_row() -> None:
    assert len(ROWS) > 15
    for what in ("why an item", "search the handbook", "state findings", "take a conversation", "the tour"):
        assert any(what in action for action, _ in ROWS), what


@pytest.mark.parametrize(("action", "told"), ROWS)
def test_its_command_is_there_with_the_options_named(action: str, told: str) -> None:
    commands = re.findall(r"`toeroom ([a-z]+)([^`]*)`", told)
    assert commands or "in the file" in told or "conversation" in told, action
    for command, rest in commands:
        for option in re.findall(r"--[a-z-]+", rest):
            assert option in helped(command), (command, option)


def test_keys_named_in_the_table_are_keys_of_the_app() -> None:
    keys = set(re.findall(r"\((F\d|ctrl\+\w|\w|/)\)", " ".join(action for action, _ in ROWS)))
    assert {"F4", "F5", "F7", "w", "a"} <= keys
    bound = {
        key
        for owner in (ToeroomApp, CasesScreen, DeskScreen, HandbookScreen, AskScreen)
        for binding in owner.BINDINGS
        for key in binding.key.split(",")  # type: ignore[union-attr]
    }
    named = {"/": "slash"}
    assert {named.get(key, key.lower()) for key in keys} - {"w"} <= bound


def test_the_first_answers_in_the_table_work_as_told() -> None:
    case = str(ROOT / "cases_demo/open-wound-on-the-sole.yaml")
    plan = toeroom("plan", case)
    lines = [line for line in plan.stdout.splitlines() if line.strip()]
    assert lines[2].startswith("STOP")
    assert "\x1b" not in plan.stdout
    assert "Open wound" in toeroom("words", "open wound").stdout
    assert toeroom("page", "never-barefoot").returncode == 0
