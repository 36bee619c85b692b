"""How hard a text is to read."""

from __future__ import annotations

import re
from collections.abc import Iterable

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_VOWELS = re.compile(r"[aeiouy]+")


def word_count(lines: Iterable[str]) -> int:
    """The number of words in `lines`; a number counts as one."""
    return sum(len(re.findall(r"[^\W_]+(?:['’.,-][^\W_]+)*", line)) for line in lines)


def grade_of(lines: Iterable[str]) -> float:
    """The Flesch-Kincaid grade of `lines`, to one decimal: the years of school it asks for.

    0.39 × words a sentence + 11.8 × syllables a word − 15.59 (Kincaid et al. 1975). Syllables are
    counted by groups of vowels, a silent e left out: good to about one grade over a page.
    """
    sentences, words, syllables = 0, 0, 0
    for line in lines:
        for sentence in re.split(r"[.!?:;]+(?:\s|$)", line):
            found = _WORD.findall(sentence)
            if found:
                sentences, words = sentences + 1, words + len(found)
                syllables += sum(syllables_of(word) for word in found)
    if not words:
        return 0.0
    return round(0.39 * words / sentences + 11.8 * syllables / words - 15.59, 1)


def syllables_of(word: str) -> int:
    """The syllables of a word, at least one, by its groups of vowels."""
    word = word.lower()
    count = len(_VOWELS.findall(word))
    if word.endswith("e") and not word.endswith(("le", "ee")) and count > 1:
        count -= 1
    if word.endswith("ed") and not word.endswith(("ted", "ded")) and count > 1:
        count -= 1
    return max(1, count)
