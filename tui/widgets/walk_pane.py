"""A stage of a walk: what lies open, what was answered, what is decided so far. One stage at a time."""

from __future__ import annotations

from collections.abc import Iterator

from rich.text import Text

from toeroom.training.debrief import facts_in_words, places_in_words
from toeroom.training.session import Session
from toeroom.training.stages import STAGES, stage_of
from toeroom.training.unfolding import Fact, opening
from toeroom.wording import in_a_sentence, sides_in_words
from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block, space, title

CHOSEN = "item:"
"""A block of this and an item's id is a thing that was chosen."""


class WalkPane(BlockPane):
    """Shows where a walk stands. `whole` shows what was known before this stage, too."""

    WIDEST = 100

    def __init__(self, session: Session, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.session = session
        self.whole = False
        self.latest: tuple[Fact, ...] = ()

    def show(self, latest: tuple[Fact, ...] = ()) -> None:
        """Shows the walk as it is now; `latest` is what was answered last."""
        self.latest = latest
        self.lay_out()
        self.scroll_home(animate=False)

    @property
    def item(self) -> str:
        """The id of the chosen item under the cursor, or ''."""
        return self.chosen.removeprefix(CHOSEN) if self.chosen.startswith(CHOSEN) else ""

    def make_blocks(self, width: int) -> list[Block]:
        """The stage in blocks."""
        return list(self._blocks())

    def _blocks(self) -> Iterator[Block]:
        walk = self.session.walk
        stage = STAGES[walk.stage]
        lesson = walk.case.lesson
        yield space()
        for line in facts_in_words(self.latest):
            yield Block(((3, Text(line, "you")),), marker="▸ ")
        if self.latest:
            yield space()
        if walk.stage == 0 and opening(walk.case)[1]:
            yield Block(((1, Text(opening(walk.case)[1], "say")),))
        if told := lesson.told.get(stage.id):
            yield Block(((1, Text(told, "say")),))
        facts = list(walk.unfolding.told(walk.stage))
        facts += [f for a in walk.asked if a.stage == walk.stage for f in walk.unfolding.answer(a.term.id)]
        shown = [fact for fact in facts if fact not in self.latest]
        if shown:
            yield title("Here")
            yield from (Block(((1, Text(line)),)) for line in facts_in_words(shown))
        if silent := walk.unfolding.silent(walk.stage):
            words = ", ".join(in_a_sentence(term.label) for term in silent)
            yield Block(((1, Text(f"Nothing on: {words}", "quiet")),))
        here = sum(stage_of(term) == walk.stage for term in walk.may_ask())
        if here:
            yield Block(((1, Text(f"To ask or look at here: {here} (/ lists them)", "quiet")),))
        yield from self._before(facts)
        yield from self._decided()

    def _before(self, here: list[Fact]) -> Iterator[Block]:
        walk = self.session.walk
        facts = [f for n in range(walk.stage) for f in walk.unfolding.told(n)]
        facts += [f for a in walk.asked if a.stage < walk.stage for f in walk.unfolding.answer(a.term.id)]
        if not facts:
            return
        if self.whole:
            yield title("Known before")
            yield from (Block(((1, Text(line)),)) for line in facts_in_words(facts))
        else:
            lines = len(facts_in_words(facts))
            yield Block(((1, Text(f"Known before: {lines} (F4 shows them)", "quiet")),))

    def _decided(self) -> Iterator[Block]:
        draft = self.session.draft
        yield title("Decided so far")
        if draft.stop:
            stop = f"STOP  {sides_in_words(draft.stop) or 'for the person'}; refer {draft.how_fast}"
            yield Block(((1, Text(stop)),), band="stop")
        else:
            yield Block(((1, Text("Go on", "head")),))
        vocabulary = self.session.walk.planner.vocabulary
        ids = sorted({item for item, _ in draft.items}, key=lambda i: vocabulary.plan_items[i].rank)
        for item in ids:
            places = [place for place in draft.items if place[0] == item]
            (line,) = places_in_words(places, vocabulary)
            yield Block(((1, Text(line)),), key=f"{CHOSEN}{item}")
        if draft.say:
            yield Block(((1, Text(f"To the wearer: {draft.say}", "say")),))
