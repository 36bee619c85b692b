"""A plan: the one shape that text, JSON, screen and print all show."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

Number = int | float


@dataclass(frozen=True, slots=True)
class Match:
    """Something a rule found true.

    kind: finding, measure, choice, calculated, derived or plan. `from_` leads further back: what a
    calculated value was worked out from, or what filled in a finding nobody stated (by `rule`).
    """

    kind: str
    id: str
    side: str
    value: str | Number
    rule: str = ""
    from_: tuple[Match, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """As in the contract: `is` for words, `value` for numbers."""
        key = "is" if isinstance(self.value, str) and self.kind != "calculated" else "value"
        found: dict[str, Any] = {self.kind: self.id, "side": self.side, key: self.value}
        if self.rule:
            found["read_by"] = self.rule
        if self.from_:
            found["from"] = [match.as_json() for match in self.from_]
        return found


@dataclass(frozen=True, slots=True)
class Reason:
    """A rule that spoke, and what it found true."""

    rule: str
    title: str
    matched: tuple[Match, ...]

    def as_json(self) -> dict[str, Any]:
        return {"rule": self.rule, "title": self.title, "matched": [m.as_json() for m in self.matched]}


@dataclass(frozen=True, slots=True)
class Line:
    """A plan item on a side. `standing` is advised or held_back; in `detail` days are ISO text."""

    id: str
    side: str
    section: str
    label: str
    act: str
    by: str
    standing: str
    reasons: tuple[Reason, ...]
    held_back_by: tuple[Reason, ...]
    cautions: tuple[str, ...]
    pages: tuple[str, ...]
    sources: tuple[str, ...]
    detail: dict[str, Number | str]
    routine: bool

    @property
    def advised(self) -> bool:
        return self.standing == "advised"

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {
            "id": self.id,
            "side": self.side,
            "section": self.section,
            "label": self.label,
            "act": self.act,
            "standing": self.standing,
            "by": self.by,
            "reasons": [r.as_json() for r in self.reasons],
            "cautions": list(self.cautions),
            "pages": list(self.pages),
            "sources": list(self.sources),
            "detail": self.detail,
        }
        if self.held_back_by:
            found["held_back_by"] = [r.as_json() for r in self.held_back_by]
        return found


@dataclass(frozen=True, slots=True)
class State:
    """A derived state that was concluded. `shown` is no for steps on the way to another."""

    id: str
    side: str
    label: str
    value: str
    reasons: tuple[Reason, ...]
    provisional: bool = False
    shown: bool = True

    def as_json(self) -> dict[str, Any]:
        found: dict[str, Any] = {"id": self.id, "side": self.side, "value": self.value}
        if self.provisional:
            found["provisional"] = True
        return {**found, "reasons": [r.as_json() for r in self.reasons]}


@dataclass(frozen=True, slots=True)
class Question:
    """What to ask next, about which side, and how far the answer would move the plan."""

    id: str
    side: str
    label: str
    text: str
    why: str
    weight: float

    def as_json(self) -> dict[str, Any]:
        return {
            "finding": self.id,
            "side": self.side,
            "question": self.text,
            "why": self.why,
            "weight": self.weight,
        }


@dataclass(frozen=True, slots=True)
class Plan:
    """All that follows from a case."""

    case: str
    title: str
    as_of: date
    stop: bool
    lines: tuple[Line, ...]
    states: tuple[State, ...]
    cautions: tuple[str, ...]
    deferral: str
    book_rules: int
    book_version: str
    ask_next: tuple[Question, ...] = ()
    by_place: dict[tuple[str, str], Line] = field(default_factory=dict, compare=False)

    def line(self, item: str, side: str) -> Line | None:
        """The line of an item on a side, or None."""
        return self.by_place.get((item, side))

    def state(self, term_id: str, side: str) -> str:
        """The value of a derived state, or '' where it was not concluded."""
        return next((s.value for s in self.states if (s.id, s.side) == (term_id, side)), "")

    def as_json(self) -> dict[str, Any]:
        """As in the contract."""
        return {
            "case": self.case,
            "as_of": self.as_of.isoformat(),
            "stop": self.stop,
            "items": [line.as_json() for line in self.lines],
            "derived": [state.as_json() for state in self.states],
            "cautions": list(self.cautions),
            "ask_next": [question.as_json() for question in self.ask_next],
            "deferral": self.deferral,
            "book": {"rules": self.book_rules, "version": self.book_version},
        }
