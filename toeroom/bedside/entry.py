"""What is typed of a test: pressures, answers, temperatures, days. Never guessed; refused in one line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from toeroom.bedside.circulation import FootPressures
from toeroom.bedside.joints import FootAngles
from toeroom.errors import BadInput, nearest
from toeroom.measures.sensation import ANSWERS_PER_SITE
from toeroom.measures.temperature_watch import Reading, celsius
from toeroom.vocabulary import SIDES, Measure, Vocabulary

ANSWERS = {"r": True, "w": False, "?": None}
TOUCHED = {"y": True, "n": False, "?": None}
OXYGEN = (Decimal(0), Decimal(150))
"""Millimetres of mercury between which an oxygen reading at the skin is taken."""
DEGREES = {"bunion": (0, 90), "between": (0, 45), "big-toe-up": (-30, 110), "ankle-up": (-60, 60)}
_NUMBER = r"([0-9]{1,4}(?:\.[0-9]{1,3})?)"


def amount(text: str, unit: str, what: str, low: Decimal | int, high: Decimal | int) -> Decimal:
    """A plain number, with or without its `unit`, from `low` to `high`."""
    found = re.fullmatch(rf"(-?){_NUMBER} ?(?:{re.escape(unit)})?", text.strip(), re.IGNORECASE)
    if not found or (found[1] and low >= 0):
        raise BadInput(
            f"{what} cannot be '{text[:40]}'", mend=f"a plain number of {unit}, as in {high}{unit}"
        )
    value = Decimal(found[1] + found[2])
    if not low <= value <= high:
        raise BadInput(f"{what} {value} is out of range", mend=f"{low} to {high} {unit}")
    return value


def _measured(text: str, measure: Measure, what: str) -> Decimal:
    if re.search(r"kpa", text, re.IGNORECASE):
        raise BadInput(f"{what} is in kPa", mend="pressures are taken in mmHg: 1 kPa is 7.5 mmHg")
    return amount(text, "mmHg", what, measure.low, measure.high)


def arm_pressures(texts: Sequence[str], vocabulary: Vocabulary) -> tuple[Decimal, ...]:
    """One or both arms, mmHg: `136 140` or `136/140`."""
    parts = [part for text in texts for part in text.split("/")]
    if len(parts) > 2:
        raise BadInput("there are two arms", mend="write --arms 136 140")
    measure = vocabulary.measures["arm_pressure_mmhg"]
    return tuple(_measured(part, measure, "the arm pressure") for part in parts)


def foot_pressures(
    side: str, texts: Iterable[str], vocabulary: Vocabulary, *, numb: bool | None
) -> FootPressures:
    """One foot: `ankle=84/92` (one or both arteries), `toe=62`, `oxygen=40`."""
    stated = _named(side, texts, ("ankle", "toe", "oxygen"))
    ankle = stated.get("ankle", "").split("/") if "ankle" in stated else []
    if len(ankle) > 2:
        raise BadInput(f"{side} ankle: a foot has two arteries", mend="write ankle=84/92")
    measures = vocabulary.measures
    toe, oxygen = stated.get("toe"), stated.get("oxygen")
    return FootPressures(
        tuple(_measured(part, measures["ankle_pressure_mmhg"], f"the {side} ankle") for part in ankle),
        None if toe is None else _measured(toe, measures["toe_pressure_mmhg"], f"the {side} toe"),
        None if oxygen is None else amount(oxygen, "mmHg", f"the {side} oxygen", *OXYGEN),
        numb,
    )


def _named(side: str, texts: Iterable[str], known: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for text in texts:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not sign or name not in known:
            raise BadInput(
                f"'{text[:40]}' is not understood of the {side} foot",
                mend=(nearest(name, known) if sign else "") or f"write {', '.join(f'{k}=…' for k in known)}",
            )
        if name in found:
            raise BadInput(f"{side} {name} is said twice", mend="leave one")
        found[name] = value
    return found


def sites(side: str, words: Iterable[str]) -> list[list[bool | None]]:
    """One word a site, a letter an answer: r right, w wrong, ? not asked."""
    return [
        _letters(word, ANSWERS, ANSWERS_PER_SITE, f"a site of the {side} foot", "r, w or ?") for word in words
    ]


def toe_tips(left: str, right: str) -> list[bool | None]:
    """Toes 1, 3 and 5 of each foot: y felt, n not felt, ? not touched. Empty: foot not touched."""
    words = zip(SIDES, (left or "???", right or "???"), strict=True)
    return [
        tip for side, word in words for tip in _letters(word, TOUCHED, 3, f"the {side} toes", "y, n or ?")
    ]


def _letters(
    word: str, known: Mapping[str, bool | None], count: int, what: str, letters: str
) -> list[bool | None]:
    plain = word.strip().lower()
    if len(plain) != count or any(letter not in known for letter in plain):
        raise BadInput(f"{what} cannot be '{word[:20]}'", mend=f"{count} letters, each {letters}")
    return [known[letter] for letter in plain]


def reading(text: str, vocabulary: Vocabulary, today: date) -> Reading:
    """`2026-11-24=31.2/28.9C`, left over right; without a day it is today's. °F is converted."""
    day, sign, pair = text.rpartition("=")
    found = re.fullmatch(rf"{_NUMBER} ?/ ?{_NUMBER} ?°?([CF])", pair.strip(), re.IGNORECASE)
    if not found:
        raise BadInput(
            f"'{text[:40]}' is no reading of both feet", mend="write left/right with C or F: 31.2/28.9C"
        )
    unit = found[3].upper()
    left, right = (
        _temperature(found[n], unit, side, vocabulary) for n, side in zip((1, 2), SIDES, strict=True)
    )
    return Reading(_day(day) if sign else today, left, right)


