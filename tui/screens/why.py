"""Why an item stands in the plan: the rules that spoke, and what they found, down to what was stated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static

from toeroom.book import Book
from toeroom.plan import Match, Reason
from toeroom.rules.whys import Why
from toeroom.sheet import Entry
from toeroom.wording import match_in_words, printable, sides_in_words
from tui.citations import Citations
from tui.library import Library
from tui.widgets.lines_pane import LinesPane
from tui.widgets.page_choice import PageChoice

if TYPE_CHECKING:
    from tui.app import ToeroomApp


class ReasonsPane(LinesPane):
    """The reasons; copied whole, under what they are asked of."""

    def __init__(self, asks: str, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.asks = asks

    def copied(self) -> tuple[str, str]:
        """The reasons, with their sources."""
        return f"{self.asks}\n\n{self.text}\n", "the reasons and their sources"


class WhyScreen(ModalScreen[None]):
    """Shows the reasons of an entry until Esc."""

    CSS_PATH = "why.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,w,ctrl+w,enter", "dismiss", "back"),
        Binding("p,ctrl+p", "pages", "pages"),
        Binding("c,f7", "copy", "copy"),
    ]
    HELP = """Why

Each rule that spoke, what it found true, and its source; then what
that rests on, down to what was stated. Held back: which rule holds
it back.
  arrows, PgUp, PgDn   scroll
  p, Tab               to the pages of the handbook; Enter opens one,
                       Esc there comes back here
  c or F7              copy the reasons with their sources
  Esc                  back to the plan"""

    def __init__(self, library: Library, entry: Entry, whys: Sequence[Why]) -> None:
        super().__init__()
        self.library, self.book, self.citations = library, library.book, library.citations
        self.entry = entry
        self.asks = f"Why: {entry.label}{f' · {entry.sides}' if entry.sides else ''}"
        self.reasons = list(why_lines(self.book, self.citations, entry, whys))

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="why"):
            yield Static(self.asks, classes="sheet-title", markup=False)
            yield ReasonsPane(self.asks, look_id="why-reasons")
            yield PageChoice(self.library, self.entry.pages, look_id="why-pages")
            yield Static(
                "p: the pages of the handbook. c: copy. Esc goes back.", classes="sheet-foot", markup=False
            )

    def on_mount(self) -> None:
        pane = self.query_one(ReasonsPane)
        pane.show(self.reasons)
        pane.focus()
        self.query_one("#why-pages").display = bool(self.entry.pages)

    def action_copy(self) -> None:
        self.query_one(ReasonsPane).action_copy()

    def action_pages(self) -> None:
        self.query_one("#why-pages").focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        cast("ToeroomApp", self.app).open_page(event.option_id or "")


def why_lines(book: Book, citations: Citations, entry: Entry, whys: Sequence[Why]) -> Iterator[Text]:
    """The reasons in lines."""
    yield Text(entry.act)
    yield Text(f"Who: {entry.by}", "quiet")
    groups: dict[tuple[tuple[str, ...], tuple[str, ...]], list[Why]] = {}
    for why in whys:
        assert why.line is not None
        rules = tuple(r.rule for r in why.line.reasons), tuple(r.rule for r in why.line.held_back_by)
        groups.setdefault(rules, []).append(why)
    told: set[str] = set()
    for same in groups.values():
        yield from _group(book, citations, same, told)
    cautions = dict.fromkeys(c for why in whys if why.line for c in why.line.cautions)
    if cautions:
        yield Text("")
        yield Text("Take care", "title")
        for caution in cautions:
            yield Text.assemble(("! ", "caution"), caution)


def _group(book: Book, citations: Citations, same: Sequence[Why], told: set[str]) -> Iterator[Text]:
    """Items that the same rules gave are told together."""
    item = book.vocabulary.plan_items[same[0].item]
    sides = sides_in_words(why.side for why in same)
    lines = [why.line for why in same if why.line is not None]
    yield Text("")
    standing = lines[0].standing.replace("_", " ")
    yield Text(f"{item.label}{f', {sides}' if sides else ''}: {standing}", "title")
    yield from _reasons(book, citations, [r for line in lines for r in line.reasons], told)
    held = [r for line in lines for r in line.held_back_by]
    if held:
        yield Text("held back by", "head")
        yield from _reasons(book, citations, held, told)
    chain = {(i, value): list[Reason]() for why in same for i, _, value, _ in why.chain}
    places = {key: list[str]() for key in chain}
    for why in same:
        for term_id, side, value, reasons in why.chain:
            chain[term_id, value] += reasons
            places[term_id, value].append(side)
    for (term_id, value), rests_on in chain.items():
        words = match_in_words(Match("derived", term_id, "person", value), book.vocabulary)
        where = sides_in_words(places[term_id, value])
        yield Text(f"that {words}{f', {where}' if where else ''}, because", "head")
        yield from _reasons(book, citations, rests_on, told)


def _reasons(book: Book, citations: Citations, reasons: Sequence[Reason], told: set[str]) -> Iterator[Text]:
    """Each rule once, with what it found on either side; its source the first time."""
    by_rule: dict[str, list[Reason]] = {}
    for reason in reasons:
        by_rule.setdefault(reason.rule, []).append(reason)
    for rule_id, same in by_rule.items():
        yield Text.assemble("  ", printable(same[0].title), (f"  ({rule_id})", "quiet"))
        for match in dict.fromkeys(m for reason in same for m in reason.matched):
            yield Text(f"    - {_match(book, match)}")
        if rule_id not in told:
            told.add(rule_id)
            for source in citations.of_rule(rule_id):
                yield Text(f"    source: {printable(source)}", "quiet")


def _match(book: Book, match: Match) -> str:
    words = match_in_words(match, book.vocabulary)
    if match.from_:
        by = f" read by {match.rule} from " if match.rule else " from "
        words += by + "; ".join(match_in_words(m, book.vocabulary) for m in match.from_)
    return printable(words)
