"""What is known of a case in short words: sides, findings, numbers, reasons."""

from __future__ import annotations

from collections.abc import Iterable

from toeroom.plan import Match, Number, Plan, Reason
from toeroom.vocabulary import PERSON, SIDES, Term, Vocabulary

MOST_CAUSES = 3
"""More than these are counted, not listed."""

SECTION_TITLES = {
    "stop": "Refer",
    "footwear": "Shoe",
    "build": "Build",
    "insert": "Insert",
    "alteration": "Repairer",
    "socks": "Socks",
    "measuring": "Measure",
    "advice": "Advise",
    "paperwork": "Papers",
    "followup": "After",
}


def printable(text: str) -> str:
    """`text` without control characters, so that no terminal takes it for a command."""
    return "".join(c if c.isprintable() else " " for c in text)


def sides_in_words(sides: Iterable[str]) -> str:
    """`left` or `both feet`; '' for the person alone; with a foot too: `left and in general`."""
    found = set(sides)
    feet = "both feet" if found >= set(SIDES) else next((side for side in SIDES if side in found), "")
    return f"{feet} and in general" if feet and PERSON in found else feet


def number_in_words(value: Number) -> str:
    """At most two decimals, and none that say nothing."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def unit_of(term: Term) -> str:
    """The unit of a measure or calculation; '' where it has none."""
    of_id = "mm" if term.id.endswith("_mm") else "°C" if term.id.endswith("_c") else ""
    return str(getattr(term, "unit", "")) or of_id


def in_a_sentence(label: str) -> str:
    """A label inside a sentence: its first letter small, names and shorthand as they are written."""
    return label[0].lower() + label[1:] if label[1:2].islower() else label


def match_in_words(match: Match, vocabulary: Vocabulary, *, with_side: bool = True) -> str:
    """A matched finding, number or state: `bunion, left`, `toe pressure 28 mmHg, left`."""
    term = vocabulary.by_id.get(match.id)
    label = (term.label if term else match.id).strip()
    label = in_a_sentence(label)
    unit = unit_of(term) if term else ""
    if match.value in ("yes", "advised"):
        text = label
    elif match.value in ("no", "not advised"):
        text = f"no {label}" if match.kind != "plan" else f"{label} not advised"
    elif match.value == "unknown":
        text = f"{label} not known"
    elif isinstance(match.value, str):
        text = f"{label}: {match.value}" if match.kind != "derived" else f"{label} {match.value}"
    else:
        text = f"{label} {number_in_words(match.value)} {unit}".strip()
    return f"{text}, {match.side}" if with_side and match.side in SIDES else text


def because(reasons: Iterable[Reason], plan: Plan, vocabulary: Vocabulary, sides: Iterable[str] = ()) -> str:
    """What led to an item on `sides`, down to what was stated, each thing once: one short line.

    That something is absent or unknown is left out: it explains little beside what is there. A cause
    on just the feet of the item does not name them again.
    """
    own = set(sides) & set(SIDES)
    groups: dict[str, list[str]] = {}
    for match in leaves(reasons, plan):
        if not _says_little(match):
            groups.setdefault(match_in_words(match, vocabulary, with_side=False), []).append(match.side)
    causes = [
        text if set(found) & set(SIDES) == own else f"{text}{_of_side(found)}"
        for text, found in groups.items()
    ]
    if len(causes) > MOST_CAUSES + 1:
        causes = [*causes[:MOST_CAUSES], f"and {len(causes) - MOST_CAUSES} more"]
    return "; ".join(causes)


_KEPT = ("ulcer_risk", "no_fitting_today")
"""States that say more by their name than by what led to them."""


def leaves(reasons: Iterable[Reason], plan: Plan) -> list[Match]:
    """What `reasons` rest on: states and plan items are replaced by what they rest on."""
    found: dict[Match, None] = {}
    seen: set[Match] = set()
    waiting = [match for reason in reasons for match in reason.matched]
    while waiting:
        match = waiting.pop(0)
        if match in seen:
            continue
        seen.add(match)
        rests_on = () if match.id in _KEPT else _rests_on(match, plan)
        if rests_on:
            waiting = [m for reason in rests_on for m in reason.matched] + waiting
        elif match.kind != "plan":
            found[match] = None
    return list(found)


def _rests_on(match: Match, plan: Plan) -> tuple[Reason, ...]:
    if match.kind == "plan":
        line = plan.line(match.id, match.side)
        return line.reasons if line else ()
    if match.kind == "derived":
        for state in plan.states:
            if (state.id, state.side, state.value) == (match.id, match.side, match.value):
                return state.reasons
    return ()


def _says_little(match: Match) -> bool:
    """Tests that something is absent or unknown explain little beside what is there."""
    return match.value in ("no", "unknown", "not advised", "missing") or str(match.value).startswith("not ")


def _of_side(sides: list[str]) -> str:
    feet = [side for side in SIDES if side in sides]
    return f", {' and '.join(feet)}" if feet else ""
