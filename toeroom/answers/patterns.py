"""Phrases written in YAML, found in a row of tokens.

A phrase is words; besides, `a|b` is either word, `(a|b c)` one of several phrases, `(a)?` may be
missing, `<n>` is a number, `<class>` is one of the phrases of a class, `~` stands for up to three
further words and `~5` for up to five, never across a comma, a word of negation or one of doubt
("perhaps"). Articles, possessives and words for a side may stand inside a phrase wherever they like.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from toeroom.answers.tokens import Token, tokenise

T = TypeVar("T")

SKIPPED = frozenset(
    ["the", "a", "an", "her", "his", "their", "my", "your", "our", "its", "this", "that", "these",
     "those", "some", "left", "right", "l", "r", "lt", "rt", "(", ")", "-"]
)  # fmt: skip
_MOST_SKIPPED = 3
_Piece = tuple[tuple[str, ...], ...]
_NUMBER = "<n>"


@dataclass(frozen=True, slots=True)
class Element:
    """One step of a phrase: alternatives of one or more stems, or a gap of up to `gap` words."""

    alternatives: _Piece = ()
    gap: int = 0
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Hit(Generic[T]):
    """A phrase found: what it means, the tokens it spans, and how many of its own words matched."""

    meaning: T
    start: int
    end: int
    phrase: str
    words: int = 0
    """The places of its own words, as bits; those in a gap or skipped are not among them."""

    def covers(self, other: Hit[T]) -> bool:
        """Whether the words of `other` are all words of this hit too, and this one has more."""
        return self.words != other.words and self.words & other.words == other.words


@dataclass(frozen=True, slots=True)
class _Entry(Generic[T]):
    """A phrase taken apart; `needs` are sets of words of which a text must hold one each."""

    elements: tuple[Element, ...]
    needs: tuple[frozenset[str], ...]
    phrase: str
    meaning: T

    def may_match(self, present: set[str]) -> bool:
        return all(not need.isdisjoint(present) for need in self.needs)


def _needs(elements: Sequence[Element]) -> tuple[frozenset[str], ...]:
    firsts = [
        frozenset(a[0] for a in e.alternatives) for e in elements[1:] if e.alternatives and not e.optional
    ]
    return tuple(need for need in firsts if not {_NUMBER, ","} & need)


class Phrases(Generic[T]):
    """A set of phrases, each with a meaning, looked up by their first word."""

    def __init__(
        self, entries: Iterable[tuple[str, T]], classes: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self._classes = {name: tuple(_words(p) for p in phrases) for name, phrases in (classes or {}).items()}
        self._by_first: dict[str, list[_Entry[T]]] = {}
        self.words: set[str] = set()
        for phrase, meaning in entries:
            for elements in _without_leading_options(self._elements(phrase)):
                firsts = {a[0] for a in elements[0].alternatives}
                for first in firsts:
                    self._by_first.setdefault(first, []).append(
                        _Entry(elements, _needs(elements), phrase, meaning)
                    )
                self.words.update(w for e in elements for a in e.alternatives for w in a)

    def find(self, tokens: Sequence[Token], stems: Sequence[str]) -> list[Hit[T]]:
        """All hits, also overlapping ones, in the order of the text. `stems` may be mended spellings."""
        hits: list[Hit[T]] = []
        present = set(stems)
        possible: dict[str, list[_Entry[T]]] = {}
        for start, word in enumerate(stems):
            keys = (word, _NUMBER) if tokens[start].kind == "figure" else (word,)
            for key in keys:
                if key not in possible:
                    possible[key] = [e for e in self._by_first.get(key, ()) if e.may_match(present)]
                for entry in possible[key]:
                    end, words = _match(entry.elements, 0, tokens, stems, start)
                    if end > start:
                        hits.append(Hit(entry.meaning, start, end, entry.phrase, words))
        return hits

    def _elements(self, phrase: str) -> list[Element]:
        elements: list[Element] = []
        for part in _PARTS.findall(phrase.lower()):
            if re.fullmatch(r"~\d*", part):
                elements.append(Element(gap=int(part[1:] or 3)))
                continue
            grouped = len(part) > 2 and part[0] == "(" and part.rstrip("?").endswith(")")
            optional = grouped and part.endswith("?")
            body = part.rstrip("?")[1:-1] if grouped else part
            alternatives = tuple(a for choice in _choices(body) for a in self._alternatives(choice))
            if len(alternatives) > 1 or grouped or body.startswith("<"):
                elements.append(Element(alternatives, optional=optional))
            else:
                elements.extend(Element(((w,),)) for a in alternatives for w in a)
        return elements

    def _alternatives(self, choice: str) -> tuple[tuple[str, ...], ...]:
        if choice == _NUMBER:
            return ((_NUMBER,),)
        if re.fullmatch(r"<\w+>", choice):
            return self._classes[choice[1:-1]]
        words: list[str] = []
        for part in choice.split():
            words.extend((_NUMBER,) if part == _NUMBER else _words(part))
        return (tuple(words),) if words else ()


_PARTS = re.compile(r"\([^()]+\)\??|\S+")


def _choices(body: str) -> list[str]:
    return [body] if body == "|" else body.split("|")


def longest(hits: Iterable[Hit[T]]) -> list[Hit[T]]:
    """The hits that are left when, from left to right, the longest wins and none overlap."""
    kept: list[Hit[T]] = []
    taken: set[int] = set()
    for hit in sorted(hits, key=lambda h: (h.start - h.end, h.start)):
        span = range(hit.start, hit.end)
        if not any(i in taken for i in span):
            taken.update(span)
            kept.append(hit)
    return sorted(kept, key=lambda h: h.start)


def _words(phrase: str) -> tuple[str, ...]:
    return tuple(t.stem for t in tokenise(phrase))


def _without_leading_options(elements: list[Element]) -> Iterable[tuple[Element, ...]]:
    while elements and elements[0].optional:
        yield (Element(elements[0].alternatives), *elements[1:])
        elements = elements[1:]
    if elements and elements[0].alternatives:
        yield tuple(elements)


_NO_MATCH = (-1, 0)


def _match(
    elements: tuple[Element, ...], at: int, tokens: Sequence[Token], stems: Sequence[str], pos: int
) -> tuple[int, int]:
    """The end of the longest match of `elements[at:]` from token `pos` (or -1), and its words as bits."""
    if at == len(elements):
        return pos, 0
    element = elements[at]
    if element.gap:
        for extra in range(element.gap + 1):
            if pos + extra > len(tokens) or (extra and not _ordinary(tokens[pos + extra - 1])):
                break
            found = _match(elements, at + 1, tokens, stems, pos + extra)
            if found[0] >= 0:
                return found
        return _NO_MATCH
    best = _NO_MATCH
    for skipped in range(_MOST_SKIPPED + 1 if at else 1):
        here = pos + skipped
        if here > len(tokens) or (skipped and stems[here - 1] not in SKIPPED):
            break
        for alternative in element.alternatives:
            after, words = _literal(alternative, tokens, stems, here)
            if after >= 0:
                end, rest = _match(elements, at + 1, tokens, stems, after)
                if end >= 0:
                    best = max(best, (end, words | rest))
        if best[0] >= 0:
            return best
    return _match(elements, at + 1, tokens, stems, pos) if element.optional else _NO_MATCH


def _literal(
    words: tuple[str, ...], tokens: Sequence[Token], stems: Sequence[str], pos: int
) -> tuple[int, int]:
    bits = 0
    for place, word in enumerate(words):
        for _ in range(_MOST_SKIPPED if place else 0):
            if pos < len(tokens) and stems[pos] in SKIPPED and stems[pos] != word:
                pos += 1
        if pos >= len(tokens):
            return _NO_MATCH
        if word == _NUMBER:
            if tokens[pos].kind != "figure" and stems[pos] not in COUNTING:
                return _NO_MATCH
        elif stems[pos] != word and not (word == "," and stems[pos] == ";"):
            return _NO_MATCH
        bits |= 1 << pos
        pos += 1
    return pos, bits


_NUMBER_WORDS = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
    "twenty",
]  # fmt: skip
COUNTING = {word: value for value, word in enumerate(_NUMBER_WORDS)}
"""Numbers in words, zero to twenty."""


_NOT_IN_A_GAP = frozenset(
    [
        "no",
        "not",
        "without",
        "never",
        "nor",
        "but",
        "denie",
        "denied",
        "nil",
        "none",
        "free",
        "or",
        "nothing",
        "neither",
        "nobody",
        "hardly",
        "perhap",
        "maybe",
        "possibly",
        "probably",
    ]
)


def _ordinary(token: Token) -> bool:
    if token.kind == "mark":
        return token.norm in "()'\"/+&>" or (token.norm == "-" and not token.spaced)
    return token.stem not in _NOT_IN_A_GAP
