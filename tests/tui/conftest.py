"""The app driven by keys, without a terminal."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from rich.cells import cell_len
from textual.pilot import Pilot

from toeroom.book import Book, open_book
from tui.app import ToeroomApp
from tui.screens.desk import DeskScreen

Driven = Pilot[None]


@pytest.fixture(scope="session")
def book() -> Book:
    return open_book()


@pytest.fixture(scope="session")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the index of the handbook is kept, once for all tests."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def own_places(tmp_path: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Logs and saved cases go into a folder of the test's own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(cache))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def app(book: Book) -> ToeroomApp:
    return ToeroomApp(book)


CELL = 12.2
"""How wide a cell is in an exported picture."""


def seen(app: ToeroomApp, part: str = "") -> str:
    """What stands on the screen, or on a part of it, line by line."""
    width, height = app.size
    grid = [[" "] * width for _ in range(height)]
    pattern = r'<text[^>]*? x="([\d.]+)"[^>]*clip-path="url\(#[^)]*-line-(\d+)\)"[^>]*>(.*?)</text>'
    for x, row, text in re.findall(pattern, app.export_screenshot()):
        column = round(float(x) / CELL)
        for character in html.unescape(text).replace("\xa0", " "):
            if column < width:
                grid[int(row)][column] = character
            column += cell_len(character)
    if part:
        region = app.screen.query_one(part).region
        grid = [line[region.x : region.right] for line in grid[region.y : region.bottom]]
    return "\n".join("".join(line).rstrip() for line in grid)


def words(app: ToeroomApp, part: str = "") -> str:
    """The same without regard to where its lines break."""
    return " ".join(seen(app, part).replace("▌", " ").split())


async def until(pilot: Driven, holds: Callable[[], object]) -> None:
    """Waits for what the app does in a thread."""
    for _ in range(300):
        if holds():
            return
        await pilot.pause(0.02)
    raise AssertionError(f"it did not come about; the screen shows:\n{seen(pilot.app)}")  # type: ignore[arg-type]


async def settled(pilot: Driven) -> DeskScreen:
    """Waits until the plan on the desk is that of the case, with its questions."""

    def is_settled() -> bool:
        desk = desk_of(pilot)
        planned = desk.planned
        return planned is not None and planned.case == desk.open.case and planned.asked is not None

    await until(pilot, is_settled)
    await pilot.pause()
    return desk_of(pilot)


def desk_of(pilot: Driven) -> DeskScreen:
    return next(s for s in reversed(pilot.app.screen_stack) if isinstance(s, DeskScreen))


async def type_text(pilot: Driven, text: str) -> None:
    names = {
        " ": "space",
        "/": "slash",
        "-": "minus",
        ".": "full_stop",
        "_": "underscore",
        "?": "question_mark",
    }
    names |= {"[": "left_square_bracket", "]": "right_square_bracket", ",": "comma"}
    await pilot.press(*(names.get(c, c) for c in text))


async def new_case(pilot: Driven, case_id: str = "t-1") -> DeskScreen:
    await pilot.press("n")
    await type_text(pilot, case_id)
    await pilot.press("enter")
    await until(pilot, lambda: any(isinstance(s, DeskScreen) for s in pilot.app.screen_stack))
    return await settled(pilot)


async def find(pilot: Driven, text: str) -> None:
    await pilot.press("slash")
    await type_text(pilot, text)
    await pilot.press("enter")
    await pilot.pause()


async def open_demo(pilot: Driven, name: str) -> DeskScreen:
    """Opens the demo case of that name from the list."""
    from textual.widgets import OptionList

    listed = pilot.app.screen.query_one(OptionList)
    listed.highlighted = listed.get_option_index(f"{name}.yaml")
    await pilot.press("enter")
    await until(pilot, lambda: any(isinstance(s, DeskScreen) for s in pilot.app.screen_stack))
    return await settled(pilot)
