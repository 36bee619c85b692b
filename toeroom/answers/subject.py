"""Whether a question is about our subject, or only shares a few words with the handbook."""

from __future__ import annotations

from collections.abc import Iterable

from toeroom.answers.refusing import Refusals
from toeroom.handbook.handbook import Handbook
from toeroom.vocabulary import Finding, Vocabulary

COVERED_WITHOUT_SUBJECT = 0.5
COVERED_WITH_GENERAL_WORDS = 0.45
COVERED_BY_GENERAL_WORDS = 0.5
COVERED_BESIDE_STRANGE_WORDS = 0.27
"""Shares of what was asked that the best page must hold, rare words counting more: where no word or
phrase of our subject stands in the question; where only words stand that other subjects use as well,
beside words that no page knows or without such; where a word of our own stands beside words that no page
knows. docs/ask.md tells how they were set."""


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

    def answerable(self, question: str, corrected: str | None, covered: float) -> bool:
        """Whether the handbook may answer `question`, of which its best page holds the share `covered`.

        `corrected` is the question as it was searched, where its spelling was changed.
        """
        synonyms = self.handbook.synonyms
        words = synonyms.words(corrected or question)
        searched = {i: word.stem for i, word in enumerate(words) if word.searched}
        meant = list(synonyms.meanings(words, question=True))
        named = {stem for stem in searched.values() if stem in self.stems}
        own = named - self.general or any(
            not {searched.get(i) for i in meaning.places} <= self.general for meaning in meant
        )
        if not (named or meant):
            return covered >= COVERED_WITHOUT_SUBJECT
        strange = any(not self.handbook.knows(stem) for stem in searched.values())
        if own:
            return not strange or covered >= COVERED_BESIDE_STRANGE_WORDS
        strange = strange or self._guessed(question, corrected)
        return covered >= (COVERED_WITH_GENERAL_WORDS if strange else COVERED_BY_GENERAL_WORDS)

    def _guessed(self, question: str, corrected: str | None) -> bool:
        """Whether a word was taken for a slip of the pen that may be right, and of another subject."""
        words = self.handbook.synonyms.words
        pairs = zip(words(question), words(corrected or question), strict=False)
        return any(one.text != other.text for one, other in pairs)
