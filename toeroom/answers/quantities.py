"""Numbers with their unit, as people write them: 10 1/4", 26.4 cm, one point five, half an inch, 7/10."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from toeroom.answers.patterns import COUNTING
from toeroom.answers.tokens import Token

MM_PER_INCH = Fraction(254, 10)
DAYS_PER_MONTH = Fraction(36525, 1200)
"""A twelfth of the Julian year of 365.25 days, as unit libraries count it."""

UNITS = {
    "mm": "mm", "mms": "mm", "millimetre": "mm", "millimeter": "mm", "mil": "mm", "mill": "mm", "cm":
    "cm", "cms": "cm", "centimetre": "cm", "centimeter": "cm", "centi": "cm", "inch": "inch", "inche":
    "inch", "ins": "inch", "in": "inch", '"': "inch", "foot": "foot", "'": "foot", "mmhg": "mmhg",
    "torr": "mmhg", "c": "c", "celsius": "c", "centigrade": "c", "degc": "c", "f": "f", "fahrenheit":
    "f", "degf": "f", "month": "month", "mth": "month", "mo": "month", "mnth": "month", "mos": "month",
    "week": "week", "wk": "week", "wks": "week", "year": "year", "yr": "year", "yrs": "year", "y":
    "year", "day": "day", "site": "site", "point": "site", "kg": "other", "min": "other", "minute":
    "other", "hour": "other", "hr": "other", "%": "other", "g": "other", "mg": "other", "st": "other",
    "lb": "other", "stone": "other", "deg": "degree", "degree": "degree", "°": "degree", "mile":
    "other", "km": "other", "metre": "other", "m": "other", "pair": "other", "toe": "other", "time":
    "other", "x": "other", "am": "clock", "pm": "clock", "oclock": "clock", "fall": "other", "second":
    "other", "sec": "other", "step": "other", "kpa": "other", "pound": "other", "euro": "other",
    "dollar": "other", "£": "other", "$": "other",
}  # fmt: skip
_NOT_INCHES_BEFORE = {
    "the", "a", "her", "his", "my", "front", "sock", "shoe", "tight", "both", "each", "total", "all",
    "this", "that", "their", "and", "stocking", "black", "navy", "brown", "stock", "winter", "summer",
    "bed", "hand", "chair", "boot", "may", "it", "one", "trainer", "store", "thin", "thick", "our",
    "left", "right",
}  # fmt: skip
_PARTS = {
    "½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4), "⅛": Fraction(1, 8), "⅜": Fraction(3,
    8), "⅝": Fraction(5, 8), "⅞": Fraction(7, 8), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3),
}  # fmt: skip
_ONES = {word: value for word, value in COUNTING.items() if value < 20}
_TEN_WORDS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_TENS = {word: 10 * value for value, word in enumerate(_TEN_WORDS, 2)}
_SHARES = {
    "half": Fraction(1, 2),
    "quarter": Fraction(1, 4),
    "third": Fraction(1, 3),
    "eighth": Fraction(1, 8),
}
_PARTS_OF_A_YEAR: dict[Fraction | None, str] = {
    Fraction(52): "week",
    Fraction(12): "month",
    Fraction(7): "day",
}
"""Clinic shorthand: 8/52 is eight weeks, 3/12 three months, 5/7 five days."""
_FRACTIONS = {2, 3, 4, 8, 16, 32}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in a sentence: tokens `start` to `end`, `value` in `unit` ("" where none is written).

    `of` is the second number of "7/10" or "7 of 10".
    """

    start: int
    end: int
    value: Fraction
    unit: str
    of: Fraction | None = None
    perhaps_inches: bool = False
    """Whether "in" follows and then a side: "10 in both" is inches only where nothing else fits."""


def find_quantities(tokens: Sequence[Token], stems: Sequence[str]) -> list[Quantity]:
    """All numbers of a sentence, with their units. Feet and inches together (5'6") are one, of unit foot."""
    found: list[Quantity] = []
    i = 0
    while i < len(tokens):
        number = _number(tokens, stems, i)
        if number is None:
            i += 1
            continue
        value, end, of = number
        unit, after = _unit(tokens, stems, end)
        if (
            not unit
            and end < len(stems)
            and stems[end] == "in"
            and "/" in stems[i:end]
            and not {"the", "a", "her", "his", "my"}.intersection(stems[end + 1 : end + 2])
        ):
            unit, after = "inch", end + 1
        if of in _PARTS_OF_A_YEAR and not unit and tokens[i].kind == "figure":
            unit, of = _PARTS_OF_A_YEAR[of], None
        if unit and _spoken_half(stems, after):
            value, after = value + Fraction(1, 2), after + 3
        if unit == "foot" and after < len(tokens) and tokens[after].kind == "figure":
            rest = _number(tokens, stems, after)
            after = rest[1] if rest else after + 1
            inches, behind = _unit(tokens, stems, after)
            after = behind if inches == "inch" else after
        if after < len(stems) and not unit and stems[after] in {"-", "to"} and after + 1 < len(tokens):
            upper = _number(tokens, stems, after + 1)
            if upper is not None and stems[after] == "-":
                _, behind = _unit(tokens, stems, upper[1])
                found.append(Quantity(i, behind, value, "range"))
                i = behind
                continue
        doubtful = not unit and list(stems[end : end + 1]) == ["in"] and stems[end + 1 : end + 2] != ["the"]
        found.append(Quantity(i, max(after, i + 1), value, unit, of, doubtful))
        i = max(after, i + 1)
    found = [_with_unit_of_next(found, n, stems) for n in range(len(found))]
    for n in range(1, len(found)):
        found[n] = _with_unit_of_last(found[n - 1], found[n], stems)
    return found


