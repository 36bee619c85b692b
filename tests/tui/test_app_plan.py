"""The plan on the desk: choosing items, why, questions, and what happens when there is none."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from conftest import find, new_case, open_demo, seen, settled, until, words

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.errors import EnginesDiffer
from toeroom.rules.whys import why
from toeroom.sheet import make_sheet
from tui.app import ToeroomApp
from tui.citations import Citations
from tui.screens.desk import DeskScreen
from tui.screens.why import WhyScreen, why_lines
from tui.widgets.form import Form
from tui.widgets.lines_pane import LinesPane
from tui.widgets.plan_pane import PlanPane


@pytest.mark.parametrize("key", ["w", "ctrl+w", "enter"])
async def test_why_shows_rule_findings_and_source(app: ToeroomApp, key: str) -> None:
    async with app.run_test(size=(120, 50)) as pilot:
        desk = await open_demo(pilot, "open-wound-on-the-sole")
        await pilot.press("tab", key)
        assert isinstance(app.screen, WhyScreen)
        plan = desk.planned.plan if desk.planned else None
        assert plan is not None
        line = plan.lines[0]
        assert line.reasons[0].rule in words(app, "#why")
        assert line.reasons[0].title in words(app, "#why")
        assert "open wound, left" in words(app, "#why")
        assert "source:" in words(app, "#why")
        await pilot.press("escape")
        assert isinstance(app.screen, DeskScreen)


def test_why_of_every_item_of_every_demo_case_names_its_rules(book: Book) -> None:
    citations = Citations(book)
    for path in sorted(book.cases_demo.glob("*.yaml")):
        case = read_case(path, book.vocabulary)
        plan, outcome = book.planner.plan(case), book.planner.run(case)
        sheet = make_sheet(plan, book.vocabulary)
        for entry in (*sheet.all_entries, *sheet.held):
            whys = [
                one
                for line in entry.lines
                for one in why(book.planner, case, plan, outcome, line.id, line.side)
            ]
            text = "\n".join(line.plain for line in why_lines(book, citations, entry, whys))
            for line in entry.lines:
                for reason in (*line.reasons, *line.held_back_by):
                    assert f"({reason.rule})" in text
                    assert all(words in text for words in citations.of_rule(reason.rule))


async def test_the_pane_shows_all_that_the_sheet_holds(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        for path in sorted(app.book.cases_demo.glob("*.yaml")):
            desk = await open_demo(pilot, path.stem)
            pane = desk.query_one(PlanPane)
            await pilot.press("f4")
            sheet = pane.sheet
            assert sheet is not None
            text = " ".join(line.plain for block in pane.blocks for _, line in block.lines)
            for entry in (*sheet.all_entries, *sheet.held):
                assert entry.label in text
            for caution in (c for e in sheet.all_entries for c in (*e.cautions, *e.more_cautions)):
                assert caution in text
            assert all(caution in text for caution in sheet.cautions)
            assert sheet.deferral in text
            await pilot.press("escape")


async def test_a_question_leads_to_its_line(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        assert "Ask next" in words(app)
        assert desk.planned is not None
        first = desk.planned.plan.lines and desk.planned.questions[0]
        await pilot.press("tab", "enter")
        await pilot.pause()
        grid = desk.query_one(Form).grid
        assert grid.line is not None
        assert (grid.line.term.id, grid.side) == (first.id, first.side)
        assert grid.has_focus


async def test_stops_stand_before_questions_and_both_before_the_shoe(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await open_demo(pilot, "open-wound-on-the-sole")
        lines = [line.plain for block in desk.query_one(PlanPane).blocks for _, line in block.lines]
        assert lines[0].startswith("STOP")
        assert lines.index("Ask next") < next(
            i for i, text in enumerate(lines) if text in ("Shoe", "The shoe")
        )


async def test_the_last_of_many_changes_wins(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        await find(pilot, "open wound")
        await pilot.press(*("y", "n") * 10)
        await settled(pilot)
        assert desk.planned is not None
        assert not desk.planned.sheet.stop
        assert "STOP" not in words(app)
        await pilot.press("y")
        await settled(pilot)
        assert "STOP" in words(app)


@pytest.mark.parametrize("error", [EnginesDiffer({"case": "t-1"}), RuntimeError("[/b] no")])
async def test_where_there_is_no_plan_it_is_said_and_written_down(
    app: ToeroomApp, monkeypatch: pytest.MonkeyPatch, own_places: Path, error: Exception
) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        desk = await new_case(pilot)
        planner = app.book.planner
        whole = type(planner).plan

        def fails(case: Case) -> object:
            raise error

        monkeypatch.setitem(planner.__dict__, "plan", fails)
        await find(pilot, "bunion")
        await pilot.press("y")
        await until(pilot, lambda: "NO PLAN" in seen(app))
        assert "What you have stated is kept" in words(app, "#plan")
        log = next((own_places / "state").rglob("app.log"))
        assert type(error).__name__ in log.read_text()
        monkeypatch.setitem(planner.__dict__, "plan", whole.__get__(planner))
        await pilot.press("n")
        await settled(pilot)
        assert "NO PLAN" not in seen(app)
        assert desk.open.case.finding("bunion", "left") == "no"


async def test_what_goes_on_under_why_stands_under_its_own_beginning(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_demo(pilot, "open-wound-on-the-sole")
        await pilot.press("tab", "w")
        await until(pilot, lambda: isinstance(app.screen, WhyScreen))
        await pilot.pause()
        lines = app.screen.query_one(LinesPane).wrapped
        further = [
            (before, after)
            for (number, *before), (same, *after) in itertools.pairwise(lines)
            if number == same and before[1].plain.startswith(("source: ", "! "))
        ]
        assert further
        for (indent, line, _), (deeper, _, _) in further:
            assert deeper == indent + len(line.plain.split(" ")[0]) + 1
