"""A conversation as the app holds it: what was said, what waits to be said, what of it was kept."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from toeroom.answers.conversation import Conversation, Turn
from toeroom.answers.understand import Understood
from toeroom.case import Case
from toeroom.plan import Question
from toeroom.sheet import Sheet, make_sheet
from toeroom.vocabulary import PERSON
from tui.library import Library

if TYPE_CHECKING:
    from tui.screens.desk import DeskScreen

FREE = "asked"
"""The id of the case of a conversation that started from none."""

Wording = Callable[[Conversation], str]
"""What to say when the turn has come; '' where there is no longer a reason to."""


@dataclass
class Said:
    """One entry of the history. `turn` is None until it is answered; `fault` is there where it was not.

    `titles` are those of the pages it names; `sheet` is that of its plan.
    """

    text: str
    turn: Turn | None = None
    sheet: Sheet | None = None
    titles: dict[str, str] = field(default_factory=dict)
    fault: str = ""


@dataclass
class Talk:
    """A conversation with its history. `desk` is the desk whose case it is about, where there is one."""

    library: Library
    desk: DeskScreen | None = None
    conversation: Conversation | None = None
    history: list[Said] = field(default_factory=list)
    waiting: deque[tuple[Said, Wording]] = field(default_factory=deque)
    busy: bool = False
    kept: tuple[Understood, ...] = ()
    base: Case | None = None

    @property
    def stated(self) -> tuple[Understood, ...]:
        """What was understood, in the order of its numbers."""
        return tuple(self.conversation.stated) if self.conversation else ()

    @property
    def pending(self) -> Question | None:
        """The question that waits for an answer; None while a reply is being worked out."""
        return self.conversation.pending if self.conversation and not (self.busy or self.waiting) else None

    @property
    def sheet(self) -> Sheet | None:
        """The plan as it stands, as far as it has been worked out."""
        return next((s.sheet for s in reversed(self.history) if s.turn and not s.turn.changes), None)

    @property
    def unsaved(self) -> bool:
        """Whether leaving now would lose something stated."""
        return bool(self.stated) and self.stated != self.kept

    @property
    def about(self) -> str:
        """Whose case it is about."""
        return self.base.id if self.base and self.base.id != FREE else ""

    def keep(self) -> None:
        """What is stated now has been taken into a case or written down."""
        self.kept = self.stated

    # --- in a thread -------------------------------------------------------------------------------
    def start_from_desk(self) -> None:
        """The case on the desk, as it stands there now, is what the conversation goes on from."""
        case = self.desk.open.case if self.desk is not None else self.base or Case(FREE, date.today())
        if case != self.base:
            self.base = case
            if self.conversation is not None:
                self.conversation.base = case

    def work_out(self, said: Said, wording: Wording) -> None:
        """Says a line and fills in `said`. Raises what goes wrong; the conversation is then as before."""
        self.start_from_desk()
        assert self.base is not None
        if self.conversation is None:
            self.conversation = Conversation(self.library.answerer, self.base)
        talk = self.conversation
        # The book may have been taken anew since the line before.
        talk.answerer = self.library.answerer
        before = (talk.base, [*talk.stated], [*talk.turns], talk.pending, {*talk.asked}, [*talk.last])
        try:
            text = wording(talk)
            if not text:
                said.fault = "not taken: what it was about has changed meanwhile"
                return
            turn = talk.say(text)
            said.sheet = make_sheet(turn.plan, self.library.book.vocabulary) if turn.plan else None
            pages = self.library.handbook.pages
            said.titles = {
                i: pages[i].title for i in (turn.reply.related if turn.reply else ()) if i in pages
            }
            said.turn = turn
        except BaseException:
            talk.base, talk.stated, talk.turns, talk.pending, talk.asked, talk.last = before
            raise


def corrects(one: Understood, what: str) -> bool:
    """Whether `what` is a correction that an entry of the list can take."""
    if what in ("yes", "no", "unknown"):
        return one.value is None
    if what in ("left", "right", "both"):
        return one.side != PERSON
    return what == "drop"


def correction(one: Understood, what: str) -> Wording:
    """Corrects the entry `one`, whatever number it has by then."""

    def wording(talk: Conversation) -> str:
        if one not in talk.stated:
            return ""
        number = talk.stated.index(one) + 1
        return f"drop {number}" if what == "drop" else f"{number} {what}"

    return wording


def answer(question: Question, words: str) -> Wording:
    """Answers `question`, and no other that has come in its place."""
    return lambda talk: words if talk.pending == question else ""