_LISTED = {
    ",", "and", "l", "r", "left", "right", "lt", "rt", "/", "(", ")", "the", "on", ":", "is", "foot",
    "&", ";", "both",
}  # fmt: skip


def _with_unit_of_last(before: Quantity, quantity: Quantity, stems: Sequence[str]) -> Quantity:
    """In "9 7/8 inches left, 10 right" the unit of the first number holds for the next."""
    if (
        quantity.unit
        or quantity.of is not None
        or before.unit not in {"mm", "cm", "inch", "c", "f", "degree", "mmhg"}
    ):
        return quantity
    if not set(stems[before.end : quantity.start]) <= _LISTED:
        return quantity
    return Quantity(quantity.start, quantity.end, quantity.value, before.unit)


def _with_unit_of_next(found: Sequence[Quantity], n: int, stems: Sequence[str]) -> Quantity:
    """In "L 104, R 102 mm" the unit written once holds for all numbers of the list."""
    quantity = found[n]
    if quantity.unit or quantity.of is not None:
        return quantity
    for later, before in zip(found[n + 1 :], found[n:], strict=False):
        between = set(stems[before.end : later.start])
        if not between <= _LISTED:
            return quantity
        if later.unit:
            return (
                quantity
                if later.unit == "other"
                else Quantity(quantity.start, quantity.end, quantity.value, later.unit)
            )
    return quantity


def _unit(tokens: Sequence[Token], stems: Sequence[str], i: int) -> tuple[str, int]:
    if i >= len(tokens):
        return "", i
    word = stems[i]
    if word == "'" and i + 1 < len(tokens) and stems[i + 1] == "'" and not tokens[i + 1].spaced:
        return "inch", i + 2
    if word in {"'", '"'} and tokens[i].spaced:
        return "", i
    if (
        word in {"of", "a", "an"}
        and i + 1 < len(stems)
        and UNITS.get(stems[i + 1]) == "inch"
        and stems[i + 1] != "in"
    ):
        return "inch", i + 2
    if (
        word == "of"
        and i + 2 < len(stems)
        and stems[i + 1] in {"a", "an"}
        and UNITS.get(stems[i + 2]) in {"inch", "cm"}
    ):
        return UNITS[stems[i + 2]], i + 3
    if word == "mm" and i + 1 < len(stems) and stems[i + 1] == "hg":
        return "mmhg", i + 2
    if word in {"°", "deg", "degree"}:
        if i + 1 < len(stems) and UNITS.get(stems[i + 1]) in {"c", "f"}:
            return UNITS[stems[i + 1]], i + 2
        return "degree", i + 1
    if (
        word == "in"
        and i + 1 < len(stems)
        and (stems[i + 1] in _NOT_INCHES_BEFORE or tokens[i + 1].kind == "figure")
    ):
        return "", i
    if word in {"a", "p"} and i + 2 < len(stems) and stems[i + 1] == "." and stems[i + 2] == "m":
        return "clock", i + 3
    if word in {"a", "p"} and i + 1 < len(stems) and stems[i + 1] == "m":
        return "clock", i + 2
    if word == "o" and i + 1 < len(stems) and stems[i + 1] == "clock":
        return "clock", i + 2
    unit = UNITS.get(word, "")
    if unit == "foot" and tokens[i].norm not in {"'", "ft", "feet"}:
        return "", i
    return (unit, i + 1) if unit else ("", i)


def _number(
    tokens: Sequence[Token], stems: Sequence[str], i: int
) -> tuple[Fraction, int, Fraction | None] | None:
    """Value, the token after it, and the second number of a count out of another."""
    token = tokens[i]
    if token.kind == "part":
        return _PARTS[token.norm], i + 1, None
    if token.kind == "word":
        spoken = _spoken(stems, i)
        if spoken is None or not _is_of(stems, spoken[1]):
            return None if spoken is None else (*spoken, None)
        return _out_of(tokens, stems, spoken[0], spoken[1])
    if token.kind != "figure":
        return None
    value, end = Fraction(token.norm), i + 1
    if end < len(tokens) and tokens[end].kind == "part":
        return value + _PARTS[tokens[end].norm], end + 1, None
    if _slash(tokens, end):
        return _ratio(value, Fraction(tokens[end + 1].norm), end + 2)
    if end < len(tokens) and tokens[end].kind == "figure" and tokens[end].spaced and _slash(tokens, end + 1):
        share = _ratio(Fraction(tokens[end].norm), Fraction(tokens[end + 2].norm), end + 3)
        if share[2] is None:
            return value + share[0], share[1], None
    if _spoken_half(stems, end):
        return value + Fraction(1, 2), end + 3, None
    if _is_of(stems, end):
        return _out_of(tokens, stems, value, end)
    return value, end, None


