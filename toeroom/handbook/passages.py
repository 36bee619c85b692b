"""The passage of a section that answers a question, and the words in it that were looked for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from toeroom.handbook.words import Synonyms

LONGEST = 320
_SENTENCE = re.compile(r"(?<=[.!?:])\s+(?=[\w\"“(])")


@dataclass(frozen=True, slots=True)
class Passage:
    """Words of a page as they stand there; `marks` are the (start, end) of those that were looked for."""

    text: str
    marks: tuple[tuple[int, int], ...] = ()


def passage_of(text: str, weights: Mapping[str, float], synonyms: Synonyms) -> Passage:
    """The run of whole sentences of `text`, at most `LONGEST` characters, with most of the terms looked for.

    `weights` says how much each term counts; a term counts once in a passage. The earliest of
    equally good runs is taken; one sentence longer than that is cut.
    """
    sentences = [s for line in text.split("\n") for s in _SENTENCE.split(line) if s]
    if not sentences:
        return Passage("")
    held = [synonyms.terms_of_line(sentence) & weights.keys() for sentence in sentences]
    best, best_score = (0, 1), -1.0
    for first in range(len(sentences)):
        size, terms = 0, set[str]()
        for last in range(first, len(sentences)):
            size += len(sentences[last]) + 1
            if last > first and size > LONGEST:
                break
            terms |= held[last]
            score = sum(weights[t] for t in terms)
            if score > best_score + 1e-9:
                best, best_score = (first, last + 1), score
    chosen = " ".join(sentences[best[0] : best[1]])
    for sentence in sentences[best[1] :]:
        if len(chosen) + len(sentence) + 1 > LONGEST:
            break
        chosen += " " + sentence
    return marked(_cut(chosen), weights, synonyms)


def marked(text: str, weights: Mapping[str, float], synonyms: Synonyms) -> Passage:
    """`text` with the places of the terms looked for."""
    words = synonyms.words(text)
    places = {i for i, word in enumerate(words) if word.searched and word.stem in weights}
    for meaning in synonyms.meanings(words):
        if meaning.term in weights:
            places.update(meaning.places)
    return Passage(text, tuple((words[i].start, words[i].end) for i in sorted(places)))


def _cut(text: str) -> str:
    if len(text) <= LONGEST * 2:
        return text
    return text[: LONGEST * 2].rsplit(" ", 1)[0] + " …"
