"""Makes the pictures in docs/pictures anew, from the app itself and the cases that come with the book.

python docs/make_pictures.py
"""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from toeroom.book import open_book
from tui.app import ToeroomApp
from tui.screens.ask import AskScreen
from tui.screens.desk import DeskScreen
from tui.screens.handbook import HandbookScreen
from tui.themes import DAYLIGHT, LAMP

FOLDER = Path(__file__).parent / "pictures"


@dataclass(frozen=True)
class Picture:
    """A picture: the case to open (none: the list), the keys to press, the look.

    `typed` is typed after the keys and ended with Enter, `then` are the keys after that.
    """

    name: str
    case: str = ""
    keys: tuple[str, ...] = ()
    theme: str = LAMP.name
    typed: str = ""
    then: tuple[str, ...] = ()


PICTURES = (
    Picture("cases"),
    Picture("desk", "bunion-and-numb-feet", ("pagedown", "pagedown"), DAYLIGHT.name),
    Picture("stop", "open-wound-on-the-sole", ("pagedown",)),
    Picture("handbook", keys=("h", "slash"), typed="blister on the heel"),
    Picture("upkeep", keys=("k", "slash"), typed="spot-stretch"),
    Picture("training", keys=("t",), theme=DAYLIGHT.name),
    Picture("ask", keys=("a",), theme=DAYLIGHT.name, typed="R bunion and numb both sides, what shoe?"),
)


async def take(picture: Picture) -> str:
    """The picture as SVG."""
    app = ToeroomApp(open_book())
    app.theme = picture.theme
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        if picture.case:
            listed = app.screen.query_one("#case-list")
            listed.highlighted = listed.get_option_index(f"{picture.case}.yaml")
            await pilot.press("enter")
            await pilot.pause()
            desk = app.screen
            assert isinstance(desk, DeskScreen)
            while desk.planned is None or desk.planned.asked is None:
                await pilot.pause(0.02)
        await pilot.press(*picture.keys)
        if picture.typed:
            await say(pilot, picture)
        await pilot.pause()
        return self_contained(app.export_screenshot(title="toeroom"))


async def say(pilot: Pilot[None], picture: Picture) -> None:
    """Types what is to be typed and waits for what comes of it in a thread."""
    screen = pilot.app.screen
    line = screen.query_one(Input)
    while isinstance(screen, HandbookScreen) and screen.visit is None:
        await pilot.pause(0.02)
    line.value = picture.typed
    while isinstance(screen, HandbookScreen) and not screen.hits:
        await pilot.pause(0.02)
    await pilot.pause(0.2)
    await pilot.press("enter")
    while isinstance(screen, AskScreen) and screen.talk.busy:
        await pilot.pause(0.02)
    await pilot.pause(0.2)
    await pilot.press(*picture.then)


def self_contained(svg: str) -> str:
    """Without fonts from elsewhere and without the buttons of some window; named alike every time."""
    svg = re.sub(r"@font-face\s*\{.*?\}\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r"terminal-\d+", "terminal", svg)
    svg = re.sub(r'<g transform="[^"]*">\s*(<circle [^>]*/>\s*)+</g>\s*', "", svg)
    svg = re.sub(r"<!--.*?-->\s*", "", svg, flags=re.DOTALL)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono")
    return "\n".join(line.rstrip() for line in svg.splitlines()) + "\n"


async def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for picture in PICTURES:
        (FOLDER / f"{picture.name}.svg").write_text(await take(picture), encoding="utf-8")


if __name__ == "__main__":
    asyncio.run(main())
