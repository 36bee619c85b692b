"""The `fit_check` block of a case file: read strictly, and written back to the same."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal

from toeroom.errors import BadInput, nearest
from toeroom.fit_check.points import BY_ID, POINTS, FitCheck, Place, Point, Value
from toeroom.vocabulary import PERSON, SIDES
from toeroom.yamltree import Node

KEY = "fit_check"
TEXTS = {"by": 12, "socks": 120}
"""Texts of the block and how long they may be: initials, never a name; what was worn."""
ANSWERS = {"yes": "yes", "true": "yes", "no": "no", "false": "no", "unknown": "unknown"}
Fault = Callable[[str, Node, str], BadInput]
Day = Callable[[Node, str], date]


def read_block(node: Node | None, fault: Fault, day: Day) -> FitCheck | None:
    """The fit check in a case's tree, None where there is none; `fault` makes what is raised."""
    if node is None or node.value is None:
        return None
    found: dict[Place, Value] = {}
    texts = {"by": "", "socks": ""}
    when = None
    for key, inner in _entries(node, KEY, ("day", *TEXTS, PERSON, *SIDES), fault):
        if key == "day":
            when = day(inner, key)
        elif key in TEXTS:
            texts[key] = _text(key, inner, fault)
        else:
            scope = PERSON if key == PERSON else "foot"
            known = [point.id for point in POINTS if point.scope == scope]
            for term, value in _entries(inner, key, known, fault):
                found[term, key] = _value(BY_ID[term], value, fault)
    return FitCheck(when, texts["by"], texts["socks"], found)


def answer(point: Point, text: str) -> Value:
    """What `text` answers to a point; `ValueError` ("what; mend") where it is no answer."""
    word = text.strip().lower()
    if word == "unknown":
        return word
    if not point.unit:
        if word not in ANSWERS:
            raise ValueError(f"'{point.id}' cannot be '{text or 'nothing'}'; write yes, no or unknown")
        return ANSWERS[word]
    if not re.fullmatch(r"[+-]?[0-9]{1,4}(\.[0-9]{1,2})?", word):
        raise ValueError(
            f"'{point.id}' cannot be '{text or 'nothing'}'; write a plain number of {point.unit}, or unknown"
        )
    number = Decimal(word)
    if not point.low <= number <= point.high:
        raise ValueError(
            f"'{point.id}' {number} is out of range; {point.low} to {point.high} {point.unit}, or unknown"
        )
    return number


def block_lines(check: FitCheck | None) -> list[str]:
    """The block as lines of YAML that `read_block` reads back to the same; none where there is none."""
    if check is None:
        return []
    lines = [f"{KEY}:"]
    lines += [f"  day: {check.day}"] if check.day else []
    lines += [f"  {key}: {_quoted(text)}" for key, text in (("by", check.by), ("socks", check.socks)) if text]
    for side in (*SIDES, PERSON):
        stated = [(p.id, check.found[p.id, side]) for p in POINTS if (p.id, side) in check.found]
        if stated:
            lines += [f"  {side}:", *(f"    {term}: {value}" for term, value in stated)]
    return lines if len(lines) > 1 else []


def _entries(node: Node, what: str, known: object, fault: Fault) -> list[tuple[str, Node]]:
    if node.value is None:
        return []
    if not isinstance(node.value, dict):
        raise fault(f"'{what}' must hold 'name: value' lines", node, "write {name: value}")
    for key, inner in node.value.items():
        if key not in known:  # type: ignore[operator]
            mend = nearest(key, list(known))  # type: ignore[call-overload]
            raise fault(f"'{key}' is not known in the fit check", inner, mend or "see docs/fit-check.md")
    return list(node.value.items())


def _value(point: Point, node: Node, fault: Fault) -> Value:
    try:
        return answer(point, node.value if isinstance(node.value, str) else "")
    except ValueError as error:
        what, _, mend = str(error).partition("; ")
        raise fault(what, node, mend) from None


def _text(key: str, node: Node, fault: Fault) -> str:
    text = " ".join(node.value.split()) if isinstance(node.value, str) else ""
    if node.value is not None and not isinstance(node.value, str):
        raise fault(f"'{key}' must be text", node, "put it in quotes")
    if len(text) > TEXTS[key]:
        raise fault(f"'{key}' is longer than {TEXTS[key]} characters", node, "initials, or a few words")
    return text


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in escaped) + '"'
