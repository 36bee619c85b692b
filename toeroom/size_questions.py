"""Two questions beside a size report: the size of a last, and what another shoe changes."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from toeroom.errors import BadInput
from toeroom.measures.sizes import RULES, SizeRule, nearest, rules_of, size_in_words
from toeroom.measures.widths import LETTERS, Step, eu_step, us_step
from toeroom.size_json import as_number
from toeroom.size_text import mm

NO_WAY = "a longer shoe is no way to get width: it bends in another place"
GRADED = (
    "US Patent 1,948,547 (1934) for girth; published charts and trade pages for the rest (common practice)"
)


# --- a last --------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class SizeOfLast:
    """The size of a last by one rule, not rounded and to the nearest mark; over_foot: its allowance in mm."""

    rule: SizeRule
    exact: Fraction
    mark: Fraction
    over_foot: Fraction


def sizes_of_last(last: Fraction, system: str | None = None) -> tuple[SizeOfLast, ...]:
    """The sizes of a last of `last` mm by every rule that has a last form (Mondopoint has none)."""
    found = []
    for rule in rules_of(system):
        exact, over = rule.size_of_last(last), rule.last_allowance
        if exact is not None and over is not None:
            found.append(SizeOfLast(rule, exact, nearest(exact, rule.step), over))
    if not found:
        raise BadInput("Mondopoint names the foot, not the last", mend="use eu, uk, us_men or us_women")
    return tuple(found)


def last_lines(last: Fraction, sizes: tuple[SizeOfLast, ...]) -> list[str]:
    """The sizes of a last, a line each."""
    widest = max(len(size.rule.label) for size in sizes)
    return [
        f"A last of {mm(last)} (the last itself, not the room inside the shoe)",
        *(
            f"  {size.rule.label:{widest}}  {size_in_words(size.mark):>5}  {float(size.exact):>6.2f}  "
            f"for a foot of {mm(last - size.over_foot)}, {mm(size.over_foot)} shorter"
            for size in sizes
        ),
    ]


def last_json(last: Fraction, sizes: tuple[SizeOfLast, ...]) -> dict[str, Any]:
    """The sizes of a last as plain values."""
    return {
        "last_mm": as_number(last),
        "sizes": [
            {
                "rule": size.rule.id,
                "exact": as_number(size.exact),
                "mark": as_number(size.mark),
                "foot_mm": as_number(last - size.over_foot),
                "last_over_foot_mm": as_number(size.over_foot),
                "source": size.rule.source,
            }
            for size in sizes
        ],
    }


# --- another shoe --------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Change:
    """What the shoe `to` has over the shoe `start`, as each is marked."""

    start: str
    to: str
    system: str
    step: Step


def change_of_shoe(start: str, to: str, system: str) -> Change:
    """From one mark to another on the same last: `9 D` to `10 E`; EU marks have no letter.

    `system`: eu, uk, us_men or us_women. Raises `BadInput` for a mark that is none.
    """
    if system not in {rule.system for rule in RULES.values()} - {"mondopoint"}:
        raise BadInput(f"grading is not published for '{system}'", mend="use eu, uk, us_men or us_women")
    (size, letter), (other, second) = _mark(start), _mark(to)
    if bool(letter) != bool(second):
        raise BadInput(
            f"'{start}' and '{to}' cannot be compared", mend="name a letter with both, or with none"
        )
    if system == "eu" and letter:
        raise BadInput("EU sizes have no width letter", mend="write --change 42 43")
    letters = LETTERS.index(second) - LETTERS.index(letter) if letter else 0
    return Change(
        start, to, system, eu_step(other - size) if system == "eu" else us_step(other - size, letters)
    )


def _mark(text: str) -> tuple[Fraction, str]:
    found = re.fullmatch(r"([0-9]{1,2})(\.5|½)? ?([A-Za-z]*)", text.strip())
    letter = found[3].upper() if found else ""
    if not found or (letter and letter not in LETTERS):
        raise BadInput(f"'{text[:20]}' is no marked shoe", mend="write '9 D', '9.5 EE' or 42")
    return Fraction(found[1]) + (Fraction(1, 2) if found[2] else 0), letter


def change_lines(change: Change) -> list[str]:
    """What changes, in a line, and what it is good for."""
    step = change.step
    parts = [f"length {_signed(step.length)}", f"ball girth {_signed(step.girth)}"]
    if step.flat is not None:
        parts.append(f"flat width {_signed(step.flat)}")
    lines = [f"{change.start} to {change.to}: {', '.join(parts)}", f"source: {GRADED}"]
    return [*lines, f"! {NO_WAY}"] if step.length else lines


def change_json(change: Change) -> dict[str, Any]:
    """The change as plain values."""
    step = change.step
    return {
        "from": change.start,
        "to": change.to,
        "system": change.system,
        "length_mm": as_number(step.length),
        "ball_girth_mm": as_number(step.girth),
        "flat_width_mm": None if step.flat is None else as_number(step.flat),
        "source": GRADED,
    }


def _signed(value: Fraction) -> str:
    """`+6.35 mm`, to the hundredth: a letter of girth is told from one of flat width."""
    return f"{float(value):+.2f} mm".replace("-", "−")
