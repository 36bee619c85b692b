"""Words nobody wrote in the handbook, and the nearest that somebody did."""

from __future__ import annotations

from whoosh.lang.porter import stem
from whoosh.searching import Searcher

SHORTEST = 4
LONG = 8


def nearest_word(word: str, searcher: Searcher) -> str | None:
    """The word of the handbook or its synonyms that `word` was probably meant to be, or None.

    One slip (a letter more, less, other, or two swapped) in a word of four letters or more, two in
    one of eight or more, never in the first letter. Of equally near words the commonest, then the
    first in the alphabet. Words with digits are left alone.
    """
    if len(word) < SHORTEST or not word.isalpha():
        return None
    allowed = 2 if len(word) >= LONG else 1
    reader = searcher.reader()
    # The index counts two swapped letters as two slips, so it is asked for one more than is allowed.
    near = reader.terms_within("spelling", word, 2, prefix=1)
    ranked = sorted(
        (slips(word, other), -common(other, searcher), other) for other in near if len(other) >= SHORTEST
    )
    return str(ranked[0][2]) if ranked and ranked[0][0] <= allowed else None


def common(word: str, searcher: Searcher) -> float:
    """In how many pages the stem of `word` stands."""
    return float(searcher.reader().doc_frequency("whole", stem(word)))


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


def is_known(word: str, stem: str, searcher: Searcher) -> bool:
    """Whether the handbook or its synonyms hold `word`, as written or in another form."""
    reader = searcher.reader()
    return any(
        pair in reader for pair in (("spelling", word), ("whole", stem), ("words", stem), ("asked", stem))
    )
