"""Whether the words of a question lean to what the handbook holds or to other things.

Each word, pair of words and meaning has a relevance weight (Robertson and Spärck Jones 1976,
J Am Soc Inf Sci 27:129): the log of its odds among how people ask for other things (kb/outside.yaml),
over its odds among how they ask for our pages (kb/asked.yaml). "Price of" leans outwards, "in the toe
box" inwards. Nothing here knows a language: the weights are counted from those two files alone.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from itertools import pairwise

from toeroom.handbook.words import Synonyms

SEEN = 2
"""A word counts from so many askings on: one alone tells nothing."""
PAIR = " "


def weights_of(asked: Collection[str], outside: Collection[str], synonyms: Synonyms) -> dict[str, float]:
    """The weight of each feature of the askings, in natural logs; above 0 leans outwards.

    Empty where either side is: then nothing leans.
    """
    if not (asked and outside):
        return {}
    inside, beyond = _counted(asked, synonyms), _counted(outside, synonyms)
    found = {}
    for feature in inside.keys() | beyond.keys():
        held, other = inside[feature], beyond[feature]
        if held + other >= SEEN:
            odds = _log_odds(other, len(outside)) - _log_odds(held, len(asked))
            found[feature] = round(odds, 3)
    return found


def leaning(text: str, weights: Mapping[str, float], synonyms: Synonyms) -> float:
    """The sum of the weights of what `text` holds: below 0 as our pages are asked for, above 0 as others."""
    # In a fixed order: sums of floats depend on it.
    return sum(weights.get(feature, 0.0) for feature in sorted(_features(text, synonyms)))


def _counted(texts: Iterable[str], synonyms: Synonyms) -> Counter[str]:
    counts: Counter[str] = Counter()
    for text in texts:
        counts.update(_features(text, synonyms))
    return counts


def _features(text: str, synonyms: Synonyms) -> set[str]:
    """The stems of `text`, also of words that are not searched ("how much"), pairs of them, and meanings."""
    words = synonyms.words(text)
    stems = [word.stem for word in words]
    pairs = {first + PAIR + second for first, second in pairwise(stems)}
    return {*stems, *pairs, *(meaning.term for meaning in synonyms.meanings(words, question=True))}


def _log_odds(count: int, total: int) -> float:
    return math.log((count + 0.5) / (total - count + 0.5))