def _slash(tokens: Sequence[Token], i: int) -> bool:
    return i + 1 < len(tokens) and tokens[i].norm == "/" and tokens[i + 1].kind == "figure"


def _ratio(above: Fraction, below: Fraction, end: int) -> tuple[Fraction, int, Fraction | None]:
    if below in _FRACTIONS and above < below:
        return above / below, end, None
    return above, end, below


def _is_of(stems: Sequence[str], i: int) -> bool:
    return i < len(stems) and (stems[i] == "of" or stems[i : i + 2] == ["out", "of"])


def _out_of(
    tokens: Sequence[Token], stems: Sequence[str], value: Fraction, end: int
) -> tuple[Fraction, int, Fraction | None]:
    start = end + (2 if stems[end] == "out" else 1)
    if start < len(stems) and stems[start] == "the":
        start += 1
    if start < len(tokens):
        if tokens[start].kind == "figure":
            return value, start + 1, Fraction(tokens[start].norm)
        spoken = _spoken(stems, start)
        if spoken is not None and spoken[0] >= 1:
            return value, spoken[1], spoken[0]
    return value, end, None


def _spoken_half(stems: Sequence[str], i: int) -> bool:
    return list(stems[i : i + 3]) == ["and", "a", "half"]


_ONE_OF_TWO = {"left", "right", "l", "r", "lt", "rt", "other", "this", "that"}
"""After these "one" is a shoe or a foot, no number: "the left one 10 months"."""


def _spoken(stems: Sequence[str], i: int) -> tuple[Fraction, int] | None:
    """A number in words from token `i`: two hundred and sixty two, one point five, three quarters, half."""
    word = stems[i]
    if word in _SHARES and word != "third":
        if word == "half" and i + 2 < len(stems) and stems[i + 1] in {"a", "an"}:
            return _half_of(stems, i)
        return (_SHARES[word], i + 1) if word != "quarter" or _has_unit(stems, i + 1) else None
    if word in {"a", "an"}:
        return _with_article(stems, i)
    whole = _spoken_whole(stems, i)
    if whole is None or (word == "one" and i and stems[i - 1] in _ONE_OF_TWO):
        return None
    value, end = whole
    if end < len(stems) and stems[end] in _SHARES and value < 8:
        return value * _SHARES[stems[end]], _past_of_an(stems, end + 1)
    if end + 1 < len(stems) and stems[end] == "point" and stems[end + 1] in _ONES:
        return value + Fraction(_ONES[stems[end + 1]], 10), end + 2
    if _spoken_half(stems, end):
        return value + Fraction(1, 2), end + 3
    return value, end


def _half_of(stems: Sequence[str], i: int) -> tuple[Fraction, int] | None:
    return (Fraction(1, 2), i + 2) if _has_unit(stems, i + 2) else None


def _past_of_an(stems: Sequence[str], i: int) -> int:
    """The token after "of an" before a unit, as in three quarters of an inch; otherwise `i`."""
    return i + 2 if stems[i : i + 2] in (["of", "an"], ["of", "a"]) and _has_unit(stems, i + 2) else i


def _with_article(stems: Sequence[str], i: int) -> tuple[Fraction, int] | None:
    after = stems[i + 1] if i + 1 < len(stems) else ""
    if after in {"year", "month", "inch", "cm", "week"}:
        return Fraction(1), i + 1
    if after in {"quarter", "half"} and i + 2 < len(stems):
        return _SHARES[after], _past_of_an(stems, i + 2)
    return None


def _has_unit(stems: Sequence[str], i: int) -> bool:
    rest = [s for s in stems[i : i + 3] if s not in {"of", "a", "an"}]
    return bool(rest) and UNITS.get(rest[0]) in {"inch", "cm", "year", "mm", "month"} and rest[0] != "in"


def _spoken_whole(stems: Sequence[str], i: int) -> tuple[Fraction, int] | None:
    total, current, end = 0, -1, i
    while end < len(stems):
        word = stems[end]
        if word in _ONES and (current < 0 or (current >= 20 and current % 10 == 0 and _ONES[word] < 10)):
            current = max(current, 0) + _ONES[word]
        elif word in _TENS and current < 0:
            current = _TENS[word]
        elif word == "hundred" and 0 < current < 10 and not total:
            total, current = current * 100, -1
        elif (
            word == "and"
            and total
            and current < 0
            and end + 1 < len(stems)
            and (stems[end + 1] in _ONES or stems[end + 1] in _TENS)
        ):
            pass
        else:
            break
        end += 1
    if end == i:
        return None
    return Fraction(total + max(current, 0)), end
