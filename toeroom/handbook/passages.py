"""The passage of a section that answers a question, and the words in it that were looked for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from toeroom.handbook.words import Synonyms, Word

LONGEST = 320
_SENTENCE = re.compile(r"(?<=[.!?:])\s+(?=[\w\"“(])")


@dataclass(frozen=True, slots=True)
class Passage:
    """Words of a page as they stand there; `marks` are the (start, end) of those that were looked for."""

    text: str
    marks: tuple[tuple[int, int], ...] = ()


Sentence = tuple[str, tuple[tuple[str, int, int], ...]]
"""A sentence and the terms in it, each with the (start, end) of the word or phrase that gives it."""


def sentences_of(text: str, synonyms: Synonyms) -> Iterator[tuple[Sentence, list[Word]]]:
    """The sentences of `text`, a line never running into the next, and the words of each."""
    for sentence in (s for line in text.split("\n") for s in _SENTENCE.split(line) if s):
        words = synonyms.words(sentence)
        marks = [(word.stem, word.start, word.end) for word in words if word.searched]
        for meaning in synonyms.meanings(words):
            marks.append((meaning.term, words[meaning.places[0]].start, words[meaning.places[-1]].end))
        yield (sentence, tuple(marks)), words


def passage_of(sentences: Sequence[Sentence], weights: Mapping[str, float]) -> Passage:
    """The run of whole `sentences`, at most `LONGEST` characters, with most of the terms looked for.

    `weights` says how much each term counts; a term counts once in a passage. The earliest of
    equally good runs is taken; one sentence longer than that is cut.
    """
    if not sentences:
        return Passage("")
    first, last = _best_run(sentences, weights)
    size = sum(len(sentence) + 1 for sentence, _ in sentences[first:last])
    while last < len(sentences) and size + len(sentences[last][0]) <= LONGEST:
        size += len(sentences[last][0]) + 1
        last += 1
    text = _cut(" ".join(sentence for sentence, _ in sentences[first:last]))
    return Passage(text, tuple(_marks(sentences[first:last], weights, len(text))))


def _marks(
    sentences: Sequence[Sentence], weights: Mapping[str, float], most: int
) -> Iterator[tuple[int, int]]:
    """Where the terms stand that were looked for, in the sentences with a space between, up to `most`;
    a word inside a phrase is part of its mark."""
    at, begun, until = 0, 0, 0
    for sentence, marks in sentences:
        for start, end in sorted((s, e) for term, s, e in marks if term in weights):
            if at + start >= until > begun:
                yield begun, until
            if at + start >= until:
                begun = at + start
            until = max(until, min(at + end, most))
        at += len(sentence) + 1
    if until > begun:
        yield begun, until


def _best_run(sentences: Sequence[Sentence], weights: Mapping[str, float]) -> tuple[int, int]:
    """The first sentence of the best run, and the one after its last."""
    held = [{mark[0] for mark in marks if mark[0] in weights} for _, marks in sentences]
    best, best_score = (0, 1), -1.0
    for first in range(len(sentences)):
        size, terms = 0, set[str]()
        for last in range(first, len(sentences)):
            size += len(sentences[last][0]) + 1
            if last > first and size > LONGEST:
                break
            if last > first and held[last] <= terms:
                continue
            terms |= held[last]
            score = sum(weights[t] for t in terms)
            if score > best_score + 1e-9:
                best, best_score = (first, last + 1), score
    return best


def _cut(text: str) -> str:
    if len(text) <= LONGEST * 2:
        return text
    return text[: LONGEST * 2].rsplit(" ", 1)[0] + " …"
