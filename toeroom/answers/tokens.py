"""Words, figures and marks of a text, each with its place in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

_PIECES = re.compile(
    r"""(?P<ordinal>\d{1,2}(?:st|nd|rd|th)\b)
      | (?P<clock>\d{1,2}:\d{2}(?![\d:]))
      | (?P<figure>\d+(?:\.\d+)?)
      | (?P<part>[½¼¾⅛⅜⅝⅞⅓⅔])
      | (?P<sided>[LRlr](?=\d{2}))
      | (?P<bilateral>(?<![\w/])[Bb]/[Ll](?![\w/]))
      | (?P<word>[^\W\d_]+\d*(?:[^\W\d_]+)?(?:['’‘ʼ][^\W\d_]+)*)
      | (?P<mark>[^\w\s]|_)""",
    re.VERBOSE,
)
_SPLIT = {
    "cannot": ("can", "not"),
    "won't": ("will", "not"),
    "wont": ("will", "not"),
    "shan't": ("shall", "not"),
    "i'm": ("i", "am"),
}
_BARE = {
    "cant", "dont", "doesnt", "didnt", "isnt", "wasnt", "arent", "werent", "hasnt", "havent", "hadnt",
    "couldnt", "wouldnt", "shouldnt", "neednt", "aint",
}  # fmt: skip
_IS = {"it", "she", "he", "there", "that", "what", "who", "here", "where"}
_KEEP_S = ("ss", "us", "is", "os")


@dataclass(frozen=True, slots=True)
class Token:
    """A word, figure or mark.

    `kind` is word, figure, clock (10:30), part (a fraction sign), ordinal or mark; `norm` is lower
    case; `stem` is `norm` without a plural or verb s. `start` and `end` are places in the text.
    `spaced` says whether white space stands before it; `newline` whether a line break does.
    """

    kind: str
    norm: str
    stem: str
    start: int
    end: int
    spaced: bool = True
    newline: bool = False


def tokenise(text: str) -> list[Token]:
    """The tokens of `text`. Hyphens inside words separate them and are no tokens; "b/l" is one word."""
    tokens: list[Token] = []
    last = 0
    for match in _PIECES.finditer(text):
        kind = match.lastgroup or "mark"
        start, end = match.span()
        between = text[last:start]
        spaced, newline = bool(between) or start == 0, "\n" in between or "\r" in between
        raw = match.group()
        if kind == "mark" and raw in "-‐‑" and _inside_word(text, start, end):
            last = end
            continue
        last = end
        norm = _MARKS.get(raw, raw) if kind == "mark" else raw.lower().translate(_APOSTROPHES)
        kind = "word" if kind in {"sided", "bilateral"} else kind
        for place, piece in enumerate(_pieces(norm) if kind == "word" else (norm,)):
            tokens.append(
                Token(kind, piece, stem(piece), start, end, spaced and place == 0, newline and place == 0)
            )
    return tokens


_APOSTROPHES = {ord(c): "'" for c in "’‘ʼ"}
_MARKS = {
    "–": "-",
    "—": "-",
    "−": "-",
    "‐": "-",
    "‑": "-",
    "“": '"',
    "”": '"',
    "″": '"',
    "′": "'",
    "’": "'",
    "‘": "'",
}


def _inside_word(text: str, start: int, end: int) -> bool:
    before, after = text[start - 1 : start], text[end : end + 1]
    return (before.isalpha() and after.isalpha()) or (
        before.isdigit() and after.isalpha() and not after.isdigit()
    )


def _pieces(word: str) -> tuple[str, ...]:
    if word in _SPLIT:
        return _SPLIT[word]
    if word in _BARE:
        return (word[:-2] if word != "cant" else "can", "not")
    if "'" not in word:
        return (word,)
    if word == "can't":
        return ("can", "not")
    if word.endswith("n't"):
        return (word[:-3], "not")
    head, _, tail = word.partition("'")
    if tail == "s":
        return (head, "is") if head in _IS else (head,)
    if tail in {"ve", "re", "ll", "d", "m"}:
        return (head, {"ve": "have", "re": "are", "ll": "will", "d": "had", "m": "am"}[tail])
    return (word.replace("'", ""),)


_IRREGULAR = {
    "feet": "foot",
    "calluses": "callus",
    "wolves": "wolf",
    "is": "is",
    "was": "was",
    "has": "has",
    "does": "does",
    "as": "as",
    "his": "his",
    "its": "its",
    "this": "this",
    "yes": "yes",
    "us": "us",
    "dps": "dp",
}


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """`word` without a plural or verb ending in s; `feet` is `foot`."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) < 4 or not word.endswith("s") or word.endswith(_KEEP_S):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("sses", "shes", "ches", "xes")):
        return word[:-2]
    return word[:-1]
