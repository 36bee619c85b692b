"""Ask: a conversation that reads what one says, answers from the handbook, and asks one thing at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, cast

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, Static

from toeroom.answers.answering import UNSAID
from toeroom.case import Case
from toeroom.errors import BadInput, one_line
from toeroom.files import write_whole
from toeroom.wording import printable
from tui.library import Library
from tui.log import write_down
from tui.naming import ask_id, ask_place
from tui.talk import FREE, Said, Talk, Wording, answer, correction, corrects
from tui.widgets.keys_line import KeysLine
from tui.widgets.stated_pane import StatedPane
from tui.widgets.talk_pane import TalkPane
from tui.widgets.title_bar import TitleBar

if TYPE_CHECKING:
    from tui.app import ToeroomApp
    from tui.screens.desk import DeskScreen

ANSWERS = {"yes": "yes", "no": "no", "unknown": "don't know"}
SHORT = {"y": "yes", "n": "no", "?": "unknown", "l": "left", "r": "right", "b": "both"}


class AskScreen(Screen[None]):
    """Asking, and telling what one sees."""

    CSS_PATH = "ask.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "other_pane(1)", "pane"),
        Binding("shift+tab", "other_pane(-1)", show=False),
        Binding("y,ctrl+y", "answer('yes')", show=False),
        Binding("n,ctrl+n", "answer('no')", show=False),
        Binding("question_mark,u,ctrl+u", "answer('unknown')", show=False),
        Binding("l", "answer('left')", show=False),
        Binding("r", "answer('right')", show=False),
        Binding("b", "answer('both')", show=False),
        Binding("f5", "take", "take"),
        Binding("ctrl+s", "write_down", "write"),
        Binding("c,f7", "copy", "copy"),
        Binding("f8", "anew", "anew", show=False),
        Binding("f4", "next_talk", "other conversation", show=False),
        Binding("escape", "leave", "leave"),
    ]
    HELP = """Ask

Say what you see, or ask. The answer comes from the handbook, with
its pages, and from the rules. What is understood stands in a list.
An emergency stands first. Ring first, ask later.

While you type
  Enter             say it; you can type on while it is worked out
  y  n  ?  Enter    answer the question asked (l, r, b: which foot)
  ctrl+y n u        the same at one key
  Tab               to the history, to the list, back

In the history
  arrows            passage by passage, and to further pages
  Enter             open the page; Esc there comes back
  c  or F7          copy the passage with its page
  y n ? l r b       answer the question asked, at one key

In the list
  y n u, l r b      correct the entry: its value, its foot
  Delete, x         it was not said

