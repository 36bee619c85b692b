"""Ask: saying what one sees, answering, correcting, looking up, and taking it into a case."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from conftest import Driven, open_demo, seen, settled, type_text, until, words
from textual.widgets import Input

from toeroom.answers.conversation import Conversation, Turn
from tui.app import ToeroomApp
from tui.screens.ask import AskScreen
from tui.screens.cases import CasesScreen
from tui.screens.handbook import HandbookScreen
from tui.screens.leaving import LeavingScreen
from tui.screens.prompt import PromptScreen
from tui.widgets.stated_pane import StatedPane
from tui.widgets.talk_pane import TalkPane


async def open_ask(pilot: Driven, key: str = "a") -> AskScreen:
    await pilot.press(key)
    await until(pilot, lambda: isinstance(pilot.app.screen, AskScreen))
    screen = pilot.app.screen
    assert isinstance(screen, AskScreen)
    return screen


async def say(pilot: Driven, screen: AskScreen, text: str) -> Turn:
    screen.set_focus(screen.query_one(Input))
    await type_text(pilot, text)
    await pilot.press("enter")
    return await replied(pilot, screen)


async def replied(pilot: Driven, screen: AskScreen) -> Turn:
    await until(pilot, lambda: not screen.talk.busy and not screen.talk.waiting)
    await pilot.pause()
    turn = screen.talk.history[-1].turn
    assert turn is not None, screen.talk.history[-1].fault
    return turn


async def test_a_situation_is_told_answered_corrected_looked_up_and_taken_into_a_case(
    app: ToeroomApp, own_places: Path
) -> None:
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        screen = await open_ask(pilot)
        turn = await say(pilot, screen, "R bunion, numb both sides, hammertoe on the left, what shoe?")
        assert {(s.id, s.side) for s in turn.stated} == {
            ("bunion", "right"),
            ("sensation_lost", "both"),
            ("hammertoe", "left"),
        }
        assert "1 Bunion, right: yes" in words(app, "#stated")
        assert turn.reply is not None
        assert turn.reply.answers[0].title[:30] in " ".join(
            line.plain for _, _, line, _ in screen.query_one(TalkPane).wrapped
        )
        question = turn.question
        assert question is not None
        assert question.text[:40] in words(app, "#pending")
        assert question.why[:20] in words(app, "#pending")

        # A letter that begins a sentence is not yet an answer; alone, with Enter, it is.
        await type_text(pilot, "n")
        await pilot.pause()
        assert "Enter: no" in words(app, "#pending")
        assert len(screen.talk.history) == 1
        await pilot.press("enter")
        turn = await replied(pilot, screen)
        assert screen.talk.conversation is not None
        assert screen.talk.conversation.case.finding(question.id, question.side) == "no"
        assert turn.question != question

        # From the history a key is enough.
        await pilot.press("tab")
        question = screen.talk.pending
        assert question is not None
        await pilot.press("question_mark")
        await replied(pilot, screen)
        assert screen.talk.conversation.case.finding(question.id, question.side) == "unknown"

        # The list is corrected on its rows.
        await pilot.press("tab")
        stated = screen.query_one(StatedPane)
        assert app.focused is stated
        stated.choose(next(str(i) for i, s in enumerate(screen.talk.stated, 1) if s.id == "hammertoe"))
        await pilot.press("r")
        await replied(pilot, screen)
        assert screen.talk.conversation.case.finding("hammertoe", "right") == "yes"
        assert screen.talk.conversation.case.finding("hammertoe", "left") == "unknown"
        await pilot.press("n")
        await replied(pilot, screen)
        assert screen.talk.conversation.case.finding("hammertoe", "right") == "no"
        await pilot.press("delete")
        await replied(pilot, screen)
        assert "hammertoe" not in [s.id for s in screen.talk.stated]

        # A citation is copied, opened, and come back from.
        talk = screen.query_one(TalkPane)
        screen.set_focus(talk)
        await pilot.press("home")
        passage = talk.answer
        assert passage is not None
        await pilot.press("c")
        assert "\n".join(passage.lines) in app.clipboard
        assert all(caution in app.clipboard for caution in passage.cautions)
        assert passage.page in app.clipboard
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and app.screen.visit)
        assert isinstance(app.screen, HandbookScreen)
        assert app.screen.visit is not None
        assert (app.screen.visit.page, app.screen.visit.heading) == (passage.page, passage.heading)
        assert passage.heading in words(app, "#page")
        await pilot.press("escape")
        assert app.screen is screen
        assert app.focused is talk

        # Written down, then taken into a case of its own.
        await pilot.press("ctrl+s")
        assert isinstance(app.screen, PromptScreen)
        await pilot.press("enter")
        await pilot.pause()
        written = (own_places / "conversation.md").read_text()
        assert all(line in written for line in passage.lines)
        await pilot.press("f5")
        app.screen.query_one(Input).value = "told"
        await pilot.press("enter")
        desk = await settled(pilot)
        assert app.screen is desk
        assert desk.open.case == screen.talk.conversation.case or desk.open.case.id == "told"
        assert desk.open.case.findings == screen.talk.conversation.case.findings
        assert desk.open.unsaved
        await pilot.press("f3")
        assert app.screen is screen
        assert len(screen.talk.history) > 3


async def test_from_an_open_case_and_back_into_it_nothing_is_lost(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        before = desk.open.case
        screen = await open_ask(pilot)
        assert screen.talk.about == before.id
        await type_text(pilot, "half a sen")
        await pilot.press("escape")
        assert app.screen is desk
        await pilot.press("slash", *"callus", "enter", "y")
        await pilot.press("f3")
        line = screen.query_one(Input)
        assert line.value == "half a sen"
        line.value = ""
        turn = await say(pilot, screen, "open wound under the left heel")
        assert turn.plan is not None
        assert turn.plan.stop
        assert "STOP  left foot is not fitted today" in seen(app, "#alarm")
        assert turn.plan.case == before.id
        await pilot.press("f5")
        await settled(pilot)
        assert app.screen is desk
        now = desk.open.case
        assert now.finding("open_wound", "left") == "yes"
        assert now.finding("callus", "left") == "yes"
        assert now.measures == before.measures
        assert (now.title, now.notes) == (before.title, before.notes)
        assert "STOP" in seen(app)
        await pilot.press("escape", "escape")
        assert isinstance(app.screen, LeavingScreen)


async def test_an_emergency_stands_first_at_any_size(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_ask(pilot)
        turn = await say(pilot, screen, "she has chest pain and what socks should she wear")
        assert turn.reply is not None
        assert seen(app).split("\n")[1].strip().startswith("EMERGENCY")
        rows = [line.plain for _, _, line, _ in screen.query_one(TalkPane).wrapped]
        assert rows[1].startswith("EMERGENCY")
        assert "F1 help" in seen(app)
        await pilot.press("f1")
        assert "Ring first" in words(app, "#help")


async def test_words_like_markup_stay_words_and_a_refusal_is_said(app: ToeroomApp) -> None:
    text = "[/b] [bold red]bunion[/] [@click=app.bell]left[/]"
    async with app.run_test(size=(120, 36)) as pilot:
        screen = await open_ask(pilot)
        await say(pilot, screen, text)
        assert text in words(app, "#talk")
        screen.query_one(Input).value = "which antibiotic for an infected toe \x1b[31m"
        await pilot.press("enter")
        turn = await replied(pilot, screen)
        assert turn.said
        assert turn.said[:40] in words(app, "#talk")
        assert "\x1b" not in app.export_screenshot()


async def test_lines_said_while_one_is_worked_out_follow_in_order_and_an_error_loses_nothing(
    app: ToeroomApp, own_places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole: Callable[[Conversation, str], Turn] = Conversation.say

    def fails(self: Conversation, text: str) -> Turn:
        turn = whole(self, text)
        if "fail" in text:
            raise RuntimeError("[/b] no")
        return turn

    monkeypatch.setattr(Conversation, "say", fails)
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        screen = await open_ask(pilot)
        for text in ("bunion left", "callus right, fail", "hammertoe right"):
            await type_text(pilot, text)
            await pilot.press("enter")
        await replied(pilot, screen)
        assert [(s.id, s.side) for s in screen.talk.stated] == [("bunion", "left"), ("hammertoe", "right")]
        assert "it could not be worked out (RuntimeError)" in screen.talk.history[1].fault
        log = next((own_places / "state").rglob("app.log"))
        assert "RuntimeError" in log.read_text()

        # A second conversation leaves the first as it is; leaving toeroom asks about what was stated.
        first = screen.talk
        await pilot.press("f8")
        assert screen.talk is not first
        await say(pilot, screen, "what is a rocker sole")
        await pilot.press("f4")
        assert screen.talk is first
        await pilot.press("escape")
        assert isinstance(app.screen, CasesScreen)
        await pilot.press("ctrl+q")
        assert isinstance(app.screen, LeavingScreen)
        await pilot.press("escape")
        assert app.screen is screen
        assert len(first.stated) == 2


async def test_a_table_is_quoted_in_its_columns_and_copied_row_by_row(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        screen = await open_ask(pilot)
        await say(pilot, screen, "how wide is a G fitting?")
        lines = [" ".join(line.split()) for line in seen(app, "#talk").split("\n")]
        assert "Narrow Medium Wide Extra wide" in lines
        assert any(line.startswith("US men B D EE (2E)") for line in lines)
        await pilot.press("tab")
        await pilot.pause()
        text, _ = screen.query_one(TalkPane).copied()
        assert text.startswith("US men — Narrow: B; Medium: D;")
