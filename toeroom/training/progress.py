"""What a trainee has practised, what is weak, and which case comes next. A code, never a name."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fsrs import Card, Rating, Scheduler

from toeroom.case import Case
from toeroom.lesson import GRADES
from toeroom.training.journal import Recorded
from toeroom.vocabulary import SECTIONS, Vocabulary

ASKING = "asking"
"""The topic beside the sections of the plan: whether what mattered was asked."""
RATINGS = ((90, Rating.Easy), (45, Rating.Good), (0, Rating.Hard))
"""From which score on a walk counts as what; below zero it is done again."""
COLUMNS = ("trainee", "case", "of", "grade", "at", "score", "harm", "decided", "asked", "steps", "seconds")
WEAK = 0.7
"""A topic below this share is weak."""


@dataclass(frozen=True, slots=True)
class Attempt:
    """A walk that was closed. `of` is the case, whatever variant of it was walked."""

    trainee: str
    case: str
    of: str
    at: datetime
    result: dict[str, Any]

    @property
    def score(self) -> int:
        return int(self.result["score"])

    def row(self) -> dict[str, object]:
        """As a line of the table of all attempts."""
        own = {"trainee": self.trainee, "case": self.case, "of": self.of, "at": self.at.isoformat()}
        return {column: own.get(column, self.result.get(column, "")) for column in COLUMNS}


@dataclass(frozen=True, slots=True)
class Standing:
    """How a case stands with a trainee: last score, times walked, the moment it is due again."""

    case: str
    last: int
    times: int
    due: datetime
    remembered: float


@dataclass(frozen=True, slots=True)
class Next:
    """What to walk next: a case, which variant of it, and why."""

    case: Case
    variant: int
    why: str


@dataclass(frozen=True, slots=True)
class Progress:
    """All that is known of a trainee, at one moment."""

    trainee: str
    attempts: tuple[Attempt, ...]
    standings: dict[str, Standing]
    topics: dict[str, float]

    @property
    def weak(self) -> tuple[str, ...]:
        """The weak topics, weakest first."""
        return tuple(
            sorted((t for t, share in self.topics.items() if share < WEAK), key=self.topics.__getitem__)
        )

    def as_json(self) -> dict[str, Any]:
        return {
            "trainee": self.trainee,
            "attempts": [attempt.row() for attempt in self.attempts],
            "cases": [
                {"case": s.case, "last": s.last, "times": s.times, "due": s.due.isoformat()}
                for s in self.standings.values()
            ],
            "topics": {topic: round(share, 3) for topic, share in self.topics.items()},
            "weak": list(self.weak),
        }


def attempts(recorded: Iterable[Recorded], trainee: str = "") -> tuple[Attempt, ...]:
    """The closed walks in session files, of one trainee or of all who have a code, oldest first."""
    found = []
    for one in recorded:
        if one.result is not None and one.trainee and trainee in ("", one.trainee):
            at = datetime.fromisoformat(str(one.events[-1]["at"]))
            found.append(Attempt(one.trainee, str(one.head["case"]), one.of, at, one.result))
    return tuple(sorted(found, key=lambda attempt: (attempt.at, attempt.case)))


def rating(score: int) -> Rating:
    """A score as the scheduler wants it: any harm means again."""
    return next((rate for least, rate in RATINGS if score >= least), Rating.Again)


def progress(recorded: Iterable[Recorded], trainee: str, now: datetime) -> Progress:
    """How a trainee stands at the moment `now` (UTC). The same sessions give the same progress."""
    own = attempts(recorded, trainee)
    return Progress(trainee, own, _standings(own, now), _topics(own))


def _standings(own: Sequence[Attempt], now: datetime) -> dict[str, Standing]:
    # Whole days and no chance: a class is not scheduled by the minute, and a test must be able to tell.
    scheduler = Scheduler(enable_fuzzing=False, learning_steps=(), relearning_steps=())
    cards: dict[str, Card] = {}
    found: dict[str, Standing] = {}
    for attempt in own:
        card = cards.get(attempt.of) or Card(card_id=len(cards) + 1, due=attempt.at)
        card, _ = scheduler.review_card(card, rating(attempt.score), attempt.at)
        cards[attempt.of] = card
        times = found[attempt.of].times + 1 if attempt.of in found else 1
        remembered = scheduler.get_card_retrievability(card, now)
        found[attempt.of] = Standing(attempt.of, attempt.score, times, card.due, round(remembered, 4))
    return found


def _topics(own: Sequence[Attempt]) -> dict[str, float]:
    """The share that was right of what was due, by section, over the latest walk of each case."""
    latest = {attempt.of: attempt for attempt in own}.values()
    found: dict[str, float] = {}
    for section in SECTIONS:
        counts = [attempt.result["sections"].get(section, {}) for attempt in latest]
        right = sum(c.get("right", 0) for c in counts)
        wrong = sum(c.get(verdict, 0) for c in counts for verdict in ("missed", "harmful"))
        if right + wrong:
            found[section] = right / (right + wrong)
    if latest:
        found[ASKING] = sum(float(attempt.result["asked"]) for attempt in latest) / len(latest)
    return found


def next_case(own: Progress, cases: Sequence[Case], vocabulary: Vocabulary, now: datetime) -> Next:
    """What is due and best forgotten first; else a new case, simple ones first, on what is weakest;
    else what falls due first. `cases` holds one case at least."""
    known = {case.id: case for case in cases}
    standings = [s for s in own.standings.values() if s.case in known]
    if due := [s for s in standings if s.due <= now]:
        first = min(due, key=lambda s: (s.remembered, s.case))
        return Next(known[first.case], first.times, "due again")
    if new := [case for case in cases if case.id not in own.standings]:
        case = min(new, key=lambda c: (_grade(c), _on_topic(c, own.weak, vocabulary), c.id))
        return Next(case, 0, "new")
    first = min(standings, key=lambda s: (s.due, s.case))
    return Next(known[first.case], first.times, f"due on {first.due:%Y-%m-%d}")


def _grade(case: Case) -> int:
    return GRADES.index(case.grade) if case.grade else len(GRADES)


def _on_topic(case: Case, weak: tuple[str, ...], vocabulary: Vocabulary) -> int:
    """The rank of the weakest topic that a case is there to teach."""
    taught = {vocabulary.plan_items[item].section for item in case.lesson.covers}
    return next((rank for rank, topic in enumerate(weak) if topic in taught), len(weak))


def as_csv(own: Iterable[Attempt]) -> str:
    """All attempts as a table, a line each."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(attempt.row() for attempt in own)
    return out.getvalue()
