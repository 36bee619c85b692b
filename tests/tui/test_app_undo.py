"""Taking a change back, and taking that back."""

from __future__ import annotations

from datetime import date

from conftest import find, new_case, open_demo
from hypothesis import given
from hypothesis import strategies as st

from toeroom.case import Case
from tui.app import ToeroomApp
from tui.open_case import OpenCase


async def test_undo_and_redo_follow_the_form_and_the_plan(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "papers-with-a-lapse")
        opened = desk.open.case
        await find(pilot, "open wound")
        await pilot.press("y")
        stopped = desk.open.case
        assert stopped.findings["open_wound", "left"] == "yes"
        await pilot.press("n", "ctrl+z")
        assert desk.open.case == stopped
        await pilot.press("ctrl+z")
        assert desk.open.case == opened
        assert not desk.open.unsaved
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert not desk.verdict.startswith("STOP")
        await pilot.press("ctrl+z", "ctrl+r")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert desk.open.case == stopped
        assert desk.verdict.startswith("STOP")


async def test_a_new_change_ends_what_could_be_redone(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await pilot.press("y", "ctrl+z", "n", "ctrl+r")
        assert desk.open.case.findings == {("diabetes", "person"): "no"}


@given(st.lists(st.sampled_from(["undo", "redo", "a", "b", "c"]), max_size=30))
def test_it_behaves_like_a_list_with_a_place_in_it(steps: list[str]) -> None:
    start = Case("t", date(2026, 11, 25))
    opened, seen, at = OpenCase(start, None, start), [start], 0
    for number, step in enumerate(steps):
        if step == "undo":
            assert opened.undo() == (at > 0)
            at = max(at - 1, 0)
        elif step == "redo":
            assert opened.redo() == (at < len(seen) - 1)
            at = min(at + 1, len(seen) - 1)
        else:
            case = Case(f"{step}-{number}", start.as_of)
            opened.change(case)
            seen, at = [*seen[: at + 1], case], at + 1
        assert opened.case == seen[at]
