"""A walk through a case: stage by stage what was asked and decided, and in the end what it comes to."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from toeroom.case import Case
from toeroom.errors import BadInput, nearest
from toeroom.plan import Question
from toeroom.rules.asking import ask_next
from toeroom.rules.planning import Planner
from toeroom.training.decisions import Decision
from toeroom.training.marking import Mark, Moment, mark, moment_of
from toeroom.training.scheme import MOST_QUESTIONS, Tally, score
from toeroom.training.stages import STAGES, Stage, stage_of
from toeroom.training.unfolding import Fact, Unfolding
from toeroom.vocabulary import Term


@dataclass(frozen=True, slots=True)
class Asked:
    """A question that was asked, at which stage, and what it was worth then."""

    term: Term
    stage: int
    worth: float


@dataclass(frozen=True, slots=True)
class Step:
    """A stage that was decided on: the moment, the decision, its marks, what was left unasked.

    left: the questions worth most that were still open, best first, both feet of a term as one.
    """

    stage: Stage
    moment: Moment
    decision: Decision
    marks: tuple[Mark, ...]
    asked: tuple[Asked, ...]
    left: tuple[tuple[Term, float], ...]
    best: Question | None


@dataclass
class Walk:
    """A trainee's way through a case. Asking and deciding move it on; nothing takes a step back.

    `closed` once the last stage is decided on, or the trainee has ended it before.
    """

    planner: Planner
    case: Case
    stage: int = 0
    asked: list[Asked] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)
    closed: bool = False

    @cached_property
    def unfolding(self) -> Unfolding:
        return Unfolding(self.planner, self.case)

    @property
    def asked_ids(self) -> tuple[str, ...]:
        """The terms asked about so far, in order."""
        return tuple(asked.term.id for asked in self.asked)

    @property
    def known(self) -> Case:
        """The case as far as it is known now."""
        return self.unfolding.known(self.stage, self.asked_ids)

    @property
    def decision(self) -> Decision:
        """What was decided last, and stands."""
        return self.steps[-1].decision if self.steps else Decision()

    def may_ask(self) -> tuple[Term, ...]:
        """What can be asked about now."""
        return () if self.closed else self.unfolding.may_ask(self.stage, self.asked_ids)

    def ask(self, term_id: str) -> tuple[Fact, ...]:
        """Asks about a term, which costs a step; `BadInput` where it cannot be asked about now."""
        may = {term.id: term for term in self.may_ask()}
        if term_id not in may:
            raise BadInput(self._not_now(term_id), mend=nearest(term_id, may) or "ask something else")
        worth = sum(q.weight for q in ask_next(self.planner, self.known, 99, among={term_id}))
        self.asked.append(Asked(may[term_id], self.stage, round(worth, 2)))
        return self.unfolding.answer(term_id)

    def _not_now(self, term_id: str) -> str:
        if self.closed:
            return "this walk is over"
        if term_id in self.asked_ids:
            return f"'{term_id}' was asked already"
        term = self.unfolding.terms.get(term_id)
        if term is None:
            return f"'{term_id[:80]}' is not known here"
        if stage_of(term) > self.stage:
            return f"'{term_id}' comes later"
        silent = term in self.unfolding.silent(stage_of(term))
        return f"nothing here tells of '{term_id}'" if silent else f"'{term_id}' is known already"

    def decide(self, decision: Decision, *, end: bool = False) -> Step:
        """Commits to a decision and goes on to the next stage; `end` closes the walk here."""
        if self.closed:
            raise BadInput("this walk is over", mend="begin another")
        moment = moment_of(self.planner, self.known)
        closing = end or self.stage == len(STAGES) - 1
        left, best = self._left(moment, decision, closing)
        asked = tuple(asked for asked in self.asked if asked.stage == self.stage)
        marks = mark(self.planner, moment, decision)
        step = Step(STAGES[self.stage], moment, decision, marks, asked, left, best)
        self.steps.append(step)
        self.closed = closing
        if not closing:
            self.stage += 1
        return step

    def _left(
        self, moment: Moment, decision: Decision, closing: bool
    ) -> tuple[tuple[tuple[Term, float], ...], Question | None]:
        """The questions still worth most at this stage, and at all later ones where the walk ends here.

        Once nothing is left to be fitted today, and the trainee has stopped, none is.
        """
        if moment.over and decision.stop:
            return (), None
        found: list[tuple[Term, float]] = []
        best: Question | None = None
        last = len(STAGES) - 1 if closing else self.stage
        for index in range(self.stage, last + 1):
            may = {t.id: t for t in self.unfolding.may_ask(index, self.asked_ids) if stage_of(t) == index}
            questions = ask_next(self.planner, moment.known, 999, among=may)
            if questions and (best is None or questions[0].weight > best.weight):
                best = questions[0]
            worth: dict[str, float] = {}
            for question in questions:
                worth[question.id] = worth.get(question.id, 0.0) + question.weight
            ordered = sorted(worth, key=lambda i: (-worth[i], i))[:MOST_QUESTIONS]
            found += [(may[i], round(worth[i], 2)) for i in ordered]
        return tuple(found), best

    # --- what it comes to ------------------------------------------------------------------------------
    @property
    def marks(self) -> tuple[Mark, ...]:
        """The marks of the whole walk: harm whenever it was done, all else as it stood in the end."""
        if not self.steps:
            return ()
        harm = {(m.item, m.side, m.kind): m for s in self.steps for m in s.marks if m.verdict == "harmful"}
        return (*harm.values(), *(m for m in self.steps[-1].marks if m.verdict != "harmful"))

    @property
    def tally(self) -> Tally:
        """The weights that make the score."""
        marks = self.marks
        weights = {v: sum(m.weight for m in marks if m.verdict == v) for v in ("right", "missed", "needless")}
        return Tally(
            **weights,
            harm=round(sum(m.weight for m in marks if m.verdict == "harmful")),
            asked=sum(asked.worth for asked in self.asked),
            left=sum(worth for step in self.steps for _, worth in step.left),
        )

    @property
    def score(self) -> int:
        """As the scheme has it."""
        return score(self.tally)

    def as_json(self) -> dict[str, Any]:
        """What a marking script wants to know."""
        tally = self.tally
        return {
            "case": self.case.id,
            "grade": self.case.grade,
            "closed": self.closed,
            "score": score(tally),
            "harm": tally.harm,
            "decided": round(tally.decided_share, 3),
            "asked": round(tally.asked_share, 3),
            "steps": len(self.asked),
            "marks": [m.as_json() for m in self.marks],
            "sections": sections(self.planner, self.marks),
            "stages": [_step_json(step) for step in self.steps],
            "deferral": self.planner.vocabulary.deferral,
            "book": {"rules": len(self.planner.rules), "version": self.planner.version},
        }


def sections(planner: Planner, marks: tuple[Mark, ...]) -> dict[str, dict[str, int]]:
    """How often each verdict was given, by section of the plan; stopping and speed belong to `stop`."""
    found: dict[str, dict[str, int]] = {}
    for one in marks:
        item = planner.vocabulary.plan_items.get(one.item)
        counts = found.setdefault(item.section if item else "stop", {})
        counts[one.verdict] = counts.get(one.verdict, 0) + 1
    return found


def _step_json(step: Step) -> dict[str, Any]:
    plan = step.moment.plan
    return {
        "stage": step.stage.id,
        "decision": step.decision.as_json(),
        "plan": {
            "stop": sorted(step.moment.stopped),
            "urgent": step.moment.urgent,
            "advised": [f"{line.id}@{line.side}" for line in plan.lines if line.advised],
            "held_back": [f"{line.id}@{line.side}" for line in plan.lines if not line.advised],
        },
        "marks": [m.as_json() for m in step.marks],
        "asked": [{"id": a.term.id, "worth": a.worth} for a in step.asked],
        "left": [{"id": term.id, "worth": worth} for term, worth in step.left],
    }
