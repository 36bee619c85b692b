"""A walk that is written down step by step, and can be gone on with."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from toeroom.case import Case, case_as_yaml, parse_case
from toeroom.errors import BadInput
from toeroom.rules.planning import Planner
from toeroom.training.decisions import Decision, decision_from, offer_of
from toeroom.training.journal import ENDING, FORMAT, Event, Journal, Recorded, read_journal
from toeroom.training.unfolding import Fact
from toeroom.training.walk import Step, Walk

Clock = Callable[[], datetime]


def now() -> datetime:
    """The present moment, to the second."""
    return datetime.now(UTC).replace(microsecond=0)


class Session:
    """A trainee's walk and its file. Every step is on the disk before it is answered.

    draft: what is about to be decided. seconds: how long somebody was here.
    """

    def __init__(self, walk: Walk, journal: Journal | None, trainee: str, clock: Clock) -> None:
        """`journal` is None where a session is only looked at."""
        self.walk, self._journal, self.trainee, self._clock = walk, journal, trainee, clock
        self.offer = offer_of(walk.planner)
        self.draft = Decision()
        self.seconds = 0.0
        self._last: datetime | None = None

    @classmethod
    def begin(
        cls,
        planner: Planner,
        case: Case,
        folder: Path,
        *,
        trainee: str = "",
        of: str = "",
        clock: Clock = now,
    ) -> Session:
        """A new session of `case`, with a file of its own in `folder`.

        `of` is the id of the case that it is a variant of.
        """
        name = f"{trainee or 'nobody'}-{case.id}-{clock():%Y%m%dT%H%M%S}"
        paths = (folder / f"{name}{more}{ENDING}" for more in ("", *(f"-{n}" for n in range(2, 100))))
        path = next((path for path in paths if not path.exists()), folder / f"{name}{ENDING}")
        session = cls(Walk(planner, case), Journal(path), trainee, clock)
        session._write(
            {
                "toeroom_training": FORMAT,
                "case": case.id,
                "of": of or case.id,
                "trainee": trainee,
                "book": planner.version,
                "case_file": case_as_yaml(case, planner.vocabulary),
            }
        )
        return session

    @classmethod
    def resume(cls, planner: Planner, recorded: Recorded, *, clock: Clock = now) -> Session:
        """Goes on with a session where it was. What was decided is marked by the rules of today."""
        session = cls.looked_at(planner, recorded, clock=clock)
        session._journal = Journal(recorded.path, whole=recorded.whole)
        session._write({"resumed": True})
        return session

    @classmethod
    def looked_at(cls, planner: Planner, recorded: Recorded, *, clock: Clock = now) -> Session:
        """A session as far as its file goes, which stays as it is."""
        case_file = str(recorded.head.get("case_file", ""))
        case = parse_case(case_file, planner.vocabulary, name=str(recorded.path))
        session = cls(Walk(planner, case), None, recorded.trainee, clock)
        for number, event in enumerate((recorded.head, *recorded.events), 1):
            try:
                session._replay(event)
            except (BadInput, KeyError, TypeError, ValueError) as error:
                raise BadInput(
                    f"this step cannot be taken again ({error})",
                    file=str(recorded.path),
                    line=number,
                    mend="the book has changed since; begin the case anew",
                ) from None
        return session

    @property
    def path(self) -> Path | None:
        """The file of the session."""
        return self._journal.path if self._journal else None

    # --- steps -------------------------------------------------------------------------------------
    def ask(self, term_id: str) -> tuple[Fact, ...]:
        """Asks about a term; see `Walk.ask`."""
        answer = self.walk.ask(term_id)
        self._write({"ask": term_id})
        return answer

    def sketch(self, decision: Decision) -> None:
        """Changes what is about to be decided."""
        if decision != self.draft:
            self.draft = decision
            self._write({"draft": decision.as_json()})

    def decide(self, *, end: bool = False) -> Step:
        """Commits to the draft; see `Walk.decide`."""
        step = self.walk.decide(self.draft, end=end)
        event: Event = {"decide": self.draft.as_json(), "end": end}
        if self.walk.closed:
            event["result"] = {**self.result(), "seconds": round(self.seconds + self._since(self._clock()))}
        self._write(event)
        return step

    def result(self) -> dict[str, Any]:
        """What the walk comes to, in the few numbers that progress and class look at."""
        told = self.walk.as_json()
        kept = ("score", "harm", "decided", "asked", "steps", "sections", "grade")
        return {key: told[key] for key in kept}

    # --- the file ----------------------------------------------------------------------------------
    def _since(self, at: datetime) -> float:
        return max(0.0, (at - self._last).total_seconds()) if self._last else 0.0

    def _write(self, event: Event) -> None:
        assert self._journal is not None
        at = self._clock()
        self._passed(at, away="resumed" in event)
        self._journal.add({"at": at.isoformat(), **event})

    def _passed(self, at: datetime, *, away: bool) -> None:
        """Counts the time since the step before, but not that in which nobody was here."""
        self.seconds += 0.0 if away else self._since(at)
        self._last = at

    def _replay(self, event: Event) -> None:
        self._passed(datetime.fromisoformat(event["at"]), away="resumed" in event)
        if "ask" in event:
            self.walk.ask(event["ask"])
        elif "draft" in event:
            self.draft = decision_from(self.offer, **event["draft"])
        elif "decide" in event:
            self.draft = decision_from(self.offer, **event["decide"])
            self.walk.decide(self.draft, end=bool(event["end"]))


def recorded_sessions(folder: Path) -> Iterator[Recorded]:
    """The sessions in a folder, oldest first; a file that cannot be read is passed over."""
    found = []
    for path in folder.glob(f"*{ENDING}"):
        try:
            found.append(read_journal(path))
        except BadInput:
            continue
    yield from sorted(found, key=lambda one: (str(one.head.get("at", "")), one.path.name))


def unfinished(folder: Path, trainee: str, case_id: str = "") -> Recorded | None:
    """The latest session of a trainee that is not closed; of any case, or of one."""
    own = [
        one
        for one in recorded_sessions(folder)
        if one.trainee == trainee and one.result is None and case_id in ("", one.of)
    ]
    return own[-1] if own else None
