"""What a rule is: conditions, conclusions and who stands behind it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from toeroom.vocabulary import PERSON, SIDES

STAGES = ("assess", "advise", "guard")


@dataclass(frozen=True, slots=True)
class Test:
    """One question about one term.

    kind: finding, measure, choice, calculated, derived or plan (an item advised so far).
    op: `=`, `!=`, `<`, `<=`, `>`, `>=`, `stated`, `missing`, `this side` (a choice names this foot).
    scope: `foot` or `person`, that of the term.
    """

    kind: str
    id: str
    op: str
    value: str | Decimal
    scope: str
    line: int = 0

    @property
    def of_absence(self) -> bool:
        """Whether it holds because something is not there."""
        return self.kind in ("derived", "plan") and (self.op == "!=" or self.value == "no")


@dataclass(frozen=True, slots=True)
class All:
    """Every part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class AnyOf:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Feet:
    """`part` looked at on feet other than the rule's own.

    which: `either foot` (one that is there), `each foot` (all that are there), `other foot`,
    `both sides` (left and right, there or not), `either stump` (what is stated of a side whose leg
    is amputated).
    """

    which: str
    part: Condition


Condition = Test | All | AnyOf | Feet


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution and the plan items it stands on; with none it stands on the rule's own, or on the plan.

    `{id}` in the text stands for the value of a calculation.
    """

    text: str
    on: tuple[str, ...] = ()

    @property
    def named(self) -> tuple[str, ...]:
        """The ids whose values the text shows."""
        return tuple(re.findall(r"\{([a-z_]+)\}", self.text))


@dataclass(frozen=True, slots=True)
class Then:
    """What a rule concludes when its condition holds.

    reads fills a finding nobody stated; corrects replaces one that was stated no.
    rules_out: items that its words speak against; a walk through a case is marked by it, the plan is not
        changed.
    detail: item id to names and values; a value is a number or the id of a measure or calculation,
        of one foot where `@left` or `@right` follows.
    """

    reads: tuple[tuple[str, str], ...] = ()
    corrects: tuple[tuple[str, str], ...] = ()
    conclude: tuple[tuple[str, str], ...] = ()
    advise: tuple[str, ...] = ()
    advise_person: tuple[str, ...] = ()
    hold_back: tuple[str, ...] = ()
    rules_out: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    ask: tuple[str, ...] = ()
    detail: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class Source:
    """A key of sources.yaml and the place in it."""

    key: str
    at: str = ""

    def __str__(self) -> str:
        return f"{self.key}, {self.at}" if self.at else self.key


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of the book. `about` is foot or person; `stage` and `step` say when it runs.

    `reviewed_by`: who looked at it last; '' where that was its author.
    """

    id: str
    title: str
    about: str
    stage: str
    step: int
    when: Condition
    then: Then
    pages: tuple[str, ...]
    sources: tuple[Source, ...]
    author: str
    reviewed: str
    review_by: str
    reviewed_by: str = ""
    status: str = "active"
    replaced_by: str = ""
    without_feet: bool = False
    fires: dict[str, object] = field(default_factory=dict)
    silent: dict[str, object] = field(default_factory=dict)
    file: str = ""
    line: int = 0

    @property
    def sides(self) -> tuple[str, ...]:
        """Where the rule is tried: both feet, or the person."""
        return SIDES if self.about == "foot" else (PERSON,)

    @property
    def when_it_runs(self) -> tuple[int, int]:
        """Stage and step as a number pair that sorts."""
        return STAGES.index(self.stage), self.step


def tests_of(condition: Condition) -> Iterator[Test]:
    """Every test in a condition, in the order written."""
    if isinstance(condition, Test):
        yield condition
    elif isinstance(condition, Feet):
        yield from tests_of(condition.part)
    else:
        for part in condition.parts:
            yield from tests_of(part)
