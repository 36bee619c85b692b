"""A part that is broken on purpose: it is said and written down, and the rest goes on."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import desk_of, find, new_case, seen, settled, until, words
from textual.strip import Strip
from textual.widgets import Static

from toeroom.case import read_case
from toeroom.errors import BadInput
from tui.app import ToeroomApp, start_app
from tui.screens.ask import AskScreen
from tui.screens.cases import CasesScreen
from tui.screens.handbook import HandbookScreen
from tui.screens.help import HelpScreen
from tui.widgets.form import Form
from tui.widgets.page_pane import PagePane
from tui.widgets.plan_pane import PlanPane
from tui.widgets.talk_pane import TalkPane


class BrokenOnPurpose(Exception):
    pass


def breaks(*_: object, **__: object) -> None:
    raise BrokenOnPurpose("[/b] no such thing")


def was_told(app: ToeroomApp) -> None:
    """A fault is raised at the end of a test, unless the test has asked for it."""
    assert isinstance(app._exception, BrokenOnPurpose)
    app._exception = None


def log_of(folder: Path) -> str:
    return next((folder / "state").rglob("app.log")).read_text()


async def test_a_plan_that_cannot_be_drawn_leaves_form_and_saving(
    app: ToeroomApp, own_places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = PlanPane.render_line

    def render_line(self: PlanPane, y: int) -> Strip:
        return whole(self, y) if y < 3 else breaks()  # type: ignore[return-value]

    monkeypatch.setattr(PlanPane, "render_line", render_line)
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        await new_case(pilot)
        assert "This part cannot be shown (BrokenOnPurpose)." in words(app, "#plan")
        assert any("The rest goes on." in note.message for note in app._notifications)
        await find(pilot, "open wound")
        await pilot.press("y")
        await settled(pilot)
        assert "STOP left foot is not fitted today" in words(app, "#verdict")
        await pilot.press("ctrl+s", "enter")
        await pilot.pause()
        assert read_case("t-1.yaml", app.book.vocabulary).findings == {("open_wound", "left"): "yes"}
        # Mended, it is drawn again.
        monkeypatch.setattr(PlanPane, "render_line", whole)
        await pilot.press("n", "y")
        await settled(pilot)
        assert "Wound to the foot service" in words(app, "#plan")
        was_told(app)
    assert log_of(own_places).count("Traceback") < 4
    assert "BrokenOnPurpose" in log_of(own_places)


async def test_a_key_that_fails_fails_alone(app: ToeroomApp, monkeypatch: pytest.MonkeyPatch) -> None:
    async with app.run_test(size=(120, 36), notifications=True) as pilot:
        desk = await new_case(pilot)
        with monkeypatch.context() as broken:
            broken.setattr(Form, "show_case", breaks)
            await pilot.press("y", "y")
            assert "Something went wrong (BrokenOnPurpose)" in words(app)
        await pilot.press("n")
        assert desk.open.case.findings == {("diabetes", "person"): "no"}
        was_told(app)


@pytest.mark.parametrize(
    ("key", "pane", "place"), [("h", PagePane, HandbookScreen), ("a", TalkPane, AskScreen)]
)
async def test_a_place_with_a_broken_pane_can_be_left_and_the_case_is_as_it_was(
    app: ToeroomApp, monkeypatch: pytest.MonkeyPatch, key: str, pane: type, place: type
) -> None:
    monkeypatch.setattr(pane, "make_blocks", breaks)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        desk = await new_case(pilot)
        await pilot.press("y", key)
        await until(pilot, lambda: isinstance(app.screen, place))
        await until(pilot, lambda: "BrokenOnPurpose" in words(app))
        await pilot.press("f6")
        assert app.screen is desk
        await pilot.press("n")
        assert desk_of(pilot).open.case.findings == {("diabetes", "person"): "no"}
        was_told(app)


async def test_a_screen_that_cannot_be_made_is_left_by_esc(
    app: ToeroomApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(HelpScreen, "compose", breaks)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await pilot.press("f1", "escape")
        assert isinstance(app.screen, CasesScreen)
        await new_case(pilot)
        assert "No stop so far" in seen(app)
        was_told(app)


async def test_a_fault_in_the_app_itself_and_in_a_part_of_textual_is_no_end(
    app: ToeroomApp, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await pilot.pause()
        with monkeypatch.context() as broken:
            broken.setattr(ToeroomApp, "action_look", breaks)
            await pilot.press("f9")
        with monkeypatch.context() as broken:
            broken.setattr(Static, "render", breaks)
            await pilot.press("down", "down")
            await pilot.pause()
        await new_case(pilot)
        assert "No stop so far" in seen(app)
        was_told(app)


def test_what_keeps_it_from_starting_is_said_in_a_line(
    own_places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(CasesScreen, "__init__", breaks)
    whole = ToeroomApp.run
    monkeypatch.setattr(ToeroomApp, "run", lambda self: whole(self, headless=True))
    with pytest.raises(BadInput, match=r"the app could not start \(BrokenOnPurpose\)"):
        start_app(None)
    assert "BrokenOnPurpose" in log_of(own_places)
