"""Training in the app: walking through a case, coming back to it, being told."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import Driven, seen, type_text, until, words
from textual.widgets import OptionList

from toeroom.book import Book, open_book
from toeroom.errors import BadInput
from toeroom.training.decisions import Decision
from toeroom.training.journal import read_journal
from toeroom.training.session import Session
from toeroom.upkeep.in_use import InUse
from toeroom.upkeep.own_book import new_book
from tui.app import ToeroomApp
from tui.screens.debriefing import DebriefScreen
from tui.screens.picking import PickScreen
from tui.screens.training import TrainingScreen
from tui.screens.walk import WalkScreen


async def training(pilot: Driven, code: str = "T7") -> TrainingScreen:
    await pilot.press("t")
    await until(pilot, lambda: isinstance(pilot.app.screen, TrainingScreen))
    await pilot.press("c")
    await type_text(pilot, code)
    await pilot.press("enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, TrainingScreen)
    return pilot.app.screen


async def begin(pilot: Driven, case_id: str) -> WalkScreen:
    place = await training(pilot)
    listed = place.query_one(OptionList)
    listed.highlighted = listed.get_option_index(case_id)
    await pilot.press("enter")
    await pilot.pause()
    return walk_of(pilot)


def walk_of(pilot: Driven) -> WalkScreen:
    assert isinstance(pilot.app.screen, WalkScreen)
    return pilot.app.screen


async def pick(pilot: Driven, key: str, *texts: str) -> None:
    """Opens a list with `key` and takes what each text finds in it and in those that follow."""
    await pilot.press(key)
    for text in texts:
        await until(pilot, lambda: isinstance(pilot.app.screen, PickScreen))
        await pilot.pause()
        await type_text(pilot, text)
        await pilot.press("enter")
        await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_a_walk_from_the_list_to_the_debrief(
    app: ToeroomApp, size: tuple[int, int], own_places: Path
) -> None:
    async with app.run_test(size=size) as pilot:
        screen = await begin(pilot, "open-wound-on-the-sole")
        assert "1 of 6 Referral" in words(app)
        assert "new depth shoes for a party" in words(app)
        assert "ball" not in words(app)
        await pilot.press("g")
        assert "2 of 6 First look" in words(app)
        await pick(pilot, "slash", "open wound")
        assert "▸ Open wound: left yes, right no" in words(app)
        assert "1 asked" in words(app)
        await pick(pilot, "d", "wound to the foot", "left")
        await pick(pilot, "d", "therapeutic", "both")
        await pick(pilot, "s", "left foot: stop, refer soon")
        assert "STOP left; refer soon" in words(app)
        assert "Therapeutic shoe, both feet" in words(app)
        await pilot.press("w")
        await type_text(pilot, "not today")
        await pilot.press("enter", "e")
        await pilot.pause()
        assert isinstance(app.screen, DebriefScreen)
        assert "First look, left: the plan holds this back: Therapeutic shoe" in words(app)
        assert screen.session.walk.tally.harm == 1
        await pilot.press("escape")
        assert isinstance(app.screen, TrainingScreen)
        assert f"last {screen.session.walk.score}" in words(app)
        (kept,) = own_places.rglob("*.session.jsonl")
        assert read_journal(kept).trainee == "T7"


async def test_a_walk_that_was_left_goes_on_where_it_was(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await begin(pilot, "new-sandals")
        await pilot.press("g")
        await pick(pilot, "slash", "blister")
        await pick(pilot, "d", "leave the nail", "left")
        await pilot.press("escape")
        assert isinstance(app.screen, TrainingScreen)
        assert "not finished" in words(app)
        await pilot.press("enter")
        await pilot.pause()
        session = walk_of(pilot).session
        assert "2 of 6 First look" in words(app)
        assert "Blister: left yes, right no" in words(app)
        assert session.draft == Decision(items=frozenset({("leave_nail_alone", "left")}))
        await pilot.press("x")
        assert session.draft == Decision()
        await pilot.press("f4")
        assert "Diabetes: yes" in words(app)


async def test_what_is_known_by_heart_comes_varied_and_what_is_due_comes_next(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        await training(pilot)
        await pilot.press("v")
        await pilot.pause()
        assert "-v1" in walk_of(pilot).walk.case.id
        await pilot.press("escape", "n")
        await pilot.pause()
        assert walk_of(pilot).walk.case.grade == "simple"


async def test_a_name_is_refused_as_a_code(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("t", "c")
        await type_text(pilot, "Anna")
        await pilot.press("enter")
        assert "never a name" in words(app, ".sheet")
        await pilot.press("escape", "escape")
        assert not isinstance(app.screen, TrainingScreen)


async def test_the_debrief_is_kept_and_its_pages_open(app: ToeroomApp, own_places: Path) -> None:
    async with app.run_test(size=(120, 50)) as pilot:
        await begin(pilot, "boats")
        await pilot.press("e", "ctrl+s", "enter")
        await pilot.pause()
        assert (own_places / "debrief-boats.html").read_text().startswith("<!DOCTYPE html>")
        await pilot.press("end")
        await until(pilot, lambda: "To read" in seen(app))
        await pilot.press("enter")
        await until(pilot, lambda: "Handbook" in seen(app))
        await pilot.press("escape")
        assert isinstance(app.screen, DebriefScreen)


async def test_no_text_of_a_case_is_taken_as_markup(app: ToeroomApp) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        await begin(pilot, "boats")
        await pilot.press("w")
        await type_text(pilot, "[b]so")
        await pilot.press("enter")
        assert "To the wearer: [b]so" in words(app)
        await pilot.press("e")
        await pilot.pause()
        assert "You said: [b]so" in "\n".join(told.text for told in app.screen.told)


def changed(book: Book, own: Path, title: str) -> InUse:
    """A book of one's own in which a training case is called otherwise."""
    new_book(own, book.folder)
    case = own / "cases_demo/new-sandals.yaml"
    case.write_text(case.read_text().replace("title: Something closed for the cold", f"title: {title}"))
    rules = own / "rules/fit.yaml"
    rules.write_text(rules.read_text() + "# changed\n")
    return InUse(open_book(own), own)


