"""Walking through a case in a plain terminal: one prompt, a few words, every step on the disk."""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from dataclasses import replace

from toeroom.errors import BadInput
from toeroom.training.debrief import facts_in_words, places_in_words
from toeroom.training.finding import Found, meant
from toeroom.training.session import Session
from toeroom.training.stages import STAGES, terms_of_stage
from toeroom.training.unfolding import opening
from toeroom.vocabulary import PERSON, SECTIONS, SIDES, PlanItem
from toeroom.wording import SECTION_TITLES, in_a_sentence, printable, sides_in_words

WIDTH = 80
MOST_NAMED = 12
HELP = """\
  ask WORDS              look, ask or measure: a step (ask wound · ask filament)
  list [WORDS]           what can be asked now
  items [WORDS]          what can be chosen (items socks · items shoe)
  choose WORDS [SIDE]    left, right, both or person (choose extra width left)
  drop WORDS [SIDE]      take it back
  stop SIDE [today]      do not fit this foot, refer: soon, or today (stop left today)
  unstop                 take that back
  say TEXT               to the wearer, in your own words
  show                   what is known, and what is decided so far
  on                     commit, and go on to the next stage
  end                    commit, and end here
  quit                   leave; --resume goes on where you were"""


def walk_in_terminal(session: Session) -> None:
    """Prompts until the walk is closed or the trainee leaves."""
    _Talk(session).run()


