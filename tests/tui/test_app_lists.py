"""Lists and tables: what is too long for its column goes on in it, and columns are columns."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from conftest import open_demo, seen, until
from textual.widgets import Input, OptionList

from toeroom.foot_places import MarkedFeet, legend
from tui.app import ToeroomApp
from tui.screens.due import DueScreen
from tui.screens.handbook import HandbookScreen
from tui.screens.upkeep import UpkeepScreen
from tui.screens.what_if import WhatIfScreen
from tui.widgets.feet_pane import FeetPane


async def test_the_grade_of_a_case_stands_once_above_its_cases(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 80)) as pilot:
        await pilot.pause()
        lines = [line.strip() for line in seen(app, "#case-list").split("\n")]
        assert [line for line in lines if line.startswith("╌")] == ["╌ simple", "╌ middling", "╌ hard"]
        assert lines.index("boats") > lines.index("╌ simple")
        highlighted = app.screen.query_one(OptionList).highlighted_option
        assert highlighted is not None
        assert highlighted.id == "boats.yaml"


async def test_a_long_title_in_the_handbook_goes_on_under_itself(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("h")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and app.screen.visit)
        await pilot.pause()
        lines = [line for line in seen(app, "#page-list").split("\n") if line.strip(" ▅▇█▁╏│")]
        beneath = [line for line in lines if not line.lstrip().startswith("╌")]
        assert len(beneath) > 20
        assert all(line.startswith("    ") for line in beneath)


async def test_an_id_in_upkeep_is_not_broken(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 60)) as pilot:
        await pilot.press("k")
        await until(pilot, lambda: isinstance(app.screen, UpkeepScreen) and app.screen.chosen)
        app.screen.query_one("#filter").value = "guarantee"  # type: ignore[attr-defined]
        await pilot.pause()
        lines = [line.strip(" ▅▇█▁") for line in seen(app, "#entry-list").split("\n")]
        assert any(line.endswith("…") for line in lines)
        assert not [line for line in lines if len(line) == 1]


async def test_what_is_now_stands_in_a_column(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.press("i")
        await until(pilot, lambda: isinstance(app.screen, WhatIfScreen))
        await pilot.pause()
        columns = {line.index("now: ") for line in seen(app).split("\n") if "now: " in line}
        assert len(columns) == 1


@pytest.mark.parametrize("size", [(120, 36), (200, 60)])
async def test_what_falls_due_has_its_cases_in_a_column(
    app: ToeroomApp, size: tuple[int, int], own_places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(own_places / "data"))
    monkeypatch.delenv("TOEROOM_STORE", raising=False)
    async with app.run_test(size=size) as pilot:
        await pilot.press("d")
        await until(pilot, lambda: isinstance(app.screen, DueScreen) and app.screen.gathered)
        place = app.screen
        assert isinstance(place, DueScreen)
        place.folder = app.book.cases_demo
        place.action_look_anew()
        await until(pilot, lambda: place.gathered and place.gathered.cases)
        await pilot.pause()
        entries = re.findall(r"(?m)^.{1,4}\d{4}-\d\d-\d\d  \S+ {2,}(?=\S)", seen(app, "#due"))
        assert len(entries) > 10
        assert len({len(entry) for entry in entries}) == 1


async def test_no_word_of_the_legend_is_cut(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "boats")
        feet = desk.query_one(FeetPane).feet
        assert isinstance(feet, MarkedFeet)
        shown = " ".join(seen(app, "#feet").split())
        longest = max(legend(feet)[:-1], key=len).split()
        assert longest[-1] in shown.split()
        assert " ".join(longest[:4]) in shown


async def test_what_was_left_out_of_a_hit_takes_no_line_of_its_own(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 40)) as pilot:
        await pilot.press("h")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and app.screen.visit)
        screen = app.screen
        assert isinstance(screen, HandbookScreen)
        screen.query_one("#search", Input).value = "blister on the heel"
        await until(pilot, lambda: screen.hits)
        await pilot.pause()
        lines = [line.strip() for line in seen(app, "#page-list").split("\n")]
        assert any(line.endswith("…") for line in lines)
        assert "…" not in lines