async def test_a_walk_goes_on_by_a_book_that_was_changed(
    app: ToeroomApp, book: Book, own_places: Path
) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        await begin(pilot, "new-sandals")
        await pilot.press("g")
        await pick(pilot, "slash", "blister")
        await pick(pilot, "d", "leave the nail", "left")
        begun = walk_of(pilot).session
        now = changed(book, own_places / "own", "Called otherwise")
        await app.use(now)
        await pilot.pause()
        session = walk_of(pilot).session
        assert session.walk.planner is now.book.planner
        assert session.path == begun.path
        assert session.walk.asked_ids == ("blister",)
        assert "Leave the nail" in words(app)
        await pilot.press("g")
        assert "3 of 6" in words(app)
        await pilot.press("escape")
        await pilot.pause()
        assert "Called otherwise" in words(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "3 of 6" in words(app)


async def test_a_walk_that_the_new_book_cannot_take_again_is_not_lost(
    app: ToeroomApp, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app.run_test(size=(100, 40)) as pilot:
        await begin(pilot, "new-sandals")
        await pilot.press("g")
        begun = walk_of(pilot).session

        def refused(*_: object) -> Session:
            raise BadInput("this step cannot be taken again", mend="begin anew")

        monkeypatch.setattr(Session, "resume", refused)
        await walk_of(pilot).turn_to_book()
        assert walk_of(pilot).session is begun
        await pick(pilot, "slash", "blister")
        assert begun.walk.asked_ids == ("blister",)


async def test_the_grade_stands_once_above_its_cases(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 40)) as pilot:
        place = await training(pilot)
        assert words(app, "#training-list").count("╌ simple") == 1
        assert place.chosen is not None
        assert place.chosen.grade == "simple"
