"""Stating findings, numbers, choices and dates on the desk, by keys alone."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from conftest import desk_of, find, new_case, open_demo, settled, type_text, until, words
from textual import events

from tui.app import ToeroomApp
from tui.widgets.form import Form


async def test_an_open_wound_stops_as_soon_as_it_is_stated(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        assert "STOP" not in words(app)
        await find(pilot, "open wound")
        await pilot.press("y")
        desk = await settled(pilot)
        assert desk.open.case.findings == {("open_wound", "left"): "yes"}
        assert "STOP left foot is not fitted today" in words(app)
        assert "Wound to the foot service" in words(app, "#plan")


@pytest.mark.parametrize(
    ("key", "value"),
    [("y", "yes"), ("n", "no"), ("u", "unknown"), ("ctrl+y", "yes"), ("ctrl+n", "no"), ("ctrl+u", "unknown")],
)
async def test_one_key_states_a_value_on_the_foot_chosen(app: ToeroomApp, key: str, value: str) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "bunion")
        await pilot.press("right", key)
        assert desk.open.case.findings == {("bunion", "right"): value}
        await pilot.press("delete")
        assert desk.open.case.findings == {}


async def test_typing_finds_by_label_and_by_other_words(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        grid = desk.query_one(Form).grid
        await find(pilot, "pus")
        assert grid.line is not None
        assert grid.line.term.id == "infection_signs"
        await pilot.press("escape")
        assert len(grid.lines) == len(grid.all_lines)
        assert grid.line.term.id == "infection_signs"
        await pilot.press("ctrl+f")
        await type_text(pilot, "zzz")
        await pilot.pause()
        assert "No finding of that name" in words(app, "#hint")


async def test_a_number_out_of_range_is_said_and_not_taken(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "foot length")
        await type_text(pilot, "999")
        await pilot.pause()
        assert "999 is out of range; 150 to 350" in words(app, "#typing")
        await pilot.press("enter")
        assert desk.open.case.measures == {}
        assert "999 is out of range; 150 to 350" in words(app, "#typing")
        await pilot.press("backspace", "backspace", "backspace")
        await type_text(pilot, "262")
        await pilot.press("enter")
        assert desk.open.case.measures == {("foot_length_mm", "left"): Decimal(262)}
        assert desk.query_one(Form).grid.side == "right"


async def test_a_number_counts_while_it_is_typed_and_esc_puts_back(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        place = ("foot_length_mm", "left")
        before = desk.open.case.measures[place]
        await find(pilot, "foot length")
        await type_text(pilot, "30")
        assert desk.open.case.measures[place] == before
        await type_text(pilot, "1")
        await pilot.pause()
        assert desk.open.case.measures[place] == Decimal(301)
        await pilot.press("escape")
        assert desk.open.case.measures[place] == before
        assert not desk.open.unsaved


async def test_leaving_by_tab_keeps_what_holds_and_puts_back_what_does_not(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "toe height")
        await type_text(pilot, "25")
        await pilot.press("tab")
        await pilot.pause()
        assert desk.open.case.measures == {("toe_height_mm", "left"): Decimal(25)}
        await pilot.press("tab")
        await type_text(pilot, "2")
        await pilot.press("tab")
        await pilot.pause()
        assert desk.open.case.measures == {("toe_height_mm", "left"): Decimal(25)}
        await until(pilot, lambda: "not taken" in words(app))


async def test_choices_by_their_place_and_dates_checked(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "size system")
        await pilot.press("2")
        assert desk.open.case.choices == {"size_system": "uk"}
        await pilot.press("enter")
        assert desk.open.case.choices == {"size_system": "us_men"}
        await pilot.press("escape")
        await find(pilot, "foot examination")
        await type_text(pilot, "2026-02-30")
        await pilot.press("enter")
        assert "2026-02-30 does not exist" in words(app, "#typing")
        assert desk.open.case.dates == {}
        await pilot.press("backspace", "backspace")
        await type_text(pilot, "20")
        await pilot.press("enter")
        assert desk.open.case.dates == {"foot_exam": date(2026, 2, 20)}


async def test_every_line_can_be_reached_and_groups_stand_in_the_order_of_a_fitting(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        grid = desk.query_one(Form).grid
        reached = {grid.line.term.id} if grid.line else set()
        for _ in range(len(grid.lines)):
            grid.action_move(1)
            assert grid.line is not None
            reached.add(grid.line.term.id)
        vocabulary = app.book.vocabulary
        assert reached == {*vocabulary.findings, *vocabulary.measures, *vocabulary.choices, *vocabulary.dates}
        await pilot.press("home")
        groups = [grid.line.group]
        for _ in range(8):
            await pilot.press("pagedown")
            groups.append(grid.line.group)
        assert groups == [
            "referral",
            "skin",
            "shape",
            "feeling",
            "joints",
            "person",
            "measuring",
            "shoe",
            "papers",
        ]


async def test_keys_that_come_in_one_go_act_as_if_typed_slowly(app: ToeroomApp) -> None:
    keys = ["slash", *"bunion", "enter", "y", "right", "n", "left", "escape", "slash", *"foot length"]
    keys += ["enter", *"247", "enter", *"251", "enter"]
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        for key in keys:
            name = "space" if key == " " else key
            app.post_message(events.Key(name, key if len(key) == 1 else "/" if key == "slash" else None))
        desk = await settled(pilot)
        for _ in range(200):
            if len(desk.open.case.measures) == 2 and not app.key_under_way:
                break
            await pilot.pause(0.02)
        assert desk.open.case.findings == {("bunion", "left"): "yes", ("bunion", "right"): "no"}
        assert desk.open.case.measures == {
            ("foot_length_mm", "left"): Decimal(247),
            ("foot_length_mm", "right"): Decimal(251),
        }


async def test_a_click_puts_the_cursor_and_a_second_one_changes_the_value(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        grid = desk_of(pilot).query_one(Form).grid
        await pilot.click("#grid", offset=(32, 3))
        assert grid.line is not None
        term = grid.line.term.id
        await pilot.click("#grid", offset=(32, 3))
        assert desk_of(pilot).open.case.findings == {(term, "person"): "yes"}


async def test_what_was_looked_for_before_gives_way_to_what_is_typed(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "bunion")
        await find(pilot, "open wound")
        grid = desk.query_one(Form).grid
        assert grid.line is not None
        assert grid.line.term.id == "open_wound"
