"""The hour at which the feet were measured, and whether standing."""

from __future__ import annotations

import re
from collections.abc import Sequence

from toeroom.answers.clauses import Sentence
from toeroom.answers.patterns import COUNTING

_MEASURING = {"measured", "sized", "measure", "measuring", "measurement", "traced"}
_COMING = {
    "came",
    "seen",
    "arrived",
    "here",
    "fitted",
    "appointment",
    "appt",
    "attended",
    "visit",
    "start",
    "started",
}
_LATER = {
    "next",
    "booked",
    "book",
    "rebooked",
    "tomorrow",
    "thursday",
    "monday",
    "tuesday",
    "wednesday",
    "friday",
    "collect",
    "ring",
}
_CLOCK = re.compile(r"([01]?\d|2[0-3])[.:]([0-5]\d)")


_STANDING = {"standing", "stood", "loaded", "upright", "wb", "weightbearing"}
_SITTING = {"sitting", "seated", "sat", "nwb", "unloaded"}
_SHORT = 6


def posture_of_measuring(cut: Sequence[Sentence]) -> tuple[str, int, int] | None:
    """no where a clause says only that one stood, yes for sitting, and its tokens; None where none does.

    To be asked of a text that has the lengths of a foot and says nothing more of how it was measured:
    "Foot length L 251, R 254. At 9.30, standing."
    """
    for sentence in cut:
        for start, end, _ in sentence.segments:
            said = set(sentence.stems[start:end])
            for words, state in ((_STANDING, "no"), (_SITTING, "yes")):
                if end - start == 1 and said & words:
                    return state, sentence.offset + start, sentence.offset + end
    return None


def clock_of_measuring(
    cut: Sequence[Sentence], already_said: bool, lengths: bool = False
) -> tuple[str, int, int] | None:
    """yes before noon, no from noon on, and the tokens that say so; None where no hour of measuring stands.

    An hour counts in the sentence that speaks of measuring, or of coming where another sentence
    measures, or in a few words where the text has the `lengths` of a foot. Nothing is read where the
    text says morning or afternoon in words (`already_said`).
    """
    if already_said:
        return None
    measured = any(_MEASURING & set(s.stems) for s in cut)
    for sentence in cut:
        words = set(sentence.stems)
        few = lengths and len(sentence.tokens) <= _SHORT and sentence.stems[0] in {"at", "about", "around"}
        if words & _LATER or not (words & _MEASURING or (measured and words & _COMING) or few):
            continue
        for i in range(len(sentence.tokens)):
            hour = _hour(sentence, i)
            if hour is not None:
                return ("yes" if hour[0] < 12 else "no"), sentence.offset + i, sentence.offset + hour[1]
    return None


def _hour(sentence: Sentence, i: int) -> tuple[float, int] | None:
    stems, tokens = sentence.stems, sentence.tokens
    if stems[i] in {"noon", "midday"} and i and stems[i - 1] == "at":
        return 12.0, i + 1
    if (
        stems[i] in {"past", "to"}
        and i
        and i + 1 < len(stems)
        and stems[i - 1] in {"half", "quarter", "ten", "twenty", "five"}
    ):
        spoken = COUNTING.get(stems[i + 1])
        if spoken is not None and 1 <= spoken <= 12:
            return _afternoon_or_morning(float(spoken), stems, i + 2)
    if stems[i] in COUNTING and (not i or stems[i - 1] in {"at", "after", "before", "about", "around"}):
        rest = stems[i + 1 : i + 5]
        if (
            "oclock" in "".join(rest)
            or "o'clock" in "".join(rest)
            or {"afternoon", "morning", "evening", "pm", "am"} & set(rest)
        ):
            return _afternoon_or_morning(float(COUNTING[stems[i]]), stems, i + 1)
    if tokens[i].kind not in {"figure", "clock"}:
        return None
    text, end = tokens[i].norm, i + 1
    half = "".join(stems[end : end + 4])
    marker = "pm" if half.startswith(("pm", "p.m")) else "am" if half.startswith(("am", "a.m")) else ""
    clock = _CLOCK.fullmatch(text)
    number = float(clock[1]) + float(clock[2]) / 60 if clock else float(text)
    plain = (
        i
        and stems[i - 1] == "at"
        and {"appointment", "appt", "came", "here"} & set(stems[max(0, i - 4) : i])
        and 1 <= number <= 12
    )
    if not (clock or plain or marker or half.startswith(("oclock", "o'clock"))) or number >= 24:
        return None
    if not clock and (number > 12 or number != int(number)):
        return None
    if (
        not marker
        and clock
        and tokens[i].kind != "clock"
        and i
        and stems[i - 1] not in {"at", "about", "around", "seen", "came", "by", "measured", "from", ","}
    ):
        return None
    if marker == "pm" and number < 12:
        number += 12
    if marker == "am" and number >= 12:
        number -= 12
    if not marker and number < 7:
        number += 12
    return number, end + (1 if marker and end < len(stems) and stems[end] in {"am", "pm"} else 0)


def _afternoon_or_morning(number: float, stems: Sequence[str], end: int) -> tuple[float, int]:
    near = set(stems[end : end + 4])
    if {"afternoon", "evening", "pm"} & near or (number < 7 and not {"morning", "am"} & near):
        number = number % 12 + 12
    return number, end
