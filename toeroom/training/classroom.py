"""A room's answers, read from one folder of session files: what was decided at each stage, by how many."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from toeroom.case import Place
from toeroom.errors import BadInput
from toeroom.rules.planning import Planner
from toeroom.training.marking import HURRY, STOPPING
from toeroom.training.session import Session, recorded_sessions
from toeroom.training.stages import STAGES
from toeroom.training.walk import Step
from toeroom.vocabulary import PERSON

GO_ON = "go on"


@dataclass
class Choice:
    """Who chose something at a stage, and for whom of them it was harmful. Codes, never names."""

    codes: list[str] = field(default_factory=list)
    harmful: int = 0


@dataclass
class Room:
    """A case as a room walks it. Of each trainee the latest session counts.

    stages: by stage, each choice with who made it: (`stop`, side), (`today`, person), (`go on`,
    person) or a plan item and side. asked: by stage, each term with how many asked about it.
    """

    case: str
    sessions: int = 0
    closed: int = 0
    decided: dict[str, int] = field(default_factory=dict)
    stages: dict[str, dict[Place, Choice]] = field(default_factory=dict)
    asked: dict[str, dict[str, int]] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        return {
            "case": self.case,
            "sessions": self.sessions,
            "closed": self.closed,
            "stages": [
                {
                    "stage": stage.id,
                    "decided": self.decided[stage.id],
                    "asked": [{"id": i, "count": n} for i, n in self.asked[stage.id].items()],
                    "choices": [
                        {
                            "item": item,
                            "side": side,
                            "count": len(choice.codes),
                            "harmful": choice.harmful,
                            "codes": choice.codes,
                        }
                        for (item, side), choice in self.stages[stage.id].items()
                    ],
                }
                for stage in STAGES
                if stage.id in self.decided
            ],
        }


def rooms(planner: Planner, folder: Path) -> tuple[Room, ...]:
    """The cases that are walked in a folder, each with its counts; variants by themselves."""
    if not folder.is_dir():
        raise BadInput("there is no such folder", file=str(folder), mend="name the folder of the sessions")
    latest: dict[tuple[str, str], Session] = {}
    for number, recorded in enumerate(recorded_sessions(folder)):
        try:
            session = Session.looked_at(planner, recorded)
        except BadInput:
            continue
        latest[session.walk.case.id, recorded.trainee or f"?{number}"] = session
    found: dict[str, Room] = {}
    for (case_id, code), session in sorted(latest.items()):
        room = found.setdefault(case_id, Room(case_id))
        room.sessions += 1
        room.closed += session.walk.closed
        for step in session.walk.steps:
            _count(room, step, code)
    for room in found.values():
        room.stages = {s: dict(sorted(c.items(), key=_most_first)) for s, c in room.stages.items()}
        room.asked = {s: dict(sorted(a.items(), key=lambda p: (-p[1], p[0]))) for s, a in room.asked.items()}
    return tuple(found.values())


def _count(room: Room, step: Step, code: str) -> None:
    stage = step.stage.id
    room.decided[stage] = room.decided.get(stage, 0) + 1
    choices = room.stages.setdefault(stage, {})
    harmful = {m.place for m in step.marks if m.verdict == "harmful"}
    gone_on = any(m.item == STOPPING and m.verdict == "harmful" for m in step.marks)
    for place in _chosen(step):
        choice = choices.setdefault(place, Choice())
        choice.codes.append(code)
        choice.harmful += place in harmful or (place[0] == GO_ON and gone_on)
    asked = room.asked.setdefault(stage, {})
    for one in step.asked:
        asked[one.term.id] = asked.get(one.term.id, 0) + 1


def _chosen(step: Step) -> Iterable[Place]:
    decision = step.decision
    yield from ((STOPPING, side) for side in sorted(decision.stop))
    if not decision.stop:
        yield GO_ON, PERSON
    elif decision.how_fast == "today":
        yield HURRY, PERSON
    yield from sorted(decision.items)


def _most_first(pair: tuple[Place, Choice]) -> tuple[int, int, Place]:
    (item, side), choice = pair
    first = 0 if item in (STOPPING, HURRY, GO_ON) else 1
    return first, -len(choice.codes), (item, side)
