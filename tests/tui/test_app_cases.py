"""The list of cases: opening, starting anew, and what will not open."""

from __future__ import annotations

from pathlib import Path

from conftest import desk_of, new_case, open_demo, seen, settled, type_text, words

from tui.app import ToeroomApp
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.prompt import PromptScreen


async def test_every_demo_case_is_listed_with_what_it_teaches(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 50)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, CasesScreen)
        assert set(app.screen.listed) == {p.name for p in app.book.cases_demo.glob("*.yaml")}
        first = next(option for option in app.screen.query_one("#case-list").options if option.id)
        assert app.screen.listed[first.id].teaches[:30] in words(app, "#case-beside")


async def test_a_demo_case_opens_with_its_plan(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "open-wound-on-the-sole")
        assert "STOP left foot is not fitted today" in words(app)
        assert desk.open.path is None
        await pilot.press("escape")
        assert isinstance(app.screen, CasesScreen)


async def test_a_demo_case_is_never_written_over(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.press("u", "ctrl+s")
        assert isinstance(app.screen, PromptScreen)


async def test_a_file_opens_by_its_path(app: ToeroomApp, own_places: Path) -> None:
    (own_places / "mine.yaml").write_text("case: mine\nleft: {bunion: yes}\n")
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("ctrl+o")
        await type_text(pilot, "mine.yaml")
        await pilot.press("enter")
        await settled(pilot)
        assert desk_of(pilot).open.case.finding("bunion", "left") == "yes"
        assert desk_of(pilot).open.path == Path("mine.yaml")


async def test_what_cannot_be_read_is_said_in_a_line(app: ToeroomApp, own_places: Path) -> None:
    (own_places / "bad.yaml").write_text("case: bad\nleft: {bunyon: yes}\n")
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("o")
        await type_text(pilot, "bad.yaml")
        await pilot.press("enter")
        assert "line 2: 'bunyon' is not known here; did you mean 'bunion'?" in words(app, ".sheet")
        await pilot.press("escape")
        assert isinstance(app.screen, CasesScreen)


async def test_an_id_that_will_not_do_is_refused(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("n")
        await type_text(pilot, "a b")
        await pilot.press("enter")
        assert "use letters, digits and dashes" in words(app, ".sheet")
        assert isinstance(app.screen, PromptScreen)


async def test_a_new_case_states_nothing_and_leaves_without_a_question(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot, "fresh")
        assert desk.open.case.findings == {}
        assert "No stop so far" in seen(app)
        await pilot.press("escape")
        assert isinstance(app.screen, CasesScreen)


async def test_help_describes_the_place(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("f1")
        assert "The invented cases" in words(app, "#help")
        await pilot.press("escape")
        await open_demo(pilot, "bunion-and-numb-feet")
        await pilot.press("f1")
        assert "the plan follows every key" in words(app, "#help")
        await pilot.press("escape")
        assert isinstance(app.screen, DeskScreen)
