"""A judged fit check as lines and as JSON."""

from __future__ import annotations

import textwrap
from typing import Any

from toeroom.case import Case
from toeroom.fit_check.judging import BLANK, HOLDS, Judged, Judgement
from toeroom.vocabulary import PERSON
from toeroom.wording import printable


def judgement_json(case: Case, judgement: Judgement, deferral: str) -> dict[str, Any]:
    """The check as plain values; `found` is empty where a point was not looked at."""
    check = judgement.check
    return {
        "case": case.id,
        "day": check.day.isoformat() if check.day else None,
        "by": check.by,
        "socks": check.socks,
        "points": [
            {
                "id": one.point.id,
                "side": one.side,
                "found": one.found,
                "verdict": one.verdict,
                "says": one.says,
                "source": one.source,
            }
            for one in judgement.judged
        ],
        "summary": judgement.summary,
        "deferral": deferral,
    }


def judgement_lines(case: Case, judgement: Judgement) -> list[str]:
    """The check in plain text: what was found, and what does not hold."""
    check = judgement.check
    head = [f"Fit check of {case.id}", str(check.day or "no day stated"), *([check.by] if check.by else [])]
    lines = [printable(" · ".join(head))]
    for side in dict.fromkeys(one.side for one in judgement.judged):
        lines += ["", "Both feet" if side == PERSON else f"{side.capitalize()} foot"]
        points = [one for one in judgement.judged if one.side == side]
        lines += [f"  {_line(one)}" for one in points if one.verdict != BLANK]
        blank = "; ".join(one.point.label.lower() for one in points if one.verdict == BLANK)
        if blank:
            lines += textwrap.wrap(f"  {BLANK}: {blank}", 98, subsequent_indent="    ")
    return [*lines, "", judgement.summary]


def _line(one: Judged) -> str:
    says = f" ({one.says})" if one.says else ""
    mark = "" if one.verdict == HOLDS else "! "
    return f"{mark}{one.point.label}: {one.found}: {one.verdict}{says}"
