"""What each abnormality of a foot is accommodated by, as payers ask to see it (DME MAC, examinations)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from toeroom.papers.feet import Findings
from toeroom.plan import Line, Plan
from toeroom.vocabulary import SIDES
from toeroom.wording import leaves

ABNORMAL = ("skin", "shape", "joints", "feeling")
MADE = ("footwear", "build", "insert", "alteration", "socks")
"""Sections of a plan that are made, bought or worn, and so accommodate something."""

CLINICIAN = "clinician"
"""What a clinician does or decides accommodates nothing by itself: it is a referral."""


@dataclass(frozen=True, slots=True)
class Accommodation:
    """An abnormality of a foot: by what it is accommodated, what is held back, who else sees to it."""

    finding: str
    side: str
    by: tuple[str, ...]
    held_back: tuple[str, ...]
    referred: tuple[str, ...]


def accommodations(plan: Plan, findings: Findings) -> tuple[Accommodation, ...]:
    """Every abnormality found, foot after foot, with what the plan does about it."""
    rests_on = {
        (line.id, line.side): {(m.id, m.side) for m in leaves(line.reasons, plan)} for line in plan.lines
    }
    found = []
    for side in SIDES:
        for term in findings.labels_of(side, ABNORMAL):
            lines = [line for line in plan.lines if (term.id, side) in rests_on[line.id, line.side]]
            here = [line for line in lines if line.side in (side, "person")]
            made = [line for line in here if line.section in MADE and line.by != CLINICIAN]
            theirs = [line for line in here if line.section in ("stop", *MADE) and line.by == CLINICIAN]
            found.append(
                Accommodation(
                    term.label,
                    side,
                    _labels(line for line in made if line.advised),
                    _labels(line for line in made if not line.advised),
                    _labels(line for line in theirs if line.advised),
                )
            )
    return tuple(found)


def _labels(lines: Iterable[Line]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(line.label for line in lines))
