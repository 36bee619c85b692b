"""What would change in a plan if something were otherwise."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Any

from toeroom.case import VALUES, Case, number_in_range
from toeroom.errors import BadInput, nearest
from toeroom.plan import Plan
from toeroom.vocabulary import PERSON, SECTIONS, SIDES, Vocabulary


@dataclass(frozen=True, slots=True)
class Change:
    """An item whose standing differs. before, after: advised, held_back or absent; or figures that differ."""

    id: str
    side: str
    label: str
    section: str
    before: str
    after: str

    @property
    def kind(self) -> str:
        """What becomes of the item: comes in, goes out, is held back, is free again, or other figures."""
        if self.after == "absent":
            return "goes out"
        if self.after.startswith("held_back"):
            return "is held back" if not self.before.startswith("held_back") else "other figures"
        if self.before == "absent":
            return "comes in"
        return "is free again" if self.before.startswith("held_back") else "other figures"

    @property
    def named(self) -> str:
        """`Deep shoe · left foot`."""
        return self.label if self.side == PERSON else f"{self.label} · {self.side} foot"

    @property
    def words(self) -> str:
        """`Deep shoe · left foot: absent → advised`."""
        return f"{self.named}: {self.before} → {self.after}".replace("_", " ")

    def as_json(self) -> dict[str, Any]:
        return {"id": self.id, "side": self.side, "before": self.before, "after": self.after}


def supposed(case: Case, vocabulary: Vocabulary, texts: list[str]) -> Case:
    """`case` with each `ID[@SIDE]=VALUE` of `texts` set; a foot's id without a side is set on both feet.

    Raises `BadInput` for what is no finding, measure or choice, or not a value of it.
    """
    for text in texts:
        match = re.fullmatch(r"([a-z_]+)(?:@([a-z]+))?=(.+)", text.strip())
        if not match:
            raise BadInput(f"'{text}' is no supposition", file="--what-if", mend="write FINDING@SIDE=yes")
        case = _with(case, vocabulary, match[1], match[2], match[3].strip())
    return case


def _with(case: Case, vocabulary: Vocabulary, term_id: str, side: str | None, value: str) -> Case:
    known = {**vocabulary.findings, **vocabulary.measures, **vocabulary.choices}
    if term_id not in known:
        mend = nearest(term_id, known) or "see 'toeroom words'"
        raise BadInput(f"'{term_id}' cannot be supposed", file="--what-if", mend=mend)
    allowed = vocabulary.sides_of(term_id)
    if side is not None and side not in allowed:
        raise BadInput(
            f"'{term_id}' does not stand on '{side}'", file="--what-if", mend=f"use {' or '.join(allowed)}"
        )
    sides = (side,) if side else allowed
    if term_id in vocabulary.findings:
        if value.lower() not in VALUES:
            raise BadInput(
                f"'{term_id}' cannot be '{value}'", file="--what-if", mend="use yes, no or unknown"
            )
        for one in sides:
            case = case.with_finding(term_id, one, VALUES[value.lower()])
        return case
    if term_id in vocabulary.choices:
        options = vocabulary.choices[term_id].one_of
        if value not in options:
            raise BadInput(
                f"'{term_id}' cannot be '{value}'", file="--what-if", mend=f"use {' or '.join(options)}"
            )
        return replace(case, choices={**case.choices, term_id: value})
    try:
        number = number_in_range(vocabulary.measures[term_id], value)
    except ValueError as error:
        what, _, mend = str(error).partition("; ")
        raise BadInput(what, file="--what-if", mend=mend) from None
    return replace(case, measures={**case.measures, **{(term_id, one): number for one in sides}})


def stop_in_words(before: Plan, after: Plan) -> str:
    """Whether the fitting would stop or go on; '' where that stays as it is."""
    if before.stop == after.stop:
        return ""
    return "the fitting would stop" if after.stop else "the fitting would go on"


def changes(before: Plan, after: Plan) -> tuple[Change, ...]:
    """Item by item what differs between two plans, in the order of a plan."""
    lines = {**after.by_place, **before.by_place}
    found = []
    for (item, side), line in lines.items():
        was, now = before.line(item, side), after.line(item, side)
        old = was.standing if was else "absent"
        new = now.standing if now else "absent"
        if was and now and old == new and was.detail != now.detail:
            old, new = (f"{s} {d}" for s, d in ((old, was.detail), (new, now.detail)))
        if old != new:
            found.append((line, Change(item, side, line.label, line.section, old, new)))
    order = (*SIDES, PERSON)
    found.sort(key=lambda pair: (SECTIONS.index(pair[1].section), pair[1].id, order.index(pair[1].side)))
    return tuple(change for _, change in found)
