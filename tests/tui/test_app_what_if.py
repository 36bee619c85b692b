"""What if: supposing on the desk, without touching the case."""

from __future__ import annotations

import pytest
from conftest import Driven, find, new_case, open_demo, seen, type_text, until, words
from textual import events
from textual.widgets import OptionList

from toeroom.case import Case
from tui.app import ToeroomApp
from tui.screens.desk import DeskScreen
from tui.screens.what_if import WhatIfScreen


async def answered(pilot: Driven, text: str) -> None:
    await until(pilot, lambda: text in words(pilot.app, "#what-if-told"))  # type: ignore[arg-type]


async def test_from_a_line_of_the_form(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        before = desk.open.case
        await find(pilot, "open wound")
        await pilot.press("right", "escape", "i")
        await pilot.pause()
        listed = app.screen.query_one(OptionList)
        assert listed.highlighted is not None
        assert listed.get_option_at_index(listed.highlighted).id == "open_wound@right"
        await pilot.press("y")
        await answered(pilot, "THE FITTING WOULD STOP")
        told = words(app, "#what-if-told")
        assert "If “Open wound, right” were yes" in told
        assert "comes in Wound to the foot service · right foot" in told
        await pilot.press("n")
        await answered(pilot, "nothing in the plan would change")
        await pilot.press("escape")
        assert app.screen is desk
        assert desk.open.case == before
        assert not desk.open.unsaved


async def test_asked_before_the_plan_has_come_it_waits_for_it(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await find(pilot, "open wound")
        await pilot.press("escape")
        for key in "yi":
            app.post_message(events.Key(key, key))
        await until(pilot, lambda: isinstance(app.screen, WhatIfScreen))
        await pilot.pause()
        assert isinstance(app.screen, WhatIfScreen)
        assert app.screen.plan.stop


async def test_typing_finds_what_to_suppose(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await new_case(pilot)
        await pilot.press("i", "slash")
        await type_text(pilot, "pus")
        await pilot.press("enter")
        await pilot.pause()
        assert "Signs of infection, left" in seen(app)
        assert "Bunion" not in words(app, "#what-if-list")
        await pilot.press("y")
        await answered(pilot, "THE FITTING WOULD STOP")
        await pilot.press("slash")
        await type_text(pilot, "zzz")
        await pilot.pause()
        assert "No finding of that name" in words(app, "#what-if-told")
        await pilot.press("escape")
        assert isinstance(app.screen, DeskScreen)


async def test_from_an_item_the_findings_that_would_turn_it_come_first(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.press("tab")
        while desk.query_one("#plan").entry is None or desk.query_one("#plan").entry.label != "Extra width":  # type: ignore[attr-defined]
            await pilot.press("down")
        await pilot.press("i")
        await until(pilot, lambda: "would turn it by itself" in words(app, "#what-if-told"))
        assert "Bunion, left now: yes; if no: not in the plan on the left" in words(app, "#what-if-list")
        await pilot.press("enter")
        await answered(pilot, "goes out Extra width · left foot")
        await pilot.press("escape")
        assert app.screen is desk


async def test_one_that_cannot_be_worked_out_is_said_and_the_desk_goes_on(
    app: ToeroomApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)

        def fails(case: Case) -> object:
            raise RuntimeError("[/b]")

        await pilot.press("i")
        await pilot.pause()
        monkeypatch.setitem(app.book.planner.__dict__, "plan", fails)
        await pilot.press("y")
        await answered(pilot, "It could not be worked out")
        monkeypatch.delitem(app.book.planner.__dict__, "plan")
        assert isinstance(app.screen, WhatIfScreen)
        await pilot.press("escape")
        assert app.screen is desk
