"""Which foot: words for a side, and what each belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from toeroom.answers.patterns import COUNTING
from toeroom.answers.tokens import Token

LEFT, RIGHT, BOTH, PERSON, UNSAID = "left", "right", "both", "person", "unsaid"
OPPOSITE = {LEFT: RIGHT, RIGHT: LEFT}

_WORDS = {
    "left": LEFT,
    "l": LEFT,
    "lt": LEFT,
    "lhs": LEFT,
    "lf": LEFT,
    "right": RIGHT,
    "r": RIGHT,
    "rt": RIGHT,
    "rhs": RIGHT,
    "rf": RIGHT,
    "both": BOTH,
    "bilateral": BOTH,
    "neither": BOTH,
    "either": BOTH,
}
_JOINS = {"and", "&", "+", "/", ">", "<", "=", "or"}
_FEET = {
    "foot", "leg", "ankle", "side", "heel", "shoe", "toe", "one", "limb", "big", "great", "hallux",
    "sole", "forefoot", "calf", "insert", "insole", "arch", "little", "knee", "boot", "midfoot", "nail",
    "instep", "ball", "second", "2nd",
}  # fmt: skip
_RIGHT_IS_NONE_BEFORE = {
    "on", "in", "at", "away", "now", "size", "sock", "through", "after", "length", "width", "fit",
    "amount", "up", "down", "over", "under", "by", "to", "into", "handed", "angle", "across", "place",
    "depth", "where", "about", "answer", "thing",
}  # fmt: skip
_RIGHT_IS_NONE_AFTER = {
    "length",
    "width",
    "size",
    "fit",
    "all",
    "not",
    "quite",
    "just",
    "depth",
    "about",
    "almost",
    "point",
}
_LEFT_IS_NONE_BEFORE = {
    "off",
    "alone",
    "with",
    "behind",
    "it",
    "him",
    "her",
    "them",
    "home",
    "message",
    "early",
    "out",
    "over",
}
_LEFT_IS_NONE_AFTER = {
    "fat", "padding", "cushion", "cushioning", "profile", "grip", "bounce", "nothing", "spring",
    "tread", "was", "were", "has", "have", "she", "he", "they", "i", "we", "been", "what", "had",
    "day", "week", "life", "little", "room",
}  # fmt: skip
_COVERS = {"dressing", "bandage", "plaster", "sock", "shoe", "boot", "cast", "polish", "stocking"}
_FOLLOWING_A_SIDE = {"the", "on", "his", "her", "my", "your"}


@dataclass(frozen=True, slots=True)
class SideHit:
    """A word or phrase for a side: tokens `start` to `end`."""

    start: int
    end: int
    side: str


def find_sides(tokens: Sequence[Token], stems: Sequence[str], last: str) -> list[SideHit]:
    """The words for a side in a sentence. `last` is the side named last before it: "the other foot"."""
    hits: list[SideHit] = []
    i = 0
    while i < len(tokens):
        hit = (
            _pair(tokens, stems, i)
            or _other(stems, i, hits[-1].side if hits else last)
            or _single(tokens, stems, i)
        )
        if hit is None:
            i += 1
            continue
        if hit.side and not (hit.side in OPPOSITE and _is_compared(stems, i)):
            hits.append(hit)
        i = hit.end
    return hits


def _is_compared(stems: Sequence[str], i: int) -> bool:
    """Whether the side at `i` is only what another is held against: "paler than L", "cold next to R"."""
    before = list(stems[max(0, i - 3) : i])
    if any(w[0].isdigit() for w in before):
        return False
    pairs = {"next to", "compared to", "compared with", "relative to", "different from"}
    return bool({"than", "like", "versus", "vs", "against"}.intersection(before)) or any(
        " ".join(pair) in pairs for pair in pairwise(before)
    )


def is_side_of_number(tokens: Sequence[Token], i: int) -> bool:
    """Whether token `i` is the foot that a number after it was measured on: "length right 255"."""
    if i + 1 >= len(tokens) or tokens[i].norm not in {"left", "right"}:
        return False
    return tokens[i + 1].kind == "figure" or tokens[i + 1].norm in COUNTING


def _single(tokens: Sequence[Token], stems: Sequence[str], i: int) -> SideHit | None:
    word = stems[i]
    if word in {"foot", "side", "leg", "ankle"} and i and stems[i - 1] in {"each", "two"}:
        return SideHit(i - 1, i + 1, BOTH)
    side = _WORDS.get(word)
    if side is None or tokens[i].kind != "word":
        return None
    before = stems[i - 1] if i else ""
    after = stems[i + 1] if i + 1 < len(stems) else ""
    if word == "left" and ("what" in stems[max(0, i - 3) : i] or (after == "on" and before in _COVERS)):
        return None
    if word == "left" and before not in _FOLLOWING_A_SIDE:
        if after in _LEFT_IS_NONE_BEFORE or (before in _LEFT_IS_NONE_AFTER and after not in _FEET):
            return None
        if after in {"the", "a", "at", "in"} and i + 2 < len(stems) and before in {"", "and"}:
            return None
    if word == "right":
        placed = before in {"the", "his", "her", "my"} or (
            before == "on" and after not in _RIGHT_IS_NONE_BEFORE
        )
        if is_side_of_number(tokens, i):
            return SideHit(i, i + 1, side)
        if before in _RIGHT_IS_NONE_AFTER and after not in _FEET:
            return None
        if after in _RIGHT_IS_NONE_BEFORE and not (
            placed and after not in {"size", "sock", "place", "angle", "length", "width"}
        ):
            return None
    if (
        word in {"l", "r"}
        and after == "."
        and i + 2 < len(tokens)
        and tokens[i + 2].kind == "word"
        and not tokens[i + 2].spaced
    ):
        return None
    if word == "either" and after not in _FEET and not _closes(tokens, i + 1):
        return None
    if word == "neither" and "nor" in stems[i + 1 : i + 12] and after not in {"foot", "side", "leg", "shoe"}:
        return None
    end = i + 1
    if side == BOTH and after in {"foot", "side", "leg"}:
        end = i + 2
    return SideHit(i, end, side)


def _closes(tokens: Sequence[Token], i: int) -> bool:
    return i >= len(tokens) or tokens[i].kind == "mark" or tokens[i].norm in {"and", "or"}


def _pair(tokens: Sequence[Token], stems: Sequence[str], i: int) -> SideHit | None:
    """Left and right named together, as in L+R, L>R, left and right."""
    first = _WORDS.get(stems[i])
    more = _more_than(stems, i, first)
    if more:
        return SideHit(i, more, BOTH)
    if first not in OPPOSITE or tokens[i].kind != "word":
        return None
    j = i + 1
    joined = False
    while (
        j < len(stems)
        and j < i + 6
        and (stems[j] in _JOINS or stems[j] in {"foot", "the", "side", "on", "(", ")", "leg"})
    ):
        joined = joined or stems[j] in _JOINS
        j += 1
    if not joined or j >= len(stems) or _WORDS.get(stems[j]) != OPPOSITE[first]:
        return None
    end = j + 1
    nearby = stems[end] if end < len(stems) else ""
    if nearby == "foot":
        end += 1
    return SideHit(i, end, BOTH)


def _more_than(stems: Sequence[str], i: int, first: str | None) -> int:
    """Where "right more than left" ends: the thing is on both; 0 where it is not that."""
    if first not in OPPOSITE:
        return 0
    j = i + 1
    while (
        j < len(stems)
        and j < i + 7
        and stems[j]
        in {"foot", "side", "more", "worse", "than", "the", "is", "a", "bit", "lot", "much", "as"}
    ):
        j += 1
    said = ({"more", "worse"} & set(stems[i:j]) and "than" in stems[i:j]) or stems[i:j].count("as") == 2
    return j + 1 if said and j < len(stems) and _WORDS.get(stems[j]) == OPPOSITE[first] else 0


def _other(stems: Sequence[str], i: int, last: str) -> SideHit | None:
    if stems[i] in {"other", "opposite", "contralateral"}:
        after = stems[i + 1] if i + 1 < len(stems) else ""
        if after in {"foot", "side", "one", "leg", "heel", "ankle", "toe", "shoe"} or (
            i and stems[i - 1] == "the" and not after
        ):
            return SideHit(i, i + 2, OPPOSITE.get(last, ""))
    return None
