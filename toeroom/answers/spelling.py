"""Slips of the pen, mended where only one word of the trade lies near.

Only words of five letters and more are mended, only towards the words `mend_to` of the lexicon, and
never a word that is ordinary English, a cue or in a phrase itself. One slip (a letter too many, too
few, wrong, or two swapped) is mended; from eight letters on, two. Distance: Damerau 1964, optimal
string alignment.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from toeroom.answers.tokens import stem

SHORTEST = 5
TWO_SLIPS_FROM = 8


class Speller:
    """Mends single words; remembers what it found."""

    def __init__(self, targets: Iterable[str], known: Iterable[str], slips: Mapping[str, str]) -> None:
        self._targets = {w for w in targets if len(w) >= SHORTEST}
        self._known = {stem(w) for w in (*targets, *known)} | set(known)
        self._slips = {stem(slip): stem(meant) for slip, meant in slips.items()}
        self._near: dict[str, list[str]] = {}
        for word in sorted(self._targets):
            for key in _shortened(word):
                self._near.setdefault(key, []).append(word)
        self._seen: dict[str, str] = {}

    def mend(self, word: str) -> str:
        """The lexicon word meant by `word` (a stem), or `word` itself."""
        if word in self._slips:
            return self._slips[word]
        if len(word) < SHORTEST or len(word) > 24 or word in self._known or not word.isalpha():
            return word
        if word not in self._seen:
            if len(self._seen) > 20_000:
                self._seen.clear()
            self._seen[word] = self._meant(word)
        return self._seen[word]

    def _meant(self, word: str) -> str:
        allowed = 2 if len(word) >= TWO_SLIPS_FROM else 1
        near = {c for key in _shortened(word) for c in self._near.get(key, ())}
        ranked = [(distance(word, c), c) for c in near if c[0] == word[0]]
        ranked = [(d, c) for d, c in ranked if d <= (allowed if len(c) >= TWO_SLIPS_FROM else 1)]
        # A letter doubled or not doubled is the commonest slip: "calus" is callus before it is cavus.
        ranked = sorted((0 if _undoubled(c) == _undoubled(word) else d, c) for d, c in ranked)
        if not ranked or (len(ranked) > 1 and ranked[0][0] == ranked[1][0]):
            return word
        return ranked[0][1]


def _undoubled(word: str) -> str:
    return "".join(c for i, c in enumerate(word) if not i or c != word[i - 1])


def _shortened(word: str) -> set[str]:
    return {word, *(word[:i] + word[i + 1 :] for i in range(len(word)))}


def distance(a: str, b: str) -> int:
    """How many letters to add, drop, change or swap with their neighbour to get from `a` to `b`."""
    before: list[int] = []
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        last, row, older = row, [i], before
        for j, y in enumerate(b, 1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (x != y))
            if i > 1 and j > 1 and x == b[j - 2] and a[i - 2] == y:
                cost = min(cost, older[j - 2] + 1)
            row.append(cost)
        before = last
    return row[-1]
