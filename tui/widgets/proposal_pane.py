"""What a text was understood to state, each entry to be confirmed or left out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from toeroom.answers.confirming import Proposal, on_side
from toeroom.case import Case
from toeroom.vocabulary import PERSON, Vocabulary
from toeroom.wording import sides_in_words
from tui.widgets.block_pane import BlockPane
from tui.widgets.blocks import Block

OPEN, TAKEN, LEFT = "open", "taken", "left"
MARKERS = {OPEN: "?      ", TAKEN: "■ take ", LEFT: "□ leave"}


class ProposalPane(BlockPane):
    """A block an entry. Nothing counts until it is confirmed, and nothing without its foot.

    The marks say take and leave, not yes and no: what is taken may itself be a no.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("y,ctrl+y", "decide('taken')", "take"),
        Binding("n,ctrl+n,delete", "decide('left')", "leave out"),
        Binding("l,left", "side('left')", "left"),
        Binding("r,right", "side('right')", "right"),
        Binding("b", "side('both')", "both"),
        Binding("a,ctrl+a", "take_all", "all"),
    ]

    def __init__(self, vocabulary: Vocabulary, case: Case, *, look_id: str) -> None:
        super().__init__(look_id=look_id)
        self.vocabulary, self.case = vocabulary, case
        self.proposals: list[Proposal] = []
        self.decided: list[str] = []
        self.said = "reading the notes"

    def show_proposals(self, found: Sequence[Proposal], nothing: str) -> None:
        """Shows what is to be confirmed; `nothing` is said where there is nothing."""
        self.proposals, self.said = list(found), nothing
        self.decided = [OPEN] * len(found)
        self.lay_out()

    @property
    def confirmed(self) -> list[Proposal]:
        """What was confirmed."""
        return [one for one, how in zip(self.proposals, self.decided, strict=True) if how == TAKEN]

    def make_blocks(self, width: int) -> list[Block]:
        """An entry with the words it came from, and what stands against it."""
        if not self.proposals:
            return [Block(((1, Text(self.said, "quiet")),))]
        return [
            Block(
                tuple(self._told_lines(one)),
                key=str(number),
                marker="known   " if one.known else f"{MARKERS[self.decided[number]]} ",
            )
            for number, one in enumerate(self.proposals)
        ]

    def _told_lines(self, one: Proposal) -> list[tuple[int, Text]]:
        term = self.vocabulary.by_id[one.said.id]
        unit = getattr(term, "unit", "")
        sides = sides_in_words(one.sides)
        where = "" if one.sides == (PERSON,) else f", {sides}" if sides else " (which foot?)"
        value = f"{one.value} {unit}".strip()
        lines = [Text.assemble(f"{term.label}{where}: ", (value, "head"))]
        came_from = (one.said.cue, one.said.text) if one.said.cue else (one.said.text,)
        lines.append(Text(" ".join(f"“{' '.join(part.split())}”" for part in came_from), "quiet"))
        if not one.sides:
            lines.append(Text("The notes do not say which foot: l, r or b.", "caution"))
        for side, now in one.stands:
            foot = "" if side == PERSON else f" on the {side} foot"
            lines.append(
                Text(f"! the case states {now}{foot}; only y of its own puts this in its place", "caution")
            )
        if one.known:
            lines.append(Text("stated already", "quiet"))
        return [(10, line) for line in lines]

    # --- keys ----------------------------------------------------------------------------------------
    def action_decide(self, how: str) -> None:
        """Confirms the entry chosen, or leaves it out; then on to the next."""
        if not self.chosen.isdigit() or not self.proposals:
            return
        number = int(self.chosen)
        if how == TAKEN and not self.proposals[number].sides:
            self.notify("which foot? l, r or b", markup=False, timeout=3)
            return
        if not self.proposals[number].known:
            self.decided[number] = how
        self.lay_out()
        self.action_choose(1)

    def action_side(self, side: str) -> None:
        """Says which foot the entry chosen is of."""
        if not self.chosen.isdigit() or not self.proposals:
            return
        number = int(self.chosen)
        if self.proposals[number].said.side != PERSON:
            self.proposals[number] = on_side(self.proposals[number], side, self.case)
            self.decided[number] = OPEN
            self.lay_out()

    def action_take_all(self) -> None:
        """Confirms everything that is open, has its foot, and contradicts nothing stated."""
        for number, one in enumerate(self.proposals):
            if self.decided[number] == OPEN and one.sides and not one.stands and not one.known:
                self.decided[number] = TAKEN
        self.lay_out()
        left = sum(
            how == OPEN and not one.known for one, how in zip(self.proposals, self.decided, strict=True)
        )
        if left:
            self.notify(f"{left} still to be decided one by one", markup=False, timeout=4)

    def act(self) -> None:
        """A second click confirms."""
        self.action_decide(TAKEN)