def _temperature(text: str, unit: str, side: str, vocabulary: Vocabulary) -> Fraction:
    measure = vocabulary.measures["skin_temp_c"]
    value = Fraction(text) if unit == "C" else celsius(Fraction(text))
    if measure.low <= value <= measure.high:
        return value
    other = celsius(Fraction(text)) if unit == "C" else Fraction(text)
    slip = (
        f"; {text} °{'F' if unit == 'C' else 'C'} would be taken"
        if measure.low <= other <= measure.high
        else ""
    )
    raise BadInput(
        f"the {side} foot at {text} °{unit} is out of range", mend=f"{measure.low} to {measure.high} °C{slip}"
    )


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(f"'{text[:20]}' is no day", mend="write it as 2026-11-24") from None


def usual_difference(text: str) -> Fraction:
    """`left=0.8C`: which foot is usually the warmer, and by how much. Left over right, in °C."""
    found = re.fullmatch(rf"(left|right) ?= ?{_NUMBER} ?°?([CF])", text.strip(), re.IGNORECASE)
    if not found:
        raise BadInput(f"the usual difference cannot be '{text[:40]}'", mend="write left=0.8C or right=1.4F")
    value = Fraction(found[2]) * (1 if found[3].upper() == "C" else Fraction(5, 9))
    if value > 5:
        raise BadInput(f"a usual difference of {found[2]} is out of range", mend="at most 5 °C")
    return value if found[1].lower() == "left" else -value


def foot_angles(side: str, texts: Iterable[str], *, mid_range_pain: bool | None) -> FootAngles:
    """One foot, degrees: `bunion=32`, `between=14`, `big-toe-up=20`, `ankle-up=-2`."""
    stated = _named(side, texts, tuple(DEGREES))
    values = {name: amount(text, "°", f"the {side} {name}", *DEGREES[name]) for name, text in stated.items()}
    return FootAngles(
        values.get("bunion"),
        values.get("between"),
        values.get("big-toe-up"),
        values.get("ankle-up"),
        mid_range_pain,
    )
