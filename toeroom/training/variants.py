"""Variants of a case, so that none is learnt by heart: a finding changed or an unknown moved, feet exchanged.

A variant is a case like any other; its plan is worked out and never written down.
"""

from __future__ import annotations

import random
import re
from dataclasses import replace

from toeroom.case import Case, Place
from toeroom.lesson import Lesson
from toeroom.rules.asking import distance, profile
from toeroom.rules.planning import Planner
from toeroom.training.stages import is_told
from toeroom.vocabulary import PERSON, Finding

OTHER = {"left": "right", "right": "left", PERSON: PERSON}
LONGEST_SEED = 999_999
_SIDED = re.compile(r"\b(left|right)\b", re.IGNORECASE)


def variant(planner: Planner, case: Case, seed: int) -> Case:
    """The variant of `case` with this seed; 0 is the case itself. The same seed gives the same variant.

    The trainer's texts on single findings are left out, as they may no longer be true, and so are
    those that name a foot where the feet are exchanged.
    """
    if seed == 0:
        return case
    die = random.Random(f"{case.id} {seed}")
    changes = [changed_finding, moved_unknown]
    die.shuffle(changes)
    made = next((m for change in changes if (m := change(planner, case, die)) is not None), case)
    exchanged = made is case or die.random() < 0.5
    made = mirrored(made) if exchanged else made
    return replace(
        made,
        id=f"{case.id[:56]}-v{seed}",
        notes="",
        lesson=_lesson(planner, made, exchanged),
    )


def mirrored(case: Case) -> Case:
    """The same case with left and right exchanged."""
    short = case.choices.get("short_leg", "")
    return replace(
        case,
        findings={(i, OTHER[side]): value for (i, side), value in case.findings.items()},
        measures={(i, OTHER[side]): value for (i, side), value in case.measures.items()},
        choices={**case.choices, **({"short_leg": OTHER[short]} if short else {})},
        lesson=replace(case.lesson, volunteers=tuple((i, OTHER[side]) for i, side in case.lesson.volunteers)),
    )


def changed_finding(planner: Planner, case: Case, die: random.Random) -> Case | None:
    """A yes for a no or the other way about, such that the plan is another one and the case makes sense."""
    places = [place for place, value in case.findings.items() if value in ("yes", "no")]
    for place in die.sample(sorted(places), len(places)):
        value = "no" if case.findings[place] == "yes" else "yes"
        made = case.with_finding(*place, value)
        if _may_change(planner, case, place, value) and _another_plan(planner, case, made):
            return made
    return None


def _may_change(planner: Planner, case: Case, place: Place, value: str) -> bool:
    """Whether the change leaves a case that somebody could have: no wound on the sole of a whole skin."""
    term_id, side = place
    finding = planner.vocabulary.findings[term_id]
    if finding.asked_first or term_id in ("diabetes", "charcot_inactive"):
        return False
    if value == "yes":
        return not finding.asked_after or any(case.finding(i, side) == "yes" for i in finding.asked_after)
    return not _carries(planner, case, term_id, side)


def _carries(planner: Planner, case: Case, term_id: str, side: str) -> bool:
    """Whether something else that is yes makes sense only by this."""
    return any(_rests_on(case, other, term_id, side) for other in planner.vocabulary.findings.values())


def _rests_on(case: Case, other: Finding, term_id: str, side: str) -> bool:
    """Whether a finding that is yes makes sense only by `term_id`."""
    return (
        term_id in other.asked_after
        and case.finding(other.id, side) == "yes"
        and not any(case.finding(i, side) == "yes" for i in other.asked_after if i != term_id)
    )


def moved_unknown(planner: Planner, case: Case, die: random.Random) -> Case | None:
    """Something known that nobody can say now, and something unknown that is a plain no."""
    vocabulary = planner.vocabulary
    asked = [
        (i, side)
        for i, finding in vocabulary.findings.items()
        if not is_told(finding) and not finding.asked_after
        for side in vocabulary.sides_of(i)
    ]
    known = [p for p in asked if p in case.findings and not _carries(planner, case, *p)]
    open_ones = [place for place in asked if place not in case.findings]
    for place in die.sample(known, len(known)):
        left = {p: v for p, v in case.findings.items() if p != place}
        if open_ones:
            left[die.choice(open_ones)] = "no"
        made = replace(case, findings=left)
        if _another_plan(planner, case, made):
            return made
    return None


def _another_plan(planner: Planner, one: Case, other: Case) -> bool:
    a, b = (profile(planner, planner.run(case)) for case in (one, other))
    return distance(planner, a, b) > 0


def _lesson(planner: Planner, made: Case, exchanged: bool) -> Lesson:
    lesson = made.lesson
    stated = set(made.findings)
    advised = {line.id for line in planner.plain_plan(made).lines if line.advised}

    def kept(text: str) -> str:
        return "" if exchanged and _SIDED.search(text) else text

    return Lesson(
        teaches=kept(lesson.teaches),
        grade=lesson.grade,
        title=kept(lesson.title),
        opening=kept(lesson.opening),
        volunteers=tuple(place for place in lesson.volunteers if place in stated),
        covers=tuple(item for item in lesson.covers if item in advised),
    )
