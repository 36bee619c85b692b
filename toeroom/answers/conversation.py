"""A conversation: what was said is kept and can be corrected, one question is asked at a time."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from toeroom.answers.answering import UNSAID, Answerer, Reply, case_with
from toeroom.answers.talk import Move, Talk, read_talk, side_in
from toeroom.answers.understand import Understood, understand
from toeroom.case import Case
from toeroom.plan import Plan, Question
from toeroom.rules.asking import ask_next
from toeroom.rules.whatif import Change, changes
from toeroom.vocabulary import PERSON, SIDES

OTHER = {"left": "right", "right": "left"}


@dataclass(frozen=True, slots=True)
class Turn:
    """One exchange. `said` is our line about the conversation; `reply` is there where something was asked
    or stated; `changes` where something was supposed. `question` is what is asked next, if anything."""

    text: str
    said: str
    reply: Reply | None
    stated: tuple[Understood, ...]
    plan: Plan | None
    question: Question | None
    changes: tuple[Change, ...] = ()


@dataclass
class Conversation:
    """What was said so far. `base` is a case it started from; `stated` is what was understood since."""

    answerer: Answerer
    base: Case
    stated: list[Understood] = field(default_factory=list)
    turns: list[Turn] = field(default_factory=list)
    pending: Question | None = None
    asked: set[tuple[str, str]] = field(default_factory=set)
    last: list[Understood] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.talk: Talk = read_talk(self.answerer.book.folder / "kb" / "talk.yaml")

    @property
    def case(self) -> Case:
        """The case as it stands: the one it started from, and what was stated."""
        return case_with(self.base, tuple(self.stated), self.answerer.book)

    def say(self, text: str) -> Turn:
        """Takes one line; returns what is answered."""
        turn = self._turn(text)
        self.turns.append(turn)
        return turn

    # --- what a line does ------------------------------------------------------------------------
    def _turn(self, text: str) -> Turn:
        numbered = self._corrected_by_number(text)
        if numbered:
            return self._after(text, numbered)
        move = self.talk.move(text)
        if self.pending is not None and (done := self._answered(text, move)):
            return self._after(text, done)
        if move is None:
            return self._statement(text)
        if move.kind == "what_if":
            return self._supposed(text, move.rest)
        if move.kind == "other_foot":
            return self._other_foot(text)
        if done := self._moved(move):
            return self._after(text, done)
        return self._statement(text)

    def _statement(self, text: str) -> Turn:
        reply = self.answerer.reply(text, self.case if self.stated or self.turns else self.base)
        if reply.understood:
            self._keep(list(reply.understood))
        return self._finish(text, reply.said, reply)

    def _answered(self, text: str, move: Move | None) -> str:
        """Takes an answer to the pending question; '' where the line is none."""
        question = self.pending
        assert question is not None
        if question.side == UNSAID:
            side = side_in(text)
            if not side:
                return self._side_left_open(question, move)
            self._set_side([one for one in self.stated if one.side == UNSAID and one.id == question.id], side)
            return f"{question.label}: {side}."
        if move is None or move.kind not in ("yes", "no", "unknown"):
            return ""
        self.asked.add((question.id, question.side))
        self._keep([Understood(question.id, question.side, move.kind, None, text, 0, len(text))])
        return f"{question.label}{_on(question.side)}: {move.kind}."

    def _side_left_open(self, question: Question, move: Move | None) -> str:
        """Which foot was asked, and no foot was named."""
        if move is None or move.kind not in ("yes", "no", "unknown"):
            return ""
        if move.kind == "unknown":
            self.asked.add((question.id, question.side))
            return f"{question.label}: the side stays open; the plan takes one foot."
        return f"{question.label}: say left, right or both."

    def _moved(self, move: Move) -> str:
        if move.kind == "forget_all":
            self.stated, self.last, self.asked = [], [], set()
            self.base = replace(self.base, findings={}, measures={}, choices={}, dates={})
            return "All forgotten."
        if move.kind == "forget":
            return self._forget(self.last)
        if move.kind == "forget_one":
            book = self.answerer.book
            named = {one.id for one in understand(move.rest, book.vocabulary, self.answerer.cues)}
            return self._forget([one for one in self.stated if one.id in named])
        if move.kind == "side" and self.last:
            side = side_in(move.rest)
            self._set_side([one for one in self.last if one.side != PERSON], side)
            return f"Changed to the {side}."
        return ""

    def _forget(self, gone: list[Understood]) -> str:
        if not gone:
            return "There is nothing to forget."
        self.stated = [one for one in self.stated if one not in gone]
        self.last = []
        labels = ", ".join(self.answerer.book.vocabulary.by_id[one.id].label.lower() for one in gone)
        return f"Forgotten: {labels}."

    def _corrected_by_number(self, text: str) -> str:
        """`2 no`, `2 left`, `drop 2`: corrects an entry of the list shown."""
        words = text.lower().replace(":", " ").split()
        if len(words) != 2 or not any(word.isdigit() and len(word) < 4 for word in words):
            return ""
        number, what = (int(words[0]), words[1]) if words[0].isdigit() else (int(words[1]), words[0])
        if not 1 <= number <= len(self.stated):
            return ""
        one = self.stated[number - 1]
        if what in ("drop", "forget", "remove", "delete"):
            return self._forget([one])
        if what in ("yes", "no", "unknown") and one.value is None:
            self.stated[number - 1] = replace(one, state=what)
        elif side_in(what) and one.side != PERSON:
            self.stated[number - 1] = replace(one, side=side_in(what))
        else:
            return ""
        return f"Corrected: {self.answerer.book.vocabulary.by_id[one.id].label.lower()}, {what}."

    def _supposed(self, text: str, rest: str) -> Turn:
        """What would change; nothing is kept."""
        book = self.answerer.book
        added = tuple(understand(rest, book.vocabulary, self.answerer.cues, supposed=True))
        if not added:
            return self._statement(rest)
        before = book.planner.plan(self.case)
        after = book.planner.plan(case_with(self.case, added, book))
        found = changes(before, after)
        stop = "then the fitting stops" if after.stop and not before.stop else ""
        said = stop or ("then this changes" if found else "then nothing changes")
        reply = self.answerer.reply(rest, self.case)
        turn = self._finish(text, f"If so, {said}. It is not kept as stated.", None)
        return replace(
            turn, changes=found, plan=after, reply=replace(reply, plan=after) if reply.answers else None
        )

    def _other_foot(self, text: str) -> Turn:
        sides = [one.side for one in reversed(self.stated) if one.side in SIDES]
        if not sides:
            return self._finish(
                text, "Nothing is stated of either foot yet: say what you see, and on which.", None
            )
        other = OTHER[sides[0]]
        open_questions = [q for q in self._questions(self.case) if q.side == other]
        turn = self._finish(text, f"Of the {other} foot only what stands below is known.", None)
        if open_questions:
            self.pending = open_questions[0]
            turn = replace(turn, question=self.pending)
        return turn

    # --- keeping ---------------------------------------------------------------------------------
    def _keep(self, new: list[Understood]) -> None:
        """A later word on the same thing, on the same foot, replaces an earlier one."""
        said = {(one.id, side) for one in new for side in _feet(one.side)}
        kept: list[Understood] = []
        for old in self.stated:
            left = [side for side in _feet(old.side) if (old.id, side) not in said]
            if left == _feet(old.side):
                kept.append(old)
            else:
                kept += [replace(old, side=side) for side in left]
        self.stated, self.last = kept + new, new

    def _set_side(self, wrong: list[Understood], side: str) -> None:
        moved = [replace(one, side=side) for one in wrong]
        for old, new in zip(wrong, moved, strict=True):
            self.stated[self.stated.index(old)] = new
        self.last = [moved[wrong.index(one)] if one in wrong else one for one in self.last]

    def _after(self, text: str, said: str) -> Turn:
        self.pending = None
        return self._finish(text, said, None)

    def _finish(self, text: str, said: str, reply: Reply | None) -> Turn:
        planner, case = self.answerer.book.planner, self.case
        plan = planner.plan(case) if self.stated or case.findings or case.measures else None
        self.pending = self._next_question(case) if plan else None
        return Turn(text, said, reply, tuple(self.stated), plan, self.pending)

    def _next_question(self, case: Case) -> Question | None:
        """First which foot, then what would move the plan furthest; nothing answered is asked again."""
        for question in self._questions(case):
            if (question.id, question.side) not in self.asked:
                return question
        return None

    def _questions(self, case: Case) -> list[Question]:
        sides = self.answerer.sides_to_ask(tuple(self.stated))
        return [*sides, *ask_next(self.answerer.book.planner, case, 40)]

    def as_markdown(self) -> str:
        """The conversation as Markdown, with its citations, cautions and the line that defers."""
        vocabulary = self.answerer.book.vocabulary
        lines = ["# Conversation", ""]
        for turn in self.turns:
            lines += [f"**You:** {_escaped(turn.text)}", ""]
            lines += [f"{turn.said}", ""] if turn.said else []
            if turn.reply:
                if turn.reply.emergency:
                    lines += [f"**{turn.reply.emergency}**", ""]
                for answer in turn.reply.answers:
                    lines += [
                        *(f"> {line}  " for line in answer.lines[:-1]),
                        f"> {answer.lines[-1]}",
                        f"> — *{answer.title}*, {answer.heading} (`{answer.page}`)",
                        "",
                    ]
                    lines += [f"> Caution: {caution}\n" for caution in answer.cautions]
            if turn.question:
                lines += [f"*Asked next:* {turn.question.text}", ""]
        stated = [f"- {vocabulary.by_id[s.id].label}{_on(s.side)}: {s.state or s.value}" for s in self.stated]
        lines += ["## Understood", "", *stated, "", vocabulary.deferral, ""]
        return "\n".join(lines)


def _feet(side: str) -> list[str]:
    return list(SIDES) if side == "both" else [side]


def _on(side: str) -> str:
    return "" if side == PERSON else ", side not said" if side == UNSAID else f", {side}"


def _escaped(text: str) -> str:
    """A person's words inside Markdown, taken literally."""
    return "".join(f"\\{c}" if c in "\\`*_{}[]<>#|" else c for c in " ".join(text.split()))
