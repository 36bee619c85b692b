"""A walk through a case: one stage at a time, asking, deciding, going on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen

from toeroom.errors import BadInput, EnginesDiffer
from toeroom.training.decisions import Decision
from toeroom.training.journal import read_journal
from toeroom.training.session import Session
from toeroom.training.stages import STAGES, stage_of
from toeroom.training.unfolding import opening
from toeroom.vocabulary import PERSON, SIDES, Term
from toeroom.wording import SECTION_TITLES, printable
from tui.library import Library
from tui.log import write_down
from tui.screens.debriefing import DebriefScreen
from tui.screens.picking import Pick, PickScreen
from tui.screens.prompt import PromptScreen
from tui.widgets.keys_line import KeysLine
from tui.widgets.title_bar import TitleBar
from tui.widgets.walk_pane import WalkPane

SIDE_WORDS = {"left": "left foot", "right": "right foot", "both": "both feet", PERSON: "in general"}
STOPS = {
    "left soon": "Left foot: stop, refer soon",
    "right soon": "Right foot: stop, refer soon",
    "both soon": "Both feet: stop, refer soon",
    "left today": "Left foot: stop, refer today",
    "right today": "Right foot: stop, refer today",
    "both today": "Both feet: stop, refer today",
    "person today": "No foot to fit: refer the person today",
    "go on": "Go on: no foot is stopped",
}


class WalkScreen(Screen[None]):
    """A stage, large and by itself, so that a room can follow."""

    CSS_PATH = "walk.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash,ctrl+f", "ask_about", "ask, look"),
        Binding("d", "choose", "decide on"),
        Binding("s", "stop", "stop"),
        Binding("w", "say", "say"),
        Binding("delete,x", "drop", "take back", show=False),
        Binding("g", "go_on", "go on"),
        Binding("e", "end", "end here"),
        Binding("f4", "whole", show=False),
        Binding("escape", "leave", "leave"),
    ]
    HELP = """A walk through a case

One stage at a time, as a fitting goes. What you do not ask stays
unknown.
  /  or ctrl+f    ask, look or measure: a step each
  d               decide: shoe, insert, socks, referral, advice
  s               stop a foot and refer, soon or today; or go on
  w               what you say to the wearer
  arrows, x       on what you chose: take it back
  F4              what was known before this stage
  g               commit, and on to the next stage
  e               commit, and end here: you are told what it comes to
