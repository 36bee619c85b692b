"""What if a finding were otherwise: what would change in the plan. The case stays as it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from toeroom.case import Case, Place
from toeroom.plan import Plan
from toeroom.rules.planning import Planner
from toeroom.rules.turning import Turn, turns
from toeroom.rules.whatif import Change, changes, stop_in_words
from toeroom.sheet import Entry
from toeroom.vocabulary import SIDES, Finding
from toeroom.wording import printable
from tui.log import write_down
from tui.widgets.form_rows import TermLine, best_match, form_lines, matching
from tui.widgets.lines_pane import LinesPane

NOW = {"": "nothing stated", "yes": "yes", "no": "no", "unknown": "unknown"}
BECOMES = {"advised": "advised", "held_back": "held back", "absent": "not in the plan"}
ORDER = ("comes in", "is free again", "is held back", "goes out", "other figures")


class WhatIfScreen(ModalScreen[None]):
    """Supposes one finding at a time until Esc.

    `entry`: an item to be turned; the list then begins with the findings that would turn it.
    """

    CSS_PATH = "what_if.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,ctrl+y", "suppose('yes')", "yes"),
        Binding("n,ctrl+n", "suppose('no')", "no"),
        Binding("u,ctrl+u", "suppose('unknown')", "unknown"),
        Binding("slash,ctrl+f", "find", "find"),
        Binding("tab", "app.focus_next", show=False),
        Binding("escape", "dismiss", "back", priority=True),
    ]
    HELP = """What if

Choose a finding, then a value: what the plan would be with it. Your
case stays as it is.
  /  or ctrl+f   find a finding by part of its name, as in the form
  arrows         choose; Tab to what would change, to scroll it
  y  n  u        if it were yes, no, unknown
  Enter          as the line says; else yes
