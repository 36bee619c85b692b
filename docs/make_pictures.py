"""Makes the pictures in docs/pictures anew, from the app itself and the cases that come with the book.

python docs/make_pictures.py
"""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass
from pathlib import Path

from toeroom.book import open_book
from tui.app import ToeroomApp
from tui.screens.desk import DeskScreen
from tui.themes import DAYLIGHT, LAMP

FOLDER = Path(__file__).parent / "pictures"


@dataclass(frozen=True)
class Picture:
    """A picture: the case to open (none: the list), the keys to press, the look."""

    name: str
    case: str = ""
    keys: tuple[str, ...] = ()
    theme: str = LAMP.name


PICTURES = (
    Picture("cases"),
    Picture("desk", "bunion-and-numb-feet", ("pagedown", "pagedown"), DAYLIGHT.name),
    Picture("stop", "open-wound-on-the-sole", ("pagedown",)),
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
        await pilot.pause()
        return self_contained(app.export_screenshot(title="toeroom"))


def self_contained(svg: str) -> str:
    """Without fonts fetched from elsewhere, and with the same names in it every time."""
    svg = re.sub(r"@font-face\s*\{.*?\}\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r"terminal-\d+", "terminal", svg)
    svg = re.sub(r"<!--.*?-->\s*", "", svg, flags=re.DOTALL)
    svg = svg.replace("Fira Code", "DejaVu Sans Mono")
    return "\n".join(line.rstrip() for line in svg.splitlines()) + "\n"


async def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    for picture in PICTURES:
        (FOLDER / f"{picture.name}.svg").write_text(await take(picture), encoding="utf-8")


if __name__ == "__main__":
    asyncio.run(main())
