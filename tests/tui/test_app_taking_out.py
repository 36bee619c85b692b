"""Text taken out of the app: copied at one key, marked with keys and with the mouse."""

from __future__ import annotations

from conftest import find, new_case, open_demo, seen, settled, type_text, until, words
from textual.widgets import Input

from tui.app import ToeroomApp
from tui.screens.ask import AskScreen
from tui.screens.handbook import HandbookScreen
from tui.screens.why import WhyScreen
from tui.widgets.page_pane import PagePane
from tui.widgets.plan_pane import PlanPane
from tui.widgets.stated_pane import StatedPane


async def test_the_plan_is_copied_whole_from_the_plan_and_from_the_form(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        desk = await open_demo(pilot, "open-wound-on-the-sole")
        await pilot.press("f7")
        assert desk.planned is not None
        for text in (desk.planned.sheet.title, desk.planned.sheet.headline, desk.planned.sheet.deferral):
            assert " ".join(text.split()) in " ".join(app.clipboard.split())
        assert "copied: the plan" in words(app)
        whole, app._clipboard = app.clipboard, ""
        await pilot.press("tab", "c")
        assert app.clipboard == whole
        # More is shown, more is copied.
        await pilot.press("f4", "c")
        assert len(app.clipboard) > len(whole)


async def test_the_reasons_are_copied_with_their_sources(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.press("tab")
        while desk.query_one(PlanPane).entry is None:
            await pilot.press("down")
        await pilot.press("w", "c")
        why = app.screen
        assert isinstance(why, WhyScreen)
        rules = [reason.rule for w in why.entry.lines for reason in w.reasons]
        assert rules
        cited = [words for rule in rules for words in desk.library.citations.of_rule(rule)]
        assert cited[0] in app.clipboard
        assert why.entry.label in app.clipboard


async def test_the_list_of_what_is_understood_is_copied(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: isinstance(app.screen, AskScreen))
        screen = app.screen
        assert isinstance(screen, AskScreen)
        await type_text(pilot, "bunion left")
        await pilot.press("enter")
        await until(pilot, lambda: screen.talk.stated and not screen.talk.busy)
        await pilot.pause()
        screen.set_focus(screen.query_one(StatedPane))
        await pilot.press("c")
        assert "Bunion, left: yes" in app.clipboard
        screen.set_focus(screen.query_one(Input))
        await pilot.press("f7")
        assert screen.query_one("#talk").copied()[0] in ("", app.clipboard)


async def test_lines_are_marked_with_keys_and_only_they_are_copied(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("h")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and app.screen.visit)
        await pilot.press("tab", "home", *["shift+down"] * 3)
        pane = app.screen.query_one(PagePane)
        first = pane.row_to_mark()
        rows = [line.plain.strip() for _, _, line, _ in pane.wrapped]
        marked = [row for row in rows[first : first + 3] if row]
        await pilot.press("c")
        assert [line.strip() for line in app.clipboard.split("\n") if line.strip()] == marked
        await pilot.press("shift+up", "ctrl+c")
        assert app.clipboard.strip().split("\n")[0].strip() == marked[0]
        assert len(app.clipboard.strip().split("\n")) < 3
        # To go on is to be done with it: then the page is copied.
        await pilot.press("down", "c")
        assert pane.text_selection is None
        assert app.clipboard.startswith(rows[0])
        assert len(app.clipboard.split("\n")) > 10


async def test_marking_beyond_the_lower_edge_brings_it_into_sight(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.press("tab")
        pane = desk.query_one(PlanPane)
        await pilot.press(*["shift+down"] * 40)
        assert pane.scroll_offset.y > 10
        await pilot.press("c")
        assert len(app.clipboard.split("\n")) == 40


async def test_a_drag_marks_text_and_opens_nothing(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await new_case(pilot)
        await find(pilot, "open wound")
        await pilot.press("y")
        desk = await settled(pilot)
        pane = desk.query_one(PlanPane)
        chosen = pane.chosen
        await pilot.mouse_down(PlanPane, offset=(3, 1))
        await pilot.hover(PlanPane, offset=(28, 1))
        await pilot.mouse_up(PlanPane, offset=(28, 1))
        await pilot.pause()
        assert pane.text_selection is not None
        assert pane.chosen == chosen
        assert app.screen is desk
        await pilot.press("ctrl+c")
        line = seen(app, "#plan").split("\n")[1]
        assert app.clipboard.strip()
        assert app.clipboard.strip() in line
        assert len(app.clipboard) >= 20
