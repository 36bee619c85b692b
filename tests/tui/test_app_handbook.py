"""Looking a situation up: shelves, search as one types, links, and the way back."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from conftest import Driven, open_demo, seen, type_text, until, words
from textual.widgets import Input, OptionList

from toeroom.book import Book, open_book
from tui.app import ToeroomApp
from tui.screens.cases import CasesScreen
from tui.screens.desk import DeskScreen
from tui.screens.handbook import HandbookScreen
from tui.screens.pages import PagesScreen
from tui.screens.why import WhyScreen
from tui.widgets.page_pane import PagePane


async def open_handbook(pilot: Driven) -> HandbookScreen:
    await pilot.press("f2")
    await until(pilot, lambda: isinstance(pilot.app.screen, HandbookScreen) and pilot.app.screen.visit)
    screen = pilot.app.screen
    assert isinstance(screen, HandbookScreen)
    return screen


def title_of(screen: HandbookScreen) -> str:
    assert screen.visit is not None
    return screen.pages[screen.visit.page].title


async def search(pilot: Driven, screen: HandbookScreen, text: str, page: str) -> None:
    await pilot.press("slash")
    await type_text(pilot, text)
    await until(pilot, lambda: screen.hits and screen.hits[0].page == page)
    await until(pilot, lambda: screen.visit and screen.visit.page == page)


async def test_a_newer_fitter_looks_a_blister_up_follows_a_link_and_comes_back(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.press("h")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and app.screen.visit)
        screen = app.screen
        assert isinstance(screen, HandbookScreen)
        shelves = [option for option in screen.query_one(OptionList).options if option.disabled]
        assert str(shelves[0].prompt).endswith("safety")
        listed = {option.id for option in screen.query_one(OptionList).options if option.id}
        assert listed == set(app.library.handbook.pages)

        await search(pilot, screen, "blister on the heel", "blister")
        hit = screen.hits[0]
        shown = words(app, "#page-list")
        assert hit.title in shown
        assert hit.heading in shown
        assert hit.passage.text[:30] in shown
        await pilot.press("enter")
        pane = screen.query_one(PagePane)
        assert app.focused is pane
        assert hit.heading in words(app, "#page")

        await pilot.press("home")
        first = pane.chosen
        for _ in range(40):
            if pane.chosen != first:
                break
            await pilot.press("down")
        assert pane.chosen != first
        target = pane.chosen.partition(":page:")[2]
        row = pane.scroll_offset.y
        await pilot.press("enter")
        await pilot.pause()
        assert screen.visit is not None
        assert screen.visit.page == target != "blister"
        assert screen.pages[target].title in words(app, "#page")
        await pilot.press("b")
        await pilot.pause()
        assert screen.visit.page == "blister"
        assert pane.scroll_offset.y == row
        await pilot.press("alt+right")
        await pilot.pause()
        assert screen.visit.page == target
        await pilot.press("c")
        assert app.clipboard.startswith(screen.pages[target].title)

        await pilot.press("escape")
        assert screen.query_one(Input).value == ""
        assert len(screen.query_one(OptionList).options) > len(listed)
        await pilot.press("escape")
        assert isinstance(app.screen, CasesScreen)
        await pilot.press("h")
        assert app.screen is screen
        assert screen.visit.page == target


async def test_a_link_is_followed_by_mouse_and_a_case_opens_from_its_page(app: ToeroomApp) -> None:
    async with app.run_test(size=(120, 36)) as pilot:
        screen = await open_handbook(pilot)
        screen.open_page("open-wound")
        await pilot.pause()
        pane = screen.query_one(PagePane)
        key, rows = next(iter(pane.rows.items()))
        pane.scroll_to(y=max(0, rows[0] - 3), animate=False)
        await pilot.pause()
        _, indent, line, _ = pane.wrapped[rows[0]]
        span = next(span for span in line.spans if key in str(span.style))
        at = (indent + span.start + 1 + 1, rows[0] - pane.scroll_offset.y)
        await pilot.click(pane, offset=at)
        await pilot.pause()
        assert screen.visit is not None
        assert screen.visit.page == key.partition(":page:")[2]

        screen.open_page("open-wound")
        await pilot.pause()
        text = " ".join(line.plain for _, _, line, _ in pane.wrapped)
        assert "Cases and rules that point here" in text
        assert "(open-wound-on-the-sole)" in text
        pane.choose(next(key for key in pane.keys if key.endswith(":case:open-wound-on-the-sole.yaml")))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(app.screen, DeskScreen))
        assert app.desks[0].open.case.id == "open-wound-on-the-sole"


async def test_the_last_of_many_searches_wins_and_nothing_is_said_plainly(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await open_handbook(pilot)
        await pilot.press("slash")
        line = screen.query_one(Input)
        for text in ("hot swollen foot", "bunion", "socks", "numb feet"):
            line.value = text
        await until(pilot, lambda: screen.hits)
        await pilot.pause(0.1)
        assert [h.page for h in screen.hits] == [
            h.page for h in app.library.handbook.search("numb feet", limit=len(screen.hits)).hits
        ]
        line.value = "xqzv[/]"
        await until(pilot, lambda: "nothing on this" in words(app, "#searched"))
        line.value = "hammertoo"
        await until(pilot, lambda: "searched for:" in words(app, "#searched"))


async def test_pages_of_the_plan_open_from_the_desk_and_lead_back_to_it(app: ToeroomApp) -> None:
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        desk = await open_demo(pilot, "open-wound-on-the-sole")
        await pilot.press("slash", *"blister", "enter", "u", "p")
        await until(pilot, lambda: isinstance(app.screen, HandbookScreen) and app.screen.visit)
        screen = app.screen
        assert isinstance(screen, HandbookScreen)
        assert screen.visit is not None
        assert screen.visit.page == desk.book.vocabulary.findings["blister"].page
        assert title_of(screen)[:20] in words(app, "#page")
        await pilot.press("escape")
        assert app.screen is desk
        assert desk.open.unsaved
        await pilot.press("escape", "tab", "enter")
        why = app.screen
        assert isinstance(why, WhyScreen)
        await pilot.press("p", "enter")
        await until(pilot, lambda: app.screen is screen)
        assert screen.visit.page == why.entry.pages[0]
        await pilot.press("escape")
        assert app.screen is why
        await pilot.press("escape", "ctrl+p")
        if isinstance(app.screen, PagesScreen):
            await pilot.press("enter")
        await until(pilot, lambda: app.screen is screen)
        await pilot.press("f6")
        assert app.screen is desk
        assert "STOP" in seen(app)


@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
async def test_every_page_is_shown_whole_at(app: ToeroomApp, size: tuple[int, int]) -> None:
    async with app.run_test(size=size) as pilot:
        screen = await open_handbook(pilot)
        pane = screen.query_one(PagePane)
        await pilot.press("tab")
        from toeroom.handbook.sections import sections_of

        for page in app.library.handbook.pages.values():
            screen.open_page(page.id)
            text = "".join("".join(line.plain.split()) for _, _, line, _ in pane.wrapped)
            for section in sections_of(page):
                assert "".join(section.heading.split()) in text or section.heading == "In short"
                for caution in section.cautions:
                    assert "".join(caution.split())[:20] in text
            assert all(line.cell_len + indent < pane.size.width for _, indent, line, _ in pane.wrapped)
        shown = seen(app)
        assert "F1 help" in shown


async def test_text_of_a_page_is_never_markup_and_a_broken_page_is_said(own_places: Path, book: Book) -> None:
    folder = own_places / "book"
    for part in ("kb", "rules", "cases_demo"):
        shutil.copytree(book.folder / part, folder / part)
    path = folder / "kb" / "feet" / "bunion.md"
    text = path.read_text()
    title = next(line for line in text.split("\n") if line.startswith("title:"))
    text = text.replace(title, 'title: "Bunion [/b] [bold red]x\\e[31m"')
    path.write_text(text + "\n\nSee [@click=app.bell]ring[/] and [[left]].\n")
    app = ToeroomApp(open_book(folder))
    async with app.run_test(size=(120, 36)) as pilot:
        screen = await open_handbook(pilot)
        screen.open_page("bunion")
        await pilot.press("end")
        pane = screen.query_one(PagePane)
        shown = " ".join(" ".join(line.plain for _, _, line, _ in pane.wrapped).split())
        assert "[/b] [bold red]x" in shown
        assert "[@click=app.bell]ring[/] and [[left]]." in shown
        assert "\x1b" not in app.export_screenshot()
        await search(pilot, screen, "bunion", "bunion")
        assert "Bunion [/b] [bold red]x" in words(app, "#page-list")
        path.write_text("nothing\n")
        await pilot.pause(0.3)
        screen.open_page("bunion")
        await pilot.pause()
        assert "has no front matter" in words(app, "#page")
        screen.open_page("blister")
        await pilot.pause()
        assert title_of(screen)[:20] in words(app, "#page")
