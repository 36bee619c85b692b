"""Whether a question is about our subject, or only shares a few words with the handbook."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import astuple, dataclass

from toeroom.answers.refusing import Refusals
from toeroom.handbook.handbook import Handbook
from toeroom.handbook.search import SearchResult
from toeroom.vocabulary import Finding, Vocabulary

MOST_LEANING = 15.0
"""Leaning beyond this, in natural logs, tells no more: long questions add up to any sum."""
LOOKED_UP = 2
"""So many words, all of our subject, are looked up whatever they lean to."""
BESIDE = 5
"""The best page is held against the one that comes so many places after it."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What tells whether a question is ours, each about 0 to 1.

    covered: the share of what was asked that the best page holds, rare words counting more. told:
    whether a finding was understood. own: words or phrases of no other subject, up to two. strange:
    words that no page knows, up to two. leaning: how its words lean to how other things are asked for
    (-1 to 1). score: how well the best page scores, in logs. ahead: how far it is ahead of the others.
    """

    covered: float
    told: float
    own: float
    strange: float
    leaning: float
    score: float
    ahead: float


WEIGHTS = Evidence(covered=2.07, told=1.27, own=1.46, strange=-1.84, leaning=-5.88, score=0.09, ahead=2.87)
LEAST = 4.40
"""A question is answered where the weighted evidence comes to this. Set by `bench/refusing.py`, a
logistic regression over the questions used in development; docs/ask.md has the figures."""


class Subject:
    """The words and phrases of our subject: vocabulary, other words of the pages, and a list."""

    def __init__(self, handbook: Handbook, vocabulary: Vocabulary, refusals: Refusals) -> None:
        self.handbook = handbook
        phrases = [*refusals.subject]
        for term in vocabulary.by_id.values():
            phrases += [term.label, *term.words]
            if isinstance(term, Finding):
                phrases += term.no_words
        for page in handbook.pages.values():
            phrases += page.words
        self.stems = self._stems(phrases)
        self.general = self._stems(refusals.general)

    def _stems(self, phrases: Iterable[str]) -> set[str]:
        """The stems of the phrases of one word; the words of a longer one may be of any subject."""
        found = (self.handbook.synonyms.words(phrase) for phrase in phrases)
        return {words[0].stem for words in found if len(words) == 1 and words[0].searched}

    def answerable(self, question: str, result: SearchResult, *, told: bool) -> bool:
        """Whether the handbook may answer `question`, for which it found `result`.

        told: whether the question states a finding that says more than a general one.
        """
        if not result.hits:
            return False
        looked_up = self._is_look_up(result.corrected or question)
        return looked_up or weighed(self.evidence(question, result, told=told)) >= LEAST

    def _is_look_up(self, text: str) -> bool:
        """A few words, each one of our subject: "slippers"."""
        stems = [word.stem for word in self.handbook.synonyms.words(text) if word.searched]
        return 0 < len(stems) <= LOOKED_UP and all(stem in self.stems for stem in stems)

    def evidence(self, question: str, result: SearchResult, *, told: bool) -> Evidence:
        """What tells whether `question` is ours."""
        text, scores = result.corrected or question, [hit.score for hit in result.hits] or [0.0]
        strange, own = self._words(text)
        beside = scores[BESIDE] if len(scores) > BESIDE else 0.0
        leaning = self.handbook.leaning(text) / MOST_LEANING
        return Evidence(
            covered=result.hits[0].coverage if result.hits else 0.0,
            told=float(told),
            own=min(2, own) / 2,
            strange=min(2, strange) / 2,
            leaning=max(-1.0, min(1.0, leaning)),
            score=math.log1p(scores[0]) / 4,
            ahead=(scores[0] - beside) / scores[0] if scores[0] else 0.0,
        )

    def _words(self, text: str) -> tuple[int, int]:
        """How many words of `text` no page knows, and how many words or phrases are only ours."""
        synonyms = self.handbook.synonyms
        words = synonyms.words(text)
        searched = {i: word.stem for i, word in enumerate(words) if word.searched}
        strange = sum(not self.handbook.knows(stem) for stem in searched.values())
        own = sum(stem in self.stems and stem not in self.general for stem in searched.values())
        own += sum(
            not {searched.get(i) for i in meaning.places} <= self.general
            for meaning in synonyms.meanings(words, question=True)
        )
        return strange, own


def weighed(evidence: Evidence) -> float:
    """The evidence in one number; the more, the surer that the handbook holds it."""
    pairs = zip(astuple(WEIGHTS), astuple(evidence), strict=True)
    return float(sum(weight * value for weight, value in pairs))