The conversation
  F5                take what is understood into a case
  ctrl+s            write the conversation down, as Markdown
  F8                a new one; F4 goes through those there are
  Esc               back to where you came from; nothing is lost"""

    class Replied(Message):
        """A line has been answered, or could not be."""

        def __init__(self, talk: Talk, said: Said) -> None:
            super().__init__()
            self.talk, self.said = talk, said

    def __init__(self, library: Library) -> None:
        super().__init__()
        self.library = library
        self.vocabulary = library.book.vocabulary
        self.talks = [Talk(library)]
        self.talk = self.talks[0]

    def compose(self) -> ComposeResult:
        yield TitleBar()
        yield Static(id="alarm", markup=False)
        with Container(id="ask"):
            with Vertical(id="said"):
                yield TalkPane(self.vocabulary.deferral, look_id="talk")
                yield Static(id="pending", markup=False)
                yield Input(placeholder="say what you see, or ask", id="line", compact=True)
            yield StatedPane(self.vocabulary, look_id="stated")
        yield KeysLine()

    def on_mount(self) -> None:
        self._show(newest=True)
        self.set_focus(self.query_one("#line"))
        self._open()

    @work(thread=True, group="open", exit_on_error=False)
    def _open(self) -> None:
        """So that the first answer need not wait. What goes wrong is said when something is asked."""
        try:
            _ = self.library.answerer
        except Exception:
            return

    async def turn_to_book(self) -> None:
        """What was said stays; what is said from now on is answered by the book there is now."""
        self.vocabulary = self.library.book.vocabulary
        await self.recompose()
        self.on_mount()

    # --- what is shown -----------------------------------------------------------------------------
    def about_desk(self, desk: DeskScreen) -> None:
        """Turns to the conversation about the case on `desk`."""
        found = next((talk for talk in self.talks if talk.desk is desk), None)
        if found is None:
            found = Talk(self.library, desk)
            self.talks.append(found)
        # A conversation in which nothing was said, about a case no longer open, is no loss.
        open_desks = self._app.desks
        self.talks = [t for t in self.talks if t.history or t.desk is None or t.desk in open_desks]
        if not found.busy:
            found.start_from_desk()
        self.talk = found
        if self.is_mounted:
            self._show(newest=False)

    def _show(self, *, newest: bool) -> None:
        talk = self.talk
        number = f"{self.talks.index(talk) + 1} of {len(self.talks)}" if len(self.talks) > 1 else ""
        about = f"about {talk.about}" if talk.about else ""
        more = " · ".join(part for part in (about, number) if part)
        self.query_one(TitleBar).show("Ask", more, "working" if talk.busy else "")
        self.query_one(TalkPane).show(talk.history, newest=newest)
        self.query_one(StatedPane).show(talk.stated, talk.about)
        self._show_alarm()
        self._show_pending()

    def _show_alarm(self) -> None:
        """Across the top: an emergency just spoken of, a stop that follows from what is known."""
        last = next((s.turn for s in reversed(self.talk.history) if s.turn), None)
        emergency = last.reply.emergency if last and last.reply else ""
        sheet = self.talk.sheet
        lines = [f"EMERGENCY  {emergency}"] if emergency else []
        lines += [f"STOP  {sheet.headline}"] if sheet and sheet.stop else []
        alarm = self.query_one("#alarm", Static)
        alarm.display = bool(lines)
        alarm.update("\n".join(lines))

    def _show_pending(self) -> None:
        question = self.talk.pending
        said = self.query_one("#pending", Static)
        said.display = question is not None
        if question is None:
            return
        typed = self.query_one("#line", Input).value.strip()
        words = self._answer_in(typed)
        if words:
            keys = f"Enter: {ANSWERS.get(words, words)}"
        elif question.side == UNSAID:
            keys = "l, r or b and Enter"
        else:
            keys = "y, n or ? and Enter"
        said.update(
            Content.assemble(
                (printable(question.text), "bold"),
                (f" ({printable(question.why.partition('; if no:')[0])})", "$quiet"),
                (f"  {keys}", "bold $accent" if words else "$accent"),
            )
        )

    @on(Input.Changed, "#line")
    def _typed(self) -> None:
        self._show_pending()

    def _answer_in(self, text: str) -> str:
        """The answer that `text` alone is to the question that waits, or ''."""
        question, words = self.talk.pending, SHORT.get(text.lower(), "")
        if question is None or not words:
            return ""
        return words if (words in ANSWERS) == (question.side != UNSAID) else ""

    # --- saying something --------------------------------------------------------------------------
    @on(Input.Submitted, "#line")
    def _submitted(self, event: Input.Submitted) -> None:
        text = event.value.strip()
        if not text:
            return
        words = self._answer_in(text)
        event.input.value = ""
        if words:
            self.action_answer(words)
        else:
            self._say(text, lambda talk: text)

    def action_answer(self, words: str) -> None:
        """Answers the question that waits; a key that is no answer to it does nothing."""
        question = self.talk.pending
        if question is None or (words in ANSWERS) == (question.side == UNSAID):
            return
        text = ANSWERS.get(words, words)
        self._say(text, answer(question, text))

    @on(StatedPane.Corrected)
    def _correct(self, event: StatedPane.Corrected) -> None:
        label = self.vocabulary.by_id[event.one.id].label
        if corrects(event.one, event.what):
            self._say(f"{label}: {event.what}", correction(event.one, event.what))
        else:
            what = "has no side" if event.what in ("left", "right", "both") else "is a number"
            self.notify(f"{label} {what}; x drops it", markup=False, timeout=4)

    def _say(self, text: str, wording: Wording) -> None:
        said = Said(text)
        self.talk.history.append(said)
        self.talk.waiting.append((said, wording))
        self._go_on(self.talk)
        self._show(newest=True)

    def _go_on(self, talk: Talk) -> None:
        """One line after the other: the next is begun when the one before is answered."""
        if talk.waiting and not talk.busy:
            talk.busy = True
            said, wording = talk.waiting.popleft()
            self._work_out(talk, said, wording)

    @work(thread=True, group="reply", exit_on_error=False)
    def _work_out(self, talk: Talk, said: Said, wording: Wording) -> None:
        # Whatever goes wrong here is shown where the answer would be; the conversation stays as it was.
        try:
            talk.work_out(said, wording)
        except BadInput as fault:
            said.fault = str(fault)
        except Exception as error:
            where = write_down("no answer", error)
            said.fault = one_line(f"No answer: it could not be worked out ({type(error).__name__}). {where}")
        self.post_message(self.Replied(talk, said))

    @on(Replied)
    def _came(self, event: Replied) -> None:
        event.talk.busy = False
        self._go_on(event.talk)
        if event.talk is self.talk:
            # Who reads on in an earlier passage is left where they are.
            self._show(newest=event.said is self.talk.history[-1])

    # --- citations ---------------------------------------------------------------------------------
    @on(TalkPane.PageWanted)
    def _page(self, event: TalkPane.PageWanted) -> None:
        self._app.open_page(event.page, event.heading)

    def action_copy(self) -> None:
        """The passage chosen, with its page and cautions."""
        self.query_one(TalkPane).action_copy()

    # --- taking it elsewhere -----------------------------------------------------------------------
    @property
    def _app(self) -> ToeroomApp:
        return cast("ToeroomApp", self.app)

    def action_take(self) -> None:
        """What is understood goes into the case it is about, or into a new one."""
        talk = self.talk
        if talk.busy or talk.waiting:
            self.notify("a reply is being worked out; then", markup=False, timeout=3)
        elif talk.conversation is None or not talk.stated:
            self.notify("nothing is understood yet that a case could hold", markup=False, timeout=4)
        elif talk.desk is not None and talk.desk in self._app.desks:
            talk.start_from_desk()
            talk.desk.take(talk.conversation.case)
            talk.keep()
            self._app.action_place("cases")
            self.notify("taken into the case; not saved yet", markup=False, timeout=4)
        else:
            ask_id(self.app, self.vocabulary, talk.about or FREE, partial(self._into_new, talk))

    def _into_new(self, talk: Talk, blank: Case) -> None:
        assert talk.conversation is not None
        case = replace(talk.conversation.case, id=blank.id)
        talk.desk = self._app.open_desk(case, saved=blank)
        talk.keep()

    def action_write_down(self) -> None:
        """The conversation as Markdown, to a path."""
        self.write(self.talk, lambda: None)

    def write(self, talk: Talk, then: Callable[[], object]) -> None:
        """Asks where to write `talk`; calls `then` once it is written."""
        if talk.conversation is None or not talk.conversation.turns:
            self.notify("nothing has been said yet", markup=False, timeout=3)
            return
        text = talk.conversation.as_markdown()

        def write(path: Path) -> str:
            try:
                write_whole(path, text)
            except BadInput as fault:
                return str(fault)
            return ""

        def written(path: Path) -> None:
            talk.keep()
            self.app.notify(f"written: {printable(str(path))}", markup=False, timeout=3)
            then()

        start = f"{talk.about or 'conversation'}-asked.md" if talk.about else "conversation.md"
        ask_place(self.app, "Write the conversation into", start, write, written)

    def action_anew(self) -> None:
        """A conversation from nothing; the others stay."""
        if self.talk.history or self.talk.desk:
            blank = next((t for t in self.talks if not t.history and t.desk is None), None)
            self.talk = blank or Talk(self.library)
            if blank is None:
                self.talks.append(self.talk)
        self._show(newest=True)
        self.set_focus(self.query_one("#line"))

    def action_next_talk(self) -> None:
        """The next of the conversations there are."""
        self.turn_to(self.talks[(self.talks.index(self.talk) + 1) % len(self.talks)])

    def turn_to(self, talk: Talk) -> None:
        """Shows this conversation."""
        self.talk = talk
        self._show(newest=True)

    # --- keys --------------------------------------------------------------------------------------
    def action_other_pane(self, step: int) -> None:
        panes = [self.query_one("#line"), self.query_one(TalkPane), self.query_one(StatedPane)]
        at = panes.index(self.focused) if self.focused in panes else 0
        self.set_focus(panes[(at + step) % len(panes)])

    def action_leave(self) -> None:
        """Esc: back to where one came from. What is typed, said and understood stays here."""
        self._app.leave_place()