Every step is kept at once; Esc leaves and nothing is lost."""

    def __init__(self, library: Library, session: Session) -> None:
        super().__init__()
        self.library, self.session, self.walk = library, session, session.walk

    def compose(self) -> ComposeResult:
        yield TitleBar()
        yield WalkPane(self.session, look_id="walk")
        yield KeysLine()

    def on_mount(self) -> None:
        self.pane.focus()
        self._show()

    async def turn_to_book(self) -> None:
        """Takes every step of the walk again by the book there is now; where that cannot be, goes on by the
        one it was begun with.
        """
        path = self.session.path
        if path is None:
            return
        try:
            session = Session.resume(self.library.book.planner, read_journal(path))
        except (BadInput, EnginesDiffer) as fault:
            said = f"The walk goes on by the book it was begun with: {fault}"
            self.notify(said, severity="warning", markup=False, timeout=10)
            return
        self.session, self.walk = session, session.walk
        self.pane.session = session
        self._show()

    @property
    def pane(self) -> WalkPane:
        return self.query_one(WalkPane)

    def _show(self) -> None:
        stage = STAGES[self.walk.stage]
        place = f"{self.walk.stage + 1} of {len(STAGES)}  {stage.title}"
        self.query_one(TitleBar).show(place, opening(self.walk.case)[0], f"{len(self.walk.asked)} asked")
        self.pane.show()

    def _guarded(self, act: Callable[[], None]) -> None:
        """What cannot be done or written is said, and the walk stays as it is."""
        try:
            act()
        except BadInput as fault:
            self.notify(str(fault), severity="error", markup=False)
        except EnginesDiffer as difference:
            self.notify(
                f"No plan: {difference}. {write_down('a walk', difference)}", severity="error", markup=False
            )

    # --- asking ------------------------------------------------------------------------------------
    def action_ask_about(self) -> None:
        picks = [Pick(term.id, term) for term in latest_stage_first(self.walk.may_ask())]

        def picked(key: str | None) -> None:
            if key is not None:
                self._guarded(lambda: self._ask(key))

        self.app.push_screen(PickScreen("Ask, look or measure", picks), picked)

    def _ask(self, term_id: str) -> None:
        answer = self.session.ask(term_id)
        self._show()
        self.pane.show(answer)

    # --- deciding ----------------------------------------------------------------------------------
    def action_choose(self) -> None:
        items = [self.walk.planner.vocabulary.plan_items[item] for item in self.session.offer.sides]
        items.sort(key=lambda item: item.rank)
        picks = [Pick(item.id, item, SECTION_TITLES[item.section].lower()) for item in items]

        def picked(key: str | None) -> None:
            if key is not None:
                self._choose_side(key)

        self.app.push_screen(PickScreen("Choose", picks), picked)

    def _choose_side(self, item: str) -> None:
        sides = self.session.offer.sides[item]
        if len(sides) == 1:
            self._add(item, sides)
            return
        names = [*(side for side in SIDES if side in sides), "both", *(s for s in sides if s == PERSON)]
        label = self.walk.planner.vocabulary.plan_items[item].label
        picks = [Pick(name, Term(name, SIDE_WORDS[name])) for name in names]

        def picked(key: str | None) -> None:
            if key is not None:
                self._add(item, SIDES if key == "both" else (key,))

        self.app.push_screen(PickScreen(f"{label}: for which foot?", picks), picked)

    def _add(self, item: str, sides: tuple[str, ...]) -> None:
        draft = self.session.draft
        self._sketch(replace(draft, items=draft.items | {(item, side) for side in sides}))

    def action_drop(self) -> None:
        item, draft = self.pane.item, self.session.draft
        if item:
            self._sketch(replace(draft, items=frozenset(p for p in draft.items if p[0] != item)))

    def action_stop(self) -> None:
        picks = [Pick(key, Term(key, words)) for key, words in STOPS.items()]

        def picked(key: str | None) -> None:
            if key is not None:
                self._stop(key)

        self.app.push_screen(PickScreen("Stop, and refer", picks), picked)

    def _stop(self, key: str) -> None:
        draft = self.session.draft
        if key == "go on":
            self._sketch(replace(draft, stop=frozenset(), how_fast=""))
            return
        side, _, speed = key.partition(" ")
        sides = SIDES if side == "both" else (side,)
        self._sketch(replace(draft, stop=draft.stop | set(sides), how_fast=speed))

    def action_say(self) -> None:
        def done(text: str | None) -> None:
            if text is not None:
                self._sketch(replace(self.session.draft, say=printable(text)))

        draft = self.session.draft
        self.app.push_screen(
            PromptScreen("To the wearer", "In your own words; not marked.", draft.say, lambda text: ""), done
        )

    def _sketch(self, decision: Decision) -> None:
        self._guarded(lambda: self.session.sketch(decision))
        self.pane.show()

    # --- going on ----------------------------------------------------------------------------------
    def action_go_on(self) -> None:
        self._guarded(lambda: self._decide(end=False))

    def action_end(self) -> None:
        self._guarded(lambda: self._decide(end=True))

    def _decide(self, *, end: bool) -> None:
        self.session.decide(end=end)
        if self.walk.closed:
            self.app.switch_screen(DebriefScreen(self.library, self.session))
        else:
            self._show()

    def action_whole(self) -> None:
        self.pane.whole = not self.pane.whole
        self.pane.lay_out()

    def action_leave(self) -> None:
        self.dismiss(None)


def latest_stage_first(terms: tuple[Term, ...]) -> list[Term]:
    """The terms of the latest stage first, each stage in its own order."""
    return sorted(terms, key=lambda term: -stage_of(term))
