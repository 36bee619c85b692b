"""Upkeep in the app: a senior fitter reads, edits, tries, saves; a book that fails is never used."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from conftest import Driven, desk_of, open_demo, seen, settled, type_text, until, words
from textual.widgets import Input, OptionList, TextArea

import tui.screens.upkeep
from toeroom.book import Book
from toeroom.upkeep.in_use import InUse, in_use
from toeroom.upkeep.merging import files_of
from toeroom.upkeep.own_book import new_book
from tui.app import ToeroomApp
from tui.long_work import LongWork
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.leaving import LeavingScreen
from tui.screens.prompt import PromptScreen
from tui.screens.upkeep import UpkeepScreen
from tui.widgets.lines_pane import LinesPane

SIZE = (120, 36)
WHEN = "    when: [bunion]\n    then: {advise: [extra_width"


@pytest.fixture
def own(own_places: Path, book: Book) -> Path:
    new_book(own_places / "own", book.folder)
    return own_places / "own"


@pytest.fixture
def own_app(own: Path) -> ToeroomApp:
    now = in_use(own)
    return ToeroomApp(now.book, working=now.working, banner=now.banner)


async def open_upkeep(pilot: Driven) -> UpkeepScreen:
    await pilot.press("f10")
    await until(pilot, lambda: isinstance(pilot.app.screen, UpkeepScreen) and pilot.app.screen.chosen)
    screen = pilot.app.screen
    assert isinstance(screen, UpkeepScreen)
    await pilot.pause()
    return screen


async def go_to(pilot: Driven, screen: UpkeepScreen, name: str) -> None:
    await pilot.press("slash")
    screen.query_one("#filter", Input).value = ""
    await type_text(pilot, name.partition(":")[2])
    await pilot.press("enter")
    listed = screen.query_one("#entry-list", OptionList)
    listed.highlighted = listed.get_option_index(name)
    await until(pilot, lambda: screen.chosen is not None and screen.chosen.name == name)


async def edit(pilot: Driven, screen: UpkeepScreen, name: str, old: str, new: str) -> TextArea:
    await go_to(pilot, screen, name)
    await pilot.press("e")
    area = screen.query_one("#write", TextArea)
    assert screen.focused is area
    assert old in area.text
    area.text = area.text.replace(old, new, 1)
    return area


def told(screen: UpkeepScreen) -> str:
    return words(screen.app, "#told") if screen.query_one("#told").display else ""  # type: ignore[arg-type]


def shown(screen: UpkeepScreen) -> str:
    return screen.query_one("#read", LinesPane).text


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_rules_and_pages_are_browsed_and_read(own_app: ToeroomApp, size: tuple[int, int]) -> None:
    async with own_app.run_test(size=size) as pilot:
        await pilot.press("k")
        screen = await open_upkeep(pilot)
        kinds = [entry.partition(":")[0] for entry in screen.entries]
        assert kinds.count("rule") == len(own_app.book.rules)
        assert set(kinds) == {"rule", "guarantee", "page"}
        await go_to(pilot, screen, "rule:spot-stretch-for-the-bump")
        await pilot.press("tab")
        await pilot.pause()
        text = words(own_app, "#read")
        assert "(Bunion or Little-toe bunion) and (Seam on a bony spot or Too narrow at the ball)" in text
        assert "advise: Spot stretch" in text
        assert "- any of: [bunion, tailors_bunion]" in shown(screen)
        await pilot.press("escape")
        await go_to(pilot, screen, "page:bunion")
        assert "Give the joint room" in shown(screen)
        await pilot.press("escape", "escape")
        assert isinstance(own_app.screen, CasesScreen)


async def test_what_is_wrong_is_said_as_one_types(own_app: ToeroomApp) -> None:
    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        area = await edit(pilot, screen, "rule:bunion-build", "[bunion]", "[bunyon]")
        await until(
            pilot, lambda: "'bunyon' cannot stand in a condition; did you mean 'bunion'?" in told(screen)
        )
        area.text = area.text.replace("[bunyon]", "[bunyon")
        await until(pilot, lambda: "is not valid YAML" in told(screen))
        area.text = area.text.replace("when: [bunyon", "when: [callus]")
        await until(pilot, lambda: "stays silent in its example 'fires'" in told(screen))
        area.text = area.text.replace("[callus]", "[bunion]")
        await until(pilot, lambda: "nothing is wrong with it by itself" in told(screen))
        await pilot.press("escape")
        assert not screen.draft.unsaved


async def test_an_edit_is_tried_saved_and_used_everywhere(own_app: ToeroomApp, own: Path) -> None:
    async with own_app.run_test(size=SIZE) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        assert "spacer" not in str([line.id for line in desk.planned.plan.lines])  # type: ignore[union-attr]
        screen = await open_upkeep(pilot)
        await edit(pilot, screen, "rule:bunion-build", "seamless_lining]", "seamless_lining, toe_spacer]")
        await pilot.press("escape")
        assert "●" in seen(own_app, "#entry-list")
        assert "not saved" in seen(own_app)
        await pilot.press("t")
        await until(pilot, lambda: "fires: it speaks on the left foot" in shown(screen))
        assert "silent: it stays silent on the left foot" in shown(screen)
        assert "Bunion: wanted yes" in shown(screen)
        await pilot.press("v")
        await until(pilot, lambda: "The book passes its checks" in shown(screen))
        assert files_of(own) == files_of(own / ".toeroom-base/copy")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: own_app.book.planner.by_id["bunion-build"].then.advise[-1] == "toe_spacer")
        assert "toe_spacer" in (own / "rules/fit.yaml").read_text()
        await pilot.pause()
        assert "not saved" not in seen(own_app)
        await pilot.press("f6")
        await until(pilot, lambda: isinstance(own_app.screen, DeskScreen))
        assert await settled(pilot) is desk
        assert ("toe_spacer", "left") in {(line.id, line.side) for line in desk.planned.plan.lines}  # type: ignore[union-attr]
        assert desk.planned.plan.book_version == own_app.book.version  # type: ignore[union-attr]
        for key in ("f2", "f3"):
            await pilot.press(key)
            await pilot.pause()
        assert own_app.library.handbook.folder == own_app.book.folder


async def test_a_book_that_fails_is_neither_saved_nor_used(own_app: ToeroomApp, own: Path) -> None:
    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        before, version = files_of(own), own_app.book.version
        await edit(pilot, screen, "rule:bunion-build", "[bunion]", "[callus]")
        await pilot.press("escape", "ctrl+s")
        await until(pilot, lambda: "Not saved, and not used" in shown(screen))
        assert "rule 'bunion-build' stays silent in its example 'fires'" in shown(screen)
        assert files_of(own) == before
        assert own_app.book.version == version
        await go_to(pilot, screen, "rule:bunion-build")
        await pilot.press("x")
        assert not screen.draft.unsaved


async def test_a_text_that_cannot_be_read_is_kept_until_it_is_mended(own_app: ToeroomApp, own: Path) -> None:
    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        await edit(pilot, screen, "rule:bunion-build", "[bunion]", "[bunion")
        await pilot.press("escape", "ctrl+s")
        await until(pilot, lambda: "Not saved" in shown(screen))
        assert "rule:bunion-build: line 6: is not valid YAML" in shown(screen)
        await pilot.press("p")
        await until(pilot, lambda: "cannot be read yet" in shown(screen))
        await edit(pilot, screen, "rule:bunion-build", "[bunion\n", "[bunion]\n")
        await pilot.press("escape")
        assert not screen.draft.unsaved


async def test_a_book_broken_outside_leaves_the_last_good_one_in_use(own_app: ToeroomApp, own: Path) -> None:
    fit = own / "rules/fit.yaml"
    good = fit.read_text()
    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        version = own_app.book.version
        fit.write_text(good.replace(WHEN, WHEN.replace("bunion", "callus")))
        await pilot.press("f5")
        await until(pilot, lambda: "in use stays that of" in words(own_app))
        assert "rules/fit.yaml, line 50: rule 'bunion-build' stays silent" in words(own_app)
        assert own_app.book.version == version
        assert "when: [callus]" in screen.draft.text("rules/fit.yaml")
        await pilot.press("f6")
        await pilot.pause()
        assert isinstance(own_app.screen, CasesScreen)
        assert "Your book fails its checks" in words(own_app)
        fit.write_text(good)
        await open_upkeep(pilot)
        await until(pilot, lambda: "fails its checks" not in words(own_app))
    fit.write_text("rules: [")
    now = in_use(own)
    app = ToeroomApp(now.book, working=now.working, banner=now.banner)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "in use stays that of" in words(app)
        assert app.book.version == version


async def test_the_guarantees_are_proved_and_plans_compared_before_anything_is_saved(
    own_app: ToeroomApp, own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tui.screens.upkeep, "MADE", 300)
    before = files_of(own)
    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        await edit(
            pilot,
            screen,
            "rule:bunion-build",
            "[extra_width, stretch_upper, seamless_lining]",
            "[extra_width, stretch_upper]",
        )
        await pilot.press("escape", "m")
        await until(pilot, lambda: screen.work_going is not None)
        for _ in range(6):
            if screen.work_going is not None:
                with contextlib.suppress(AssertionError):
                    await until(pilot, lambda: screen.work_going is None)
        assert "rules changed: bunion-build" in shown(screen)
        assert "ITEM LOST: seamless_lining" in shown(screen)
        assert files_of(own) == before


async def test_work_is_left_off_before_its_process_is_there() -> None:
    said: list[str] = []
    work = LongWork(said.append, said.append)
    work.stop()
    assert await work.run(["rules", "prove"]) != 0
    assert work.stopped
    assert said == []


async def test_long_work_is_left_off_by_esc(
    own_app: ToeroomApp, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Proving may be done before Esc is pressed here: this command never is.
    endless = tmp_path / "endless"
    endless.write_text("#!/bin/sh\nexec sleep 600\n")
    endless.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(endless))
    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        await pilot.press("p")
        await until(pilot, lambda: screen.work_going is not None)
        assert "working" in seen(own_app)
        await pilot.press("ctrl+s", "escape")
        await until(pilot, lambda: screen.work_going is None)
        assert isinstance(own_app.screen, UpkeepScreen)
        assert told(screen) == "left off"


async def test_the_editor_of_the_terminal(
    own_app: ToeroomApp, own: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    editor = tmp_path / "editor"
    editor.write_text('#!/bin/sh\nsed -i "s/A bunion gets/Every bunion gets/" "$1"\n')
    editor.chmod(0o755)

    @contextlib.contextmanager
    def suspended() -> Iterator[None]:
        yield

    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        await go_to(pilot, screen, "rule:bunion-build")
        monkeypatch.delenv("VISUAL", raising=False)
        monkeypatch.delenv("EDITOR", raising=False)
        await pilot.press("f4")
        await pilot.pause()
        assert not screen.draft.unsaved
        monkeypatch.setenv("EDITOR", str(editor))
        monkeypatch.setattr(own_app, "suspend", suspended)
        await pilot.press("f4")
        await until(pilot, lambda: screen.draft.unsaved)
        assert "Every bunion gets" in shown(screen)
        monkeypatch.setenv("EDITOR", "false")
        await pilot.press("f4")
        await pilot.pause()
        assert "Every bunion gets" in shown(screen)


async def test_the_shipped_book_is_copied_before_it_is_changed(
    app: ToeroomApp, own_places: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shipped = app.working
    monkeypatch.setattr(tui.screens.upkeep, "is_read_only", lambda folder: folder == shipped)
    async with app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        assert "read-only" in seen(app)
        await pilot.press("e")
        await until(pilot, lambda: isinstance(app.screen, PromptScreen))
        prompt = app.screen.query_one(Input)
        prompt.value = str(own_places / "mine")
        await pilot.press("enter")
        await until(pilot, lambda: app.screen is screen and app.working == own_places / "mine")
        await until(pilot, lambda: "read-only" not in seen(app))
        await edit(pilot, screen, "rule:bunion-build", "A bunion gets", "Every bunion gets")
        await pilot.press("escape", "ctrl+s")
        await until(pilot, lambda: "Every bunion" in (own_places / "mine/rules/fit.yaml").read_text())


async def test_unsaved_edits_are_asked_about_before_leaving(own_app: ToeroomApp, own: Path) -> None:
    async with own_app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        await edit(pilot, screen, "rule:bunion-build", "A bunion gets", "Every bunion gets")
        await pilot.press("ctrl+q")
        await until(pilot, lambda: isinstance(own_app.screen, LeavingScreen))
        await pilot.press("escape")
        await pilot.pause()
        assert own_app.screen is screen
        await pilot.press("escape", "f6", "ctrl+q")
        await until(pilot, lambda: isinstance(own_app.screen, LeavingScreen))


async def test_an_open_case_is_not_taken_its_words_away(own_app: ToeroomApp, own: Path) -> None:
    async with own_app.run_test(size=SIZE) as pilot:
        desk = await open_demo(pilot, "bunion-and-numb-feet")
        vocabulary = own_app.book.vocabulary
        findings = {key: term for key, term in vocabulary.findings.items() if key != "bunion"}
        fewer = Book(own, replace(vocabulary, findings=findings), own_app.book.rules, "other")
        await own_app.use(InUse(fewer, own))
        assert "an open case states what it has no word for" in own_app.banner
        assert desk_of(pilot) is desk
        assert desk.book is own_app.book
        assert own_app.book.version != "other"


async def test_text_of_a_book_is_never_markup(own: Path) -> None:
    fit = own / "rules/fit.yaml"
    fit.write_text(
        fit.read_text()
        .replace("A bunion gets width", '"[red]A[/red] [@click=app.bell]bunion[/] gets width')
        .replace("and no seam over it", 'and no seam over it"', 1)
    )
    now = in_use(own)
    app = ToeroomApp(now.book, working=now.working, banner=now.banner)
    async with app.run_test(size=SIZE) as pilot:
        screen = await open_upkeep(pilot)
        await go_to(pilot, screen, "rule:bunion-build")
        await pilot.pause()
        assert "[red]A[/red] [@click=app.bell]bunion[/] gets width" in words(app, "#read")
