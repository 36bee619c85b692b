"""The phrases that name a finding, a measure or what is asked about one.

They come from the vocabulary (`words`, `no_words`) and from kb/lexicon.yaml, which adds patterns.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import cast

from toeroom.answers.patterns import Phrases
from toeroom.answers.spelling import Speller
from toeroom.errors import BookFault
from toeroom.vocabulary import Vocabulary
from toeroom.yamltree import read_book_file

KEYS = {
    "classes",
    "spelling",
    "within",
    "presupposed",
    "means_nothing",
    "implies",
    "lies_at",
    "refused_words",
    "findings",
    "measures",
    "not_measures",
    "mend_to",
    "ordinary",
}


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a phrase says.

    `role` is yes or no (it states the finding), about (it only names what is asked), label (it
    names a measure), after (it names a measure behind its number), felt (it counts sites that were
    felt), other (a number beside it is no measure) or nothing (a longer phrase that only takes words).
    """

    id: str
    role: str


@dataclass(frozen=True, slots=True)
class Judgements:
    """How the thing a finding is `about` may be judged, beyond the words of kb/cues.yaml.

    `generic`: those words hold too. `place`: what it is about is only a place or a thing ("heel",
    "insole"), which says nothing until it is judged.
    """

    no_if: tuple[str, ...] = ()
    yes_if: tuple[str, ...] = ()
    generic: bool = True
    place: bool = False


@dataclass(frozen=True)
class LexiconData:
    """kb/lexicon.yaml as read: plain lists of phrases."""

    file: str
    classes: dict[str, list[str]]
    spelling: dict[str, str]
    within: dict[str, list[str]]
    presupposed: list[str]
    means_nothing: list[str]
    implies: dict[str, list[str]]
    lies_at: dict[str, list[str]]
    refused_words: dict[str, list[str]]
    findings: dict[str, dict[str, list[str] | str]]
    measures: dict[str, dict[str, list[str]]]
    not_measures: list[str]
    mend_to: list[str]
    ordinary: list[str]


@dataclass(frozen=True)
class Lexicon:
    """The phrases of one vocabulary, ready to be looked for."""

    findings: Phrases[Meaning]
    measures: Phrases[Meaning]
    judgements: dict[str, Judgements]
    speller: Speller
    within: dict[str, frozenset[str]]
    presupposed: frozenset[str]
    implies: dict[str, tuple[str, ...]]
    lies_at: dict[str, tuple[str, ...]]


def read_lexicon(path: Path) -> LexiconData:
    """The lexicon in the file at `path`; `BookFault` for a key that is not known or missing."""
    tree = read_book_file(path).plain()
    if not isinstance(tree, dict):
        raise BookFault("is not a lexicon", file=str(path), mend="see docs/understanding.md")
    data = cast(dict[str, object], tree)
    if set(data) != KEYS:
        odd = sorted(set(data) ^ KEYS)[0]
        raise BookFault(
            f"'{odd}' is missing or not known here", file=str(path), mend="see docs/understanding.md"
        )
    return LexiconData(file=str(path), **data)  # type: ignore[arg-type]


def make_lexicon(data: LexiconData, vocabulary: Vocabulary, cue_words: set[str]) -> Lexicon:
    """The lexicon of `vocabulary`; `cue_words` are further words that are never a slip of the pen."""
    for term_id in (
        *data.findings,
        *data.measures,
        *data.within,
        *data.refused_words,
        *data.implies,
        *data.lies_at,
    ):
        if term_id not in vocabulary.by_id:
            raise BookFault(f"'{term_id}' is not in the vocabulary", file=data.file, mend="use an id of it")
    findings = Phrases(_finding_entries(data, vocabulary), data.classes)
    measures = Phrases(_measure_entries(data, vocabulary), data.classes)
    known = (
        findings.words
        | measures.words
        | cue_words
        | {w for phrases in data.classes.values() for p in phrases for w in p.split()}
    )
    return Lexicon(
        findings,
        measures,
        {i: _judgements(entry) for i, entry in data.findings.items()},
        Speller(data.mend_to, known | set(data.ordinary), data.spelling),
        {i: frozenset(inner or ()) for i, inner in data.within.items()},
        frozenset(data.presupposed),
        {i: tuple(then) for i, then in data.implies.items()},
        {i: tuple(then) for i, then in data.lies_at.items()},
    )


def _finding_entries(data: LexiconData, vocabulary: Vocabulary) -> list[tuple[str, Meaning]]:
    entries = [(w, Meaning("", "nothing")) for w in data.means_nothing]
    for term_id, finding in vocabulary.findings.items():
        refused = data.refused_words.get(term_id) or ()
        own = data.findings.get(term_id, {})
        said = [w for w in finding.words if w not in refused]
        entries += [(w, Meaning(term_id, "yes")) for w in (*said, *(own.get("yes") or ()))]
        denied = [w for w in finding.no_words if w not in refused]
        entries += [(w, Meaning(term_id, "no")) for w in (*denied, *(own.get("no") or ()))]
        entries += [(w, Meaning(term_id, "about")) for w in own.get("about") or ()]
    return entries


def _measure_entries(data: LexiconData, vocabulary: Vocabulary) -> list[tuple[str, Meaning]]:
    entries = [(w, Meaning("", "other")) for w in data.not_measures]
    for term_id, measure in vocabulary.measures.items():
        own = data.measures.get(term_id, {})
        entries += [(w, Meaning(term_id, "label")) for w in (*measure.words, *(own.get("words") or ()))]
        entries += [(w, Meaning(term_id, "after")) for w in own.get("after") or ()]
        entries += [(w, Meaning(term_id, "felt")) for w in own.get("felt") or ()]
    return entries


def _judgements(entry: dict[str, list[str] | str]) -> Judgements:
    return Judgements(
        tuple(entry.get("no_if") or ()),
        tuple(entry.get("yes_if") or ()),
        entry.get("generic") != "no",
        entry.get("place") == "yes",
    )
