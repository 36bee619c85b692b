"""The notes read on request: what they state, each entry to be confirmed before it counts."""

from __future__ import annotations

from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static

from toeroom.answers.confirming import Proposal, proposals, with_confirmed
from toeroom.case import Case
from tui.library import Library
from tui.log import write_down
from tui.widgets.proposal_pane import ProposalPane

NOTHING = "Nothing in the notes was understood as a finding or a number."


class ReadingScreen(ModalScreen[Case | None]):
    """Ends with the case and what was confirmed, or with None."""

    CSS_PATH = "reading.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,ctrl+s", "take", "into the case", priority=True),
        Binding("escape", "give_up", "take nothing"),
    ]
    HELP = """Reading the notes

What the notes were understood to say, with the words it came from.
Nothing counts until you say so.
  arrows      entry by entry
  y  n        take it; leave it out
  l  r  b     which foot: left, right, both
  a           take all that is clear: not what has no foot yet, and
              not what contradicts the case
  Enter       what is taken goes into the case
  Esc         take nothing"""

    class Read(Message):
        """The notes have been read."""

        def __init__(self, found: tuple[Proposal, ...], nothing: str) -> None:
            super().__init__()
            self.found, self.nothing = found, nothing

    def __init__(self, library: Library, case: Case) -> None:
        super().__init__()
        self.library, self.case = library, case

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet", id="reading"):
            yield Static(f"Read in the notes of {self.case.id}", classes="sheet-title", markup=False)
            yield ProposalPane(self.library.book.vocabulary, self.case, look_id="proposals")
            foot = "y take, n leave out; l r b which foot; a takes all that is clear."
            foot += " Enter puts what is taken into the case, Esc nothing."
            yield Static(foot, classes="sheet-foot", markup=False)

    def on_mount(self) -> None:
        pane = self.query_one(ProposalPane)
        pane.lay_out()
        pane.focus()
        self._read()

    @work(thread=True, exit_on_error=False)
    def _read(self) -> None:
        from toeroom.answers.understand import understand

        vocabulary = self.library.book.vocabulary
        try:
            understood = understand(self.case.notes, vocabulary, self.library.cues)
            self.post_message(self.Read(proposals(understood, self.case, vocabulary), NOTHING))
        except Exception as error:
            said = f"The notes could not be read. {write_down('notes not read', error)}"
            self.post_message(self.Read((), said))

    @on(Read)
    def _show(self, event: Read) -> None:
        self.query_one(ProposalPane).show_proposals(event.found, event.nothing)

    def action_take(self) -> None:
        """Ends with what was confirmed."""
        self.dismiss(with_confirmed(self.case, self.query_one(ProposalPane).confirmed))

    def action_give_up(self) -> None:
        self.dismiss(None)