From an item of the plan the list first has each single finding that
would bring it in, take it out or hold it back.
  Esc            back"""

    class Supposed(Message):
        """The plan as it would be."""

        def __init__(self, wish: tuple[Place, str], plan: Plan) -> None:
            super().__init__()
            self.wish, self.plan = wish, plan

    class Turned(Message):
        """The single findings that would turn the item."""

        def __init__(self, found: tuple[Turn, ...]) -> None:
            super().__init__()
            self.found = found

    class Failed(Message):
        """It could not be worked out."""

        def __init__(self, said: str) -> None:
            super().__init__()
            self.said = said

    def __init__(
        self, planner: Planner, case: Case, plan: Plan, here: Place | None, entry: Entry | None
    ) -> None:
        super().__init__()
        self.planner, self.vocabulary = planner, planner.vocabulary
        self.case, self.plan, self.here, self.entry = case, plan, here, entry
        lines = form_lines(self.vocabulary)
        self.lines = tuple(li for li in lines if isinstance(li, TermLine) and isinstance(li.term, Finding))
        # The side is named behind the longest label, too.
        self.name_room = max((len(line.term.label) for line in self.lines), default=0) + len(", right")
        self.turned: tuple[Turn, ...] = ()
        self.wish: tuple[Place, str] | None = None

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="what-if"):
            about = f"What would turn: {self.entry.label}" if self.entry else "What if"
            yield Static(printable(about), classes="sheet-title", markup=False)
            yield Input(placeholder="/ type part of a finding", compact=True, id="what-if-find")
            yield OptionList(id="what-if-list", markup=False)
            yield LinesPane(look_id="what-if-told")
            foot = "y n u: if it were yes, no, unknown. The case stays as it is. Esc goes back."
            yield Static(foot, classes="sheet-foot", markup=False)

    def on_mount(self) -> None:
        self._list_findings("")
        self.query_one(OptionList).focus()
        if self.entry is not None:
            self._tell([Text("looking for what would turn it", "quiet")])
            self._turn(self.entry)
        else:
            self._tell([Text("Choose a finding, then y, n or u.", "quiet")])

    # --- what can be supposed --------------------------------------------------------------------
    def _list_findings(self, text: str) -> None:
        """All findings, or those that hold the words of `text`; what would turn the item comes first."""
        listed = self.query_one(OptionList)
        listed.clear_options()
        if not text.strip():
            listed.add_options(self._turn_option(turn) for turn in self.turned)
        found = [li for li in matching(self.lines, text) if isinstance(li, TermLine)]
        places = [(line.term.id, side) for line in found for side in line.sides]
        listed.add_options(
            Option(self._named(place, NOW[self.case.findings.get(place, "")]), id=f"{'@'.join(place)}")
            for place in places
        )
        if not listed.option_count:
            self._tell([Text("No finding of that name.", "quiet")])
            return
        best = found[best_match(found, text)].term.id if text.strip() else ""
        start = next((i for i, place in enumerate(places) if place[0] == best or place == self.here), 0)
        listed.highlighted = start if text.strip() or not self.turned else 0

    def _named(self, place: Place, more: str) -> str:
        side = f", {place[1]}" if place[1] in SIDES else ""
        name = f"{printable(self.vocabulary.findings[place[0]].label)}{side}"
        return f"{name:<{self.name_room}}  now: {more}"

    def _turn_option(self, turn: Turn) -> Option:
        now = NOW[self.case.findings.get((turn.id, turn.side), "")]
        where = f" on the {turn.item_side}" if turn.item_side in SIDES else ""
        name = self._named((turn.id, turn.side), now)
        told = f"{name}; if {turn.value}: {BECOMES[turn.after]}{where}"
        return Option(told, id=f"{turn.id}@{turn.side}={turn.value}/{turn.item}@{turn.item_side}")

    @on(Input.Changed, "#what-if-find")
    def _narrow(self, event: Input.Changed) -> None:
        event.stop()
        self._list_findings(event.value)

    @on(Input.Submitted, "#what-if-find")
    def _found(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one(OptionList).focus()

    def action_find(self) -> None:
        self.query_one(Input).focus()

    # --- supposing -------------------------------------------------------------------------------
    @on(OptionList.OptionSelected)
    def _chosen(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        place, _, rest = (event.option_id or "").partition("=")
        self._suppose(place, rest.partition("/")[0] or "yes")

    def action_suppose(self, value: str) -> None:
        """The finding chosen, were it `value`."""
        listed = self.query_one(OptionList)
        if listed.highlighted is not None:
            option = listed.get_option_at_index(listed.highlighted)
            self._suppose((option.id or "").partition("=")[0], value)

    def _suppose(self, place: str, value: str) -> None:
        term_id, _, side = place.partition("@")
        self.wish = ((term_id, side), value)
        self._tell([Text("working it out", "quiet")])
        self._work_out(self.wish)

    @work(thread=True, group="what-if", exit_on_error=False)
    def _work_out(self, wish: tuple[Place, str]) -> None:
        try:
            (term_id, side), value = wish
            plan = self.planner.plan(self.case.with_finding(term_id, side, value))
            self.post_message(self.Supposed(wish, plan))
        except Exception as error:
            self.post_message(self.Failed(write_down("no what-if", error)))

    @work(thread=True, group="turning", exit_on_error=False)
    def _turn(self, entry: Entry) -> None:
        try:
            places = [(line.id, line.side) for line in entry.lines]
            self.post_message(self.Turned(turns(self.planner, self.case, places)))
        except Exception as error:
            self.post_message(self.Failed(write_down("no turning", error)))

    @on(Supposed)
    def _supposed(self, event: Supposed) -> None:
        if event.wish == self.wish:
            place, value = event.wish
            term = self.vocabulary.findings[place[0]]
            side = f", {place[1]}" if place[1] in SIDES else ""
            head = f"If “{printable(term.label)}{side}” were {value}"
            self._tell(told(head, self.plan, event.plan))

    @on(Turned)
    def _turns_found(self, event: Turned) -> None:
        self.turned = event.found
        if not self.query_one(Input).value:
            self._list_findings("")
        said = "Each line above would turn it by itself. Enter tells all it would change."
        none = "No single finding would turn it. y, n and u suppose any other."
        if self.wish is None:
            self._tell([Text(said if event.found else none, "quiet")])

    @on(Failed)
    def _failed(self, event: Failed) -> None:
        self._tell([Text(f"It could not be worked out. {event.said}", "fault")])

    def _tell(self, lines: Iterable[Text]) -> None:
        self.query_one(LinesPane).show(lines)


def told(head: str, before: Plan, after: Plan) -> Iterator[Text]:
    """What differs, by what becomes of it; whether the fitting stops comes first."""
    yield Text(head, "head")
    if turned := stop_in_words(before, after):
        yield Text(turned.upper() if after.stop else turned, "fault" if after.stop else "head")
    elif after.stop:
        yield Text("the fitting stays stopped", "quiet")
    found = changes(before, after)
    by_kind: dict[str, list[Change]] = {kind: [] for kind in ORDER}
    for change in found:
        by_kind[change.kind].append(change)
    for kind, same in by_kind.items():
        if same:
            yield Text(kind, "title")
        for change in same:
            yield Text(f"  {change.words if kind == ORDER[-1] else change.named}")
    if not found:
        yield Text("nothing in the plan would change")