class _Talk:
    def __init__(self, session: Session) -> None:
        self.session, self.walk = session, session.walk
        self.vocabulary = self.walk.planner.vocabulary
        self.commands: dict[str, Callable[[str], None]] = {
            "ask": self.ask,
            "list": self.list_terms,
            "items": self.list_items,
            "choose": self.choose,
            "drop": self.drop,
            "stop": self.stop,
            "unstop": self.unstop,
            "say": self.say,
            "show": self.show,
            "on": self.on,
            "end": self.end,
            "help": self.help,
            "?": self.help,
        }

    def run(self) -> None:
        self._open()
        while not self.walk.closed:
            try:
                line = input("> ")
            except (EOFError, KeyboardInterrupt):
                print()
                return
            verb, _, rest = line.strip().partition(" ")
            if verb.lower() in ("quit", "q"):
                return
            if not verb:
                continue
            command = self.commands.get(verb.lower())
            if command is None:
                _say(f"'{verb}' is not known here; 'help' lists what is.")
                continue
            try:
                command(rest.strip())
            except BadInput as fault:
                _say(str(fault))

    # --- what is shown -----------------------------------------------------------------------------
    def _open(self) -> None:
        title, words = opening(self.walk.case)
        print(printable(title))
        if words:
            _say(words)
        if self.walk.stage or self.walk.asked:
            self.show("")
        self._stage()
        _say("'help' lists what you can do.")

    def _stage(self) -> None:
        stage = STAGES[self.walk.stage]
        print(f"\n[{self.walk.stage + 1} of {len(STAGES)}] {stage.title}")
        if told := self.walk.case.lesson.told.get(stage.id):
            _say(told)
        for line in facts_in_words(self.walk.unfolding.told(self.walk.stage)):
            _say(line, "  ")
        if silent := self.walk.unfolding.silent(self.walk.stage):
            _say(f"Nothing on: {', '.join(in_a_sentence(term.label) for term in silent)}.", "  ")
        own = terms_of_stage(self.vocabulary, self.walk.stage)
        if left := [term for term in self.walk.may_ask() if term in own]:
            _say(f"{len(left)} things can be asked or looked at here; 'list' names them.", "  ")

    def show(self, rest: str) -> None:
        walk = self.walk
        print("Known:")
        facts = [f for n in range(walk.stage + 1) for f in walk.unfolding.told(n)]
        facts += [f for term_id in walk.asked_ids for f in walk.unfolding.answer(term_id)]
        for line in facts_in_words(facts):
            _say(line, "  ")
        print("Decided so far:")
        draft = self.session.draft
        stop = f"stop {sides_in_words(draft.stop) or 'for the person'}, refer {draft.how_fast}"
        _say(stop if draft.stop else "go on", "  ")
        for words in places_in_words(draft.items, self.vocabulary):
            _say(words, "  ")
        if draft.say:
            _say(f"say: {draft.say}", "  ")

    def help(self, rest: str) -> None:
        print(HELP)

    # --- asking ------------------------------------------------------------------------------------
    def list_terms(self, rest: str) -> None:
        may = self.walk.may_ask()
        for term in meant(may, rest) if rest else may:
            print(f"  {printable(term.label)}")

    def ask(self, rest: str) -> None:
        term = _one(meant(self.walk.may_ask(), rest), rest, "'list' names what can be asked now")
        if term is not None:
            for line in facts_in_words(self.session.ask(term.id)):
                _say(line, "  ")

    # --- deciding ----------------------------------------------------------------------------------
    def list_items(self, rest: str) -> None:
        wanted = rest.lower()
        named = [one for one in SECTIONS if wanted in (one, SECTION_TITLES[one].lower())]
        items = self._items() if named or not rest else meant(self._items(), rest)
        for section in named or SECTIONS:
            if own := [item.label for item in items if item.section == section]:
                _say(f"{SECTION_TITLES[section]}: {' · '.join(own)}", "  ")

    def _items(self) -> list[PlanItem]:
        return [self.vocabulary.plan_items[item] for item in self.session.offer.sides]

    def choose(self, rest: str) -> None:
        words, side = _with_side(rest)
        item = _one(meant(self._items(), words), words, "'items' names what can be chosen")
        if item is None:
            return
        allowed = self.session.offer.sides[item.id]
        if not side and len(allowed) > 1:
            _say(f"{item.label}: for which foot? {', '.join((*allowed, 'both'))}")
            return
        sides = SIDES if side == "both" else (side or allowed[0],)
        if allowed == (PERSON,):
            sides = (PERSON,)
        places = {self.session.offer.read(f"{item.id}@{one}") for one in sides}
        self._sketch(items=self.session.draft.items | places)
        _say(f"chosen: {'; '.join(places_in_words(places, self.vocabulary))}", "  ")

    def drop(self, rest: str) -> None:
        words, side = _with_side(rest)
        chosen = {item for item, _ in self.session.draft.items}
        items = [item for item in self._items() if item.id in chosen]
        item = _one(meant(items, words), words, "'show' names what is chosen")
        if item is None:
            return
        sides = (*SIDES, PERSON) if side in ("", "both") else (side,)
        self._sketch(items=self.session.draft.items - {(item.id, one) for one in sides})
        _say(f"dropped: {item.label}", "  ")

    def stop(self, rest: str) -> None:
        words = rest.lower().split()
        speed = "today" if "today" in words else "soon"
        sides = [word for word in words if word not in ("today", "soon", "and", "foot", "feet")]
        if not sides or any(side not in (*SIDES, "both", PERSON) for side in sides):
            _say("stop which foot? left, right, both; person where there is no foot to fit", "  ")
            return
        found = {one for side in sides for one in (SIDES if side == "both" else (side,))}
        self._sketch(stop=self.session.draft.stop | found, how_fast=speed)
        draft = self.session.draft
        _say(f"stopped: {sides_in_words(draft.stop) or 'for the person'}; refer {draft.how_fast}", "  ")

    def unstop(self, rest: str) -> None:
        self._sketch(stop=frozenset(), how_fast="")
        _say("going on", "  ")

    def say(self, rest: str) -> None:
        self._sketch(say=printable(rest))

    def _sketch(self, **changed: object) -> None:
        self.session.sketch(replace(self.session.draft, **changed))  # type: ignore[arg-type]

    def on(self, rest: str) -> None:
        self.session.decide()
        if not self.walk.closed:
            self._stage()

    def end(self, rest: str) -> None:
        self.session.decide(end=True)


def _with_side(text: str) -> tuple[str, str]:
    """`extra width left` as words and side; the side is '' where none is named."""
    words = text.split()
    last = words[-1].lower() if words else ""
    return (" ".join(words[:-1]), last) if last in (*SIDES, "both", PERSON) else (text, "")


def _one(found: tuple[Found, ...], text: str, hint: str) -> Found | None:
    """The one thing meant; says what is missing where it is not one."""
    if len(found) == 1:
        return found[0]
    if not found:
        _say(f"nothing here is called '{text}'; {hint}")
    else:
        more = f" and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
        _say(f"which: {' · '.join(term.label for term in found[:MOST_NAMED])}{more}?")
    return None


def _say(text: str, indent: str = "") -> None:
    text = printable(text)
    print(textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  "))
