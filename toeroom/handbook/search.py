"""A question, the terms it is looked up by, and the pages that answer it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from whoosh.scoring import BM25F

from toeroom.handbook.index import PAGE_FIELDS, SECTION_FIELDS, Opened
from toeroom.handbook.passages import Passage, passage_of
from toeroom.handbook.spelling import is_known, nearest_word
from toeroom.handbook.words import Synonyms, Word

MOST_WORDS = 60
SECTIONS = 2
COMMON = 500


@dataclass(frozen=True, slots=True)
class Weights:
    """What counts how much. The figures were set on questions, as docs/search.md tells.

    called … text: a word found in that field. meaning: a phrase found by what it stands for. within:
    a single word that is part of such a phrase. section: the best section of a page, beside what the
    page scores as a whole; further: each next section, of its score. corrected: a word whose spelling
    was corrected. covered: how much of the score goes by the share of the question that a page holds.
    """

    called: float = 1.6
    title: float = 0.8
    words: float = 1.2
    asked: float = 4.0
    terms: float = 0.5
    heading: float = 1.0
    text: float = 1.5
    meaning: float = 1.6
    within: float = 0.7
    section: float = 0.5
    further: float = 0.05
    corrected: float = 0.8
    covered: float = 0.6

    def of(self, name: str) -> float:
        """The weight of a field."""
        return float(getattr(self, name))


WEIGHTS = Weights()


@dataclass(frozen=True, slots=True)
class SectionHit:
    """A section that answers, its passage and score."""

    heading: str
    score: float
    passage: Passage
    number: int


@dataclass(frozen=True, slots=True)
class Hit:
    """A page that answers: its best section first. `coverage` is the share, from 0 to 1, of what was
    asked that the page holds, rare words counting more."""

    page: str
    title: str
    heading: str
    score: float
    passage: Passage
    coverage: float
    sections: tuple[SectionHit, ...]

    @property
    def text(self) -> str:
        """The passage, plain."""
        return self.passage.text

    def as_json(self) -> dict[str, object]:
        """As `search --json` shows it."""
        return {
            "page": self.page,
            "heading": self.heading,
            "score": self.score,
            "text": self.text,
            "title": self.title,
            "coverage": self.coverage,
            "marks": [list(mark) for mark in self.passage.marks],
            "sections": [
                {"heading": s.heading, "score": s.score, "text": s.passage.text} for s in self.sections
            ],
        }


@dataclass(frozen=True, slots=True)
class SearchResult:
    """The answer to a search. `corrected` is the text as it was searched, where its spelling was changed."""

    query: str
    corrected: str | None
    hits: tuple[Hit, ...]

    def as_json(self) -> dict[str, object]:
        """As `search --json` shows it."""
        return {
            "query": self.query,
            "corrected": self.corrected,
            "hits": [hit.as_json() for hit in self.hits],
        }


@dataclass
class Asked:
    """A question worked out: each thing asked, the terms that find it and how much they count."""

    units: list[set[str]] = field(default_factory=list)
    weights: dict[str, float] = field(default_factory=dict)
    corrected: str | None = None


def understand(text: str, opened: Opened, synonyms: Synonyms, weights: Weights = WEIGHTS) -> Asked:
    """The terms that `text` is looked up by. Its words never act as a query language."""
    words = synonyms.words(text)[:MOST_WORDS]
    changed = {i: near for i, word in enumerate(words) if (near := _respelled(word, opened, synonyms))}
    asked = Asked()
    if changed:
        asked.corrected = _rewritten(text, words, changed)
        words = [_replaced(w, changed[i], synonyms) if i in changed else w for i, w in enumerate(words)]
    units = {i: {word.stem} for i, word in enumerate(words) if word.searched}
    factor = {i: weights.corrected if i in changed else 1.0 for i in units}
    for meaning in synonyms.meanings(words, question=True):
        inside = [i for i in meaning.places if i in units]
        asked.weights[meaning.term] = weights.meaning * min(factor[i] for i in inside)
        for i in inside:
            units[i].add(meaning.term)
            if len(meaning.places) > 1:
                factor[i] *= weights.within
    for i, counts in factor.items():
        asked.weights[words[i].stem] = max(counts, asked.weights.get(words[i].stem, 0.0))
    asked.units = list(units.values())
    return asked


def _respelled(word: Word, opened: Opened, synonyms: Synonyms) -> str | None:
    if not word.searched or word.text in synonyms.forms or is_known(word.text, word.stem, opened):
        return None
    return nearest_word(word.text, opened)


def _replaced(word: Word, near: str, synonyms: Synonyms) -> Word:
    return replace(synonyms.words(near)[0], start=word.start, end=word.end)


def _rewritten(text: str, words: list[Word], changed: dict[int, str]) -> str:
    pieces, at = [], 0
    for i, word in enumerate(words):
        pieces += [text[at : word.start], changed.get(i, text[word.start : word.end])]
        at = word.end
    return " ".join("".join([*pieces, text[at:]]).split())


def search(
    text: str, opened: Opened, synonyms: Synonyms, *, limit: int = 10, weights: Weights = WEIGHTS
) -> SearchResult:
    """The pages that answer `text`, best first: by score rounded to four digits, then by id."""
    asked = understand(text, opened, synonyms, weights)
    ranked = rank(asked, opened, weights)[: max(limit, 0)]
    hits = tuple(_hit(found, asked, opened) for found in ranked)
    return SearchResult(text, asked.corrected, hits)


@dataclass(frozen=True, slots=True)
class Ranked:
    """A page found; `sections` are (score, minus its number, document), best first."""

    page: str
    score: float
    coverage: float
    sections: list[tuple[float, int, int]]


def rank(asked: Asked, opened: Opened, weights: Weights = WEIGHTS) -> list[Ranked]:
    """The pages that hold something of what is asked, best first."""
    if not asked.weights:
        return []
    scores: dict[str, float] = defaultdict(float)
    for document, score in _found(asked, PAGE_FIELDS, opened, weights).items():
        scores[opened.place(document)[0]] += score
    sections: dict[str, list[tuple[float, int, int]]] = defaultdict(list)
    for document, score in _found(asked, SECTION_FIELDS, opened, weights).items():
        page, number = opened.place(document)
        sections[page].append((score, -number, document))
    for page, parts in sections.items():
        parts.sort(reverse=True)
        best, further = parts[0][0], sum(part[0] for part in parts[1:4])
        scores[page] += weights.section * (best + weights.further * further)
    covered = _coverage(asked, opened)
    for page in scores:
        scores[page] *= 1 - weights.covered + weights.covered * covered.get(page, 0.0)
    found_pages = [Ranked(p, scores[p], covered.get(p, 0.0), sections.get(p, [])) for p in scores]
    return sorted(found_pages, key=lambda found: (-round(found.score, 4), found.page))


def ranking() -> BM25F:
    """How Whoosh scores one word in one field."""
    return BM25F(
        B=0.6, K1=1.2, called_B=0.9, title_B=0.2, words_B=0.2, asked_B=0.2, terms_B=0.2, heading_B=0.3
    )


def _found(asked: Asked, fields: tuple[str, ...], opened: Opened, weights: Weights) -> Mapping[int, float]:
    """The documents that hold any of the terms in any of `fields`, each with its score.

    In a large book a word that very many documents hold tells little and takes most of the time: it
    is left out where a rarer one is asked for as well.
    """
    most = max(COMMON, opened.searcher.doc_count_all() // 50)
    wanted = [
        (held, counts * weights.of(name), name, term)
        for term, counts in sorted(asked.weights.items())
        for name in fields
        if weights.of(name) and (held := opened.held(name, term))
    ]
    found: dict[int, float] = defaultdict(float)
    for _, boost, name, term in [one for one in wanted if one[0] <= most] or wanted:
        for document, score in opened.scores(name, term).items():
            found[document] += boost * score
    return found


def _coverage(asked: Asked, opened: Opened) -> Mapping[str, float]:
    """For each page the share of the units of the question that it holds, by how rare each is."""
    count = max(1, opened.pages)
    total, held = 0.0, defaultdict[str, float](float)
    for unit in asked.units:
        pages = frozenset[str]().union(*(opened.holding(term) for term in unit))
        rare = math.log(1 + count / (len(pages) + 0.5))
        total += rare
        for page in pages:
            held[page] += rare
    return {page: round(value / total, 4) for page, value in held.items()}


def _hit(ranked: Ranked, asked: Asked, opened: Opened) -> Hit:
    title, first = opened.opening(ranked.page)
    # A page found by its title or other words only opens with its short answer.
    best = ranked.sections[:SECTIONS] or [(0.0, 0, first)]
    sections: list[SectionHit] = []
    for score, minus_number, document in best:
        stored = opened.searcher.stored_fields(document)
        passage = passage_of(stored["sentences"], asked.weights)
        sections.append(SectionHit(stored["name"], round(score, 4), passage, -minus_number))
    return Hit(
        page=ranked.page,
        title=title,
        heading=sections[0].heading,
        score=round(ranked.score, 4),
        passage=sections[0].passage,
        coverage=ranked.coverage,
        sections=tuple(sections),
    )
