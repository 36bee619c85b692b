"""An answer to a question or a described situation: from the handbook and the rules, nothing made up."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from toeroom.answers.cues import Cues, Emergency, emergencies, read_cues
from toeroom.answers.quoting import Quote, quoted
from toeroom.answers.refusing import Refusals, read_refusals
from toeroom.answers.subject import Subject
from toeroom.answers.understand import Understood, understand
from toeroom.book import Book
from toeroom.case import Case
from toeroom.handbook.handbook import Handbook
from toeroom.handbook.search import Hit, SearchResult
from toeroom.handbook.sections import sections_of
from toeroom.plan import Plan, Question
from toeroom.rules.asking import with_questions
from toeroom.vocabulary import PERSON, SIDES

MOST_ANSWERS = 3
WELL_COVERED = 0.75
"""From this share of what was asked on, a word of another subject does not refuse a question."""
SERVES = 0.03
"""How much more a page counts for each finding understood that it serves."""
SAYS_LITTLE = {"diabetes", "has_referral"}
"""Findings whose mention alone does not show what a question is about."""
UNSAID = "unsaid"


@dataclass(frozen=True, slots=True)
class Answer:
    """A passage of the handbook, with the page and heading it stands under; `quote` is `text` to be shown."""

    page: str
    title: str
    heading: str
    text: str
    score: float
    cautions: tuple[str, ...] = ()
    quote: Quote = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """The passage in lines, as it is quoted: one for words, one for each row of a table."""
        pieces = self.quote or (self.text,)
        return tuple(
            line for piece in pieces for line in ((piece,) if isinstance(piece, str) else piece.lines)
        )

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {
            "page": self.page,
            "heading": self.heading,
            "text": self.text,
            "score": self.score,
        }
        return {**found, "title": self.title, "cautions": list(self.cautions)}


@dataclass(frozen=True, slots=True)
class Reply:
    """What is said to a question.

    abstained: the handbook has nothing on it, or it is not for a fitter; then there are no answers and
    `said` says so and names whom to ask. emergency is said before everything else. `plan` follows
    from what was understood, with `case`; a side nobody said is planned as one foot.
    """

    question: str
    abstained: bool
    said: str
    emergency: str
    understood: tuple[Understood, ...]
    answers: tuple[Answer, ...]
    related: tuple[str, ...]
    plan: Plan | None
    case: Case | None
    asked: tuple[Question, ...]
    cautions: tuple[str, ...]
    deferral: str
    corrected: str | None = None

    def as_json(self) -> dict[str, Any]:
        """As in the contract, and what is said where nothing is answered."""
        return {
            "question": self.question,
            "abstained": self.abstained,
            "understood": [u.as_json() for u in self.understood],
            "answers": [a.as_json() for a in self.answers],
            "plan": self.plan.as_json() if self.plan else None,
            "cautions": list(self.cautions),
            "ask_next": [q.as_json() for q in self.asked],
            "deferral": self.deferral,
            "said": self.said,
            "emergency": self.emergency,
            "related": list(self.related),
            "corrected": self.corrected,
        }


class Answerer:
    """Answers from one book."""

    def __init__(self, book: Book, handbook: Handbook | None = None) -> None:
        self.book = book
        self.handbook = handbook or Handbook(book.folder)
        self.cues: Cues = read_cues(book.folder / "kb")
        self.refusals: Refusals = read_refusals(book.folder / "kb" / "refusals.yaml")
        self.subject = Subject(self.handbook, book.vocabulary, self.refusals)

    def reply(self, question: str, case: Case | None = None) -> Reply:
        """The reply to `question`; what it states is added to `case` where one is given."""
        understood = tuple(understand(question, self.book.vocabulary, self.cues))
        alarm = emergencies(question, self.cues)
        result = self.handbook.search(question, limit=MOST_ANSWERS + 4)
        found = self._reordered(result.hits, understood)
        stated = case_with(case or self._blank(), understood, self.book)
        plan = self._plan(stated) if understood or case else None
        refused = self._refused(question, result, understood)
        hits = () if refused else found
        answers = tuple(self._answer(hit) for hit in hits[:MOST_ANSWERS])
        deferral = self.book.vocabulary.deferral
        return Reply(
            question=question,
            abstained=not answers,
            said=refused,
            emergency=self._emergency(alarm),
            understood=understood,
            answers=answers,
            related=tuple(hit.page for hit in hits[MOST_ANSWERS:]),
            plan=plan,
            case=stated if plan else None,
            asked=(*self.sides_to_ask(understood), *(plan.ask_next if plan else ())),
            cautions=self._cautions(plan),
            deferral=deferral,
            corrected=result.corrected,
        )

    def _reordered(self, hits: tuple[Hit, ...], understood: tuple[Understood, ...]) -> tuple[Hit, ...]:
        """Pages that serve what was understood come a little earlier."""
        seen = {one.id for one in understood if one.state == "yes"}
        pages = self.handbook.pages

        def worth(hit: Hit) -> float:
            return hit.score * (1 + SERVES * len(seen.intersection(pages[hit.page].findings)))

        return tuple(sorted(hits, key=lambda hit: (-round(worth(hit), 4), hit.page)))

    def _blank(self) -> Case:
        from datetime import date

        return Case("asked", date.today())

    def _plan(self, case: Case) -> Plan:
        planner = self.book.planner
        return with_questions(planner, case, planner.plan(case), limit=3)

    def _refused(self, question: str, result: SearchResult, understood: tuple[Understood, ...]) -> str:
        """Why nothing is answered, or ''."""
        best = result.hits[0].coverage if result.hits else 0.0
        told = any(one.id not in SAYS_LITTLE for one in understood)
        if topic := self.refusals.topic_of(question, ordinary=not told and best < WELL_COVERED):
            return topic.say
        return "" if self.subject.answerable(question, result, told=told) else self.refusals.nothing

    def _emergency(self, found: list[Emergency]) -> str:
        return " ".join(emergency.say for emergency in found)

    def _answer(self, hit: Hit) -> Answer:
        """The passage, and in full the cautions of its section, or of the page where the section has none."""
        sections = sections_of(self.handbook.page(hit.page))
        section = next((s for s in sections if s.heading == hit.heading), None)
        cautions = (section.cautions if section else ()) or next(
            (s.cautions for s in sections if s.cautions), ()
        )
        text = hit.text.split(" Caution. ")[0]
        if text.startswith("Caution. "):
            # The passage is a caution itself: it is quoted whole, once.
            begun = text.removeprefix("Caution. ")[:60]
            whole = next((c for c in cautions if begun in c), text.removeprefix("Caution. "))
            text, cautions = f"Caution. {whole}", tuple(c for c in cautions if c != whole)
        return Answer(
            hit.page, hit.title, hit.heading, text, hit.score, cautions, quote=quoted(text, section)
        )

    def sides_to_ask(self, understood: tuple[Understood, ...]) -> tuple[Question, ...]:
        """Which foot, for each finding said without one."""
        found = []
        for one in understood:
            if one.side == UNSAID and one.state != "unknown":
                term = self.book.vocabulary.by_id[one.id]
                text = f"{term.label}: which foot, left, right or both?"
                found.append(
                    Question(
                        one.id, UNSAID, term.label, text, "the plan takes one foot until it is said", 0.0
                    )
                )
        return tuple(found)

    def _cautions(self, plan: Plan | None) -> tuple[str, ...]:
        return plan.cautions if plan else self.book.vocabulary.cautions


def case_with(case: Case, understood: tuple[Understood, ...], book: Book) -> Case:
    """`case` with what was understood; a side nobody said is the one that is named elsewhere, else the left.

    Where a text states two values for one thing it counts as unknown, to be asked.
    """
    default = _default_side(understood)
    findings = dict(case.findings)
    said: dict[tuple[str, str], str] = {}
    measures = dict(case.measures)
    for one in understood:
        for side in _sides(one, default):
            if one.value is not None:
                measure = book.vocabulary.measures.get(one.id)
                value = Decimal(str(one.value))
                if measure and measure.low <= value <= measure.high:
                    measures[one.id, side] = value
            elif one.id in book.vocabulary.findings:
                clash = said.get((one.id, side), one.state) != one.state
                said[one.id, side] = "unknown" if clash else one.state
    findings.update(said)
    return replace(case, findings=findings, measures=measures)


def _default_side(understood: tuple[Understood, ...]) -> str:
    named = {one.side for one in understood if one.side in SIDES}
    return named.pop() if len(named) == 1 else "left"


def _sides(one: Understood, default: str) -> tuple[str, ...]:
    if one.side == "both":
        return SIDES
    if one.side == UNSAID:
        return (default,)
    return (one.side if one.side in SIDES else PERSON,)
