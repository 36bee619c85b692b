"""Lengths as people write them: 262mm, 26.2 cm, 10 5/16 in. Exact, and never guessed."""

from __future__ import annotations

import re
from fractions import Fraction

from toeroom.errors import BadInput
from toeroom.measures.lengths import INCH

UNITS = {"mm": Fraction(1), "cm": Fraction(10), "in": INCH, "inch": INCH, "inches": INCH, '"': INCH}
RULE_PARTS = (2, 4, 8, 16, 32, 64)
"""What an inch rule is divided into."""
FOLDED = {"¼": " 1/4", "½": " 1/2", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "″": '"'}
SHOWN = "262mm, 26.2cm or '10 5/16in'"

_UNIT = r'(mm|cm|inches|inch|in|")'
_DECIMAL = re.compile(rf"([0-9]{{1,4}}(?:\.[0-9]{{1,6}})?) ?{_UNIT}")
_MIXED = re.compile(rf"(?:([0-9]{{1,3}}) )?([0-9]{{1,2}})/([0-9]{{1,2}}) ?{_UNIT}")


def millimetres(text: str, what: str = "the length") -> Fraction:
    """The length `text` states, in millimetres, exact.

    Taken: a plain number with mm, cm or inches, and inches with a fraction of a rule. Refused, each
    in one line that names `what`: no unit, feet, a decimal comma, a dash, a fraction no rule has,
    zero, a sign, and anything else. Raises `BadInput`.
    """
    folded = text.strip().lower()
    for sign, plain in FOLDED.items():
        folded = folded.replace(sign, plain)
    folded = " ".join(folded.split())
    value = _decimal(folded)
    value = _mixed(folded) if value is None else value
    if value is None:
        raise BadInput(f"{what} cannot be '{text[:40]}'", mend=_mend(folded))
    if value <= 0:
        raise BadInput(f"{what} cannot be nothing", mend=f"write {SHOWN}")
    return value


def _decimal(text: str) -> Fraction | None:
    found = _DECIMAL.fullmatch(text)
    return Fraction(found[1]) * UNITS[found[2]] if found else None


def _mixed(text: str) -> Fraction | None:
    found = _MIXED.fullmatch(text)
    if not found or UNITS[found[4]] != INCH:
        return None
    above, below = int(found[2]), int(found[3])
    if below not in RULE_PARTS or not 0 < above < below:
        return None
    return (int(found[1] or 0) + Fraction(above, below)) * INCH


def _mend(text: str) -> str:
    if re.search(r"['’′]|\b(ft|foot|feet)\b|[0-9](ft|foot|feet)", text):
        return f"feet are not taken: write all of it in one unit, {SHOWN}"
    if re.fullmatch(r"[0-9]+(\.[0-9]+)?( [0-9]+/[0-9]+)?|[0-9]+/[0-9]+", text):
        return f"a number alone could be mm, cm or inches: write its unit, {SHOWN}"
    if re.fullmatch(r"[0-9]+,[0-9]+ ?[a-z]+", text):
        return f"write the decimals with a point, {text.replace(',', '.').replace(' ', '')}"
    if re.fullmatch(r"[0-9]+ ?- ?[0-9]+/[0-9]+ ?.*", text):
        return "a dash could be a range: put a space between the inches and the fraction, '10 5/16in'"
    if "/" in text:
        return "fractions are halves to 64ths of an inch, smaller than one, as in '10 5/16in'"
    return f"write one plain number with its unit, {SHOWN}"


def in_inches(mm: Fraction, parts: int = 16) -> str:
    """`mm` in inches to the nearest 1/`parts`, ties up, as a rule shows it: `10 5/16 in`."""
    count = (mm / INCH * parts * 2 + 1) // 2
    whole, rest = divmod(count, parts)
    share = Fraction(rest, parts)
    return f"{whole} {share} in" if whole and share else f"{share or whole} in"
