"""The debrief of a walk: to be read, its pages to be opened, and to be kept as a file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.training.debrief import SIGNS, debrief
from toeroom.training.debrief import Block as Told
from toeroom.training.debrief_pages import as_html, as_markdown, as_text
from toeroom.training.session import Session
from tui.library import Library
from tui.naming import ask_place
from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import LINK, Block, space, title
from tui.widgets.keys_line import KeysLine
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp

WRITERS = {".md": as_markdown, ".html": as_html, ".txt": as_text}
LOOKS = {"harmful": "fault", "missed": "caution", "right": "head", "needless": "head", "end": "say"}


class DebriefPane(BlockPane):
    """Shows a debrief; the pages in it are links."""

    READING = True
    WIDEST = 100
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "follow", "open page")]

    def __init__(self, told: tuple[Told, ...], *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.told = told

    def on_mount(self) -> None:
        self.lay_out()

    def make_blocks(self, width: int) -> list[Block]:
        """The debrief in blocks."""
        return [block for told in self.told for block in _blocks(told)]

    def act(self) -> None:
        """A click on a page is as the key."""
        self.action_follow()

    def action_follow(self) -> None:
        if self.chosen:
            cast("ToeroomApp", self.app).open_page(self.chosen)


def _blocks(told: Told) -> Iterator[Block]:
    if told.kind in ("title", "heading"):
        yield title(told.text)
        return
    if told.kind == "pages":
        line = Text()
        for number, page in enumerate(told.text.split(", ")):
            line.append("  " if number else "")
            line.append(page, f"{LINK}{page}")
        yield Block(((1, line),))
        return
    sign = SIGNS.get(told.kind, "")
    band = "careful" if told.kind == "caution" else ""
    lines = [(3, Text(told.text, LOOKS.get(told.kind, "")))]
    if told.more:
        lines.append((3, Text(told.more, "quiet")))
    if told.kind == "end":
        yield space()
    yield Block(tuple(lines), marker=f"{sign} " if sign and not band else "", band=band)


class DebriefScreen(Screen[None]):
    """What a walk came to."""

    CSS_PATH = "debriefing.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "keep", "keep as a file"),
        Binding("escape", "leave", "leave"),
    ]
    HELP = """The debrief

What could have hurt stands first, then stage by stage what you
decided and what the plan was then.
  + right   - missed   ~ needless   ! harmful
  arrows, PgUp, PgDn  read on
  Enter               open the page marked; Esc there comes back
  ctrl+s              keep it as .md, .html or .txt"""

    def __init__(self, library: Library, session: Session) -> None:
        super().__init__()
        self.library, self.session = library, session
        self.told = debrief(session.walk, trainee=session.trainee, seconds=session.seconds)

    def compose(self) -> ComposeResult:
        yield TitleBar()
        yield DebriefPane(self.told, look_id="debrief")
        yield KeysLine()

    def on_mount(self) -> None:
        case = self.session.walk.case
        self.query_one(TitleBar).show("Debrief", case.title or case.id, f"score {self.session.walk.score}")
        self.query_one(DebriefPane).focus()

    def action_keep(self) -> None:
        def write(path: Path) -> str:
            writer = WRITERS.get(path.suffix)
            if writer is None:
                return "end the name in .md, .html or .txt"
            try:
                write_whole(path, writer(self.told))
            except BadInput as fault:
                return f"{fault.what}; {fault.mend}"
            return ""

        start = f"debrief-{self.session.walk.case.id}.html"
        ask_place(self.app, "Keep the debrief", start, write, self._kept)

    def _kept(self, path: Path) -> None:
        self.notify(f"kept in {path}", markup=False)

    def action_leave(self) -> None:
        self.dismiss(None)
