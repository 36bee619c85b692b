"""Words nobody wrote in the handbook, and the nearest that somebody did."""

from __future__ import annotations

from whoosh.lang.porter import stem

from toeroom.handbook.index import Opened

SHORTEST = 4
LONG = 8


def nearest_word(word: str, opened: Opened) -> str | None:
    """The word of the handbook or its synonyms that `word` was probably meant to be, or None.

    One slip (a letter more, less, other, or two swapped) in a word of four letters or more, two in
    one of eight or more, never in the first letter. Of equally near words the commonest, then the
    first in the alphabet. Words with digits are left alone.
    """
    if len(word) < SHORTEST or not word.isalpha():
        return None
    allowed = 2 if len(word) >= LONG else 1
    ranked = sorted(
        (slips(word, other), -common(other, opened), other)
        for other in opened.spelled.get(word[0], ())
        if len(other) >= SHORTEST and _may_be_near(word, other, allowed)
    )
    return ranked[0][2] if ranked and ranked[0][0] <= allowed else None


def _may_be_near(word: str, other: str, allowed: int) -> bool:
    """Whether so few letters and so little length set two words apart that `slips` is worth working out."""
    return abs(len(word) - len(other)) <= allowed and len(set(word) ^ set(other)) <= 2 * allowed


def common(word: str, opened: Opened) -> int:
    """In how many pages the stem of `word` stands."""
    return len(opened.holding(stem(word)))


def slips(one: str, other: str) -> int:
    """How many letters were added, left out, changed or swapped with the next between two words."""
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, a in enumerate(one, 1):
        previous, row = row, [i]
        for j, b in enumerate(other, 1):
            cost = min(previous[j] + 1, row[j - 1] + 1, previous[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        before = previous
    return row[-1]


def is_known(word: str, stem: str, opened: Opened) -> bool:
    """Whether the handbook or its synonyms hold `word`, as written or in another form."""
    return word in opened.spelled.get(word[:1], ()) or bool(opened.holding(stem))
