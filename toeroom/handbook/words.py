"""How a text becomes the terms that are indexed and searched: words, their stems and what they stand for.

A term is a stem ("swell"), or a meaning ("=foot_ulcer") that a group of kb/synonyms.yaml gives to
one of its phrases. Pages and questions go through the same steps, so two wordings of one thing meet.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from whoosh.lang.porter import stem

from toeroom.errors import BookFault
from toeroom.yamltree import Node, parse

_WORD = re.compile(r"\d+(?:[.,]\d+)+|\d+(?=(?:mm|cm|in|g|kg)\b)|[^\W_]+(?:['’][^\W_]+)*")
MEANING = "="
REMEMBERED = 50_000


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a text: in small letters, its stem, where it stands, whether it is searched or ignored."""

    text: str
    stem: str
    start: int
    end: int
    searched: bool = True


@dataclass(frozen=True, slots=True)
class Meaning:
    """A phrase of the synonyms found in a text, and the numbers of its words in the text."""

    term: str
    places: tuple[int, ...]


Phrases = dict[tuple[str, ...], tuple[str, ...]]


@dataclass(frozen=True)
class PhraseTable:
    """Phrases and the meanings they stand for.

    loose: by the stems of their searched words, so that "ball of the foot" is "ball of a foot" too.
    strict: by all their words, where ignoring any would leave a single one: "how often", "too big".
    """

    loose: Phrases = field(default_factory=dict)
    strict: Phrases = field(default_factory=dict)

    def found(self, words: Sequence[Word]) -> Iterator[Meaning]:
        """At each place the longest phrase, none inside another of its kind."""
        searched = [i for i, word in enumerate(words) if word.searched]
        for table, longest, places in (
            (self.loose, self._longest[0], searched),
            (self.strict, self._longest[1], list(range(len(words)))),
        ):
            stems = tuple(words[i].stem for i in places)
            at = 0
            for start in [i for i, first in enumerate(stems) if first in longest]:
                if start < at:
                    continue
                for size in range(min(longest[stems[start]], len(stems) - start), 0, -1):
                    if terms := table.get(stems[start : start + size]):
                        for term in terms:
                            yield Meaning(term, tuple(places[start : start + size]))
                        at = start + size
                        break

    @cached_property
    def _longest(self) -> tuple[dict[str, int], dict[str, int]]:
        """For each stem that a phrase begins with, the most words such a phrase has."""
        found: tuple[dict[str, int], dict[str, int]] = ({}, {})
        for table, longest in zip((self.loose, self.strict), found, strict=True):
            for phrase in table:
                longest[phrase[0]] = max(len(phrase), longest.get(phrase[0], 0))
        return found


@dataclass(frozen=True)
class Synonyms:
    """What kb/synonyms.yaml says, ready to be looked up.

    ignored: words that carry no subject. forms: a word and the word it is read as. written: phrases
    of any text; asked: phrases of a question. capitals: shorthand that is one only as written, such
    as PAD beside pad. lexicon: every word in them, for the spelling.
    """

    ignored: frozenset[str] = frozenset()
    forms: dict[str, str] = field(default_factory=dict)
    written: PhraseTable = field(default_factory=PhraseTable)
    asked: PhraseTable = field(default_factory=PhraseTable)
    capitals: frozenset[str] = frozenset()
    lexicon: frozenset[str] = frozenset()
    # What was worked out before: a word as written to its (text, stem, searched).
    _words: dict[str, tuple[str, str, bool]] = field(default_factory=dict, repr=False, compare=False)

    def words(self, text: str) -> list[Word]:
        """The words of `text`, those that are ignored marked."""
        found: list[Word] = []
        shouted = text.isupper() and len(text.split()) > 2
        for match in _WORD.finditer(text):
            written = match.group()
            if shouted:
                written = written.lower()
            word, stem, searched = self._words.get(written) or self._word(written)
            if word:
                found.append(Word(word, stem, match.start(), match.end(), searched))
        return found

    def _word(self, written: str) -> tuple[str, str, bool]:
        """The text, stem and being searched of a word as written."""
        if len(self._words) > REMEMBERED:
            self._words.clear()
        if written in self.capitals:
            read = (written, written, True)
        else:
            text = plain(written)
            read = (text, str(stem(self.forms.get(text, text))), text not in self.ignored)
        return self._words.setdefault(written, read)

    def meanings(self, words: Sequence[Word], *, question: bool = False) -> Iterator[Meaning]:
        """What the phrases in `words` stand for."""
        return (self.asked if question else self.written).found(words)

    def terms(self, text: str) -> list[str]:
        """The terms under which `text` is indexed: stems and, after them, meanings."""
        words = self.words(text)
        return [w.stem for w in words if w.searched] + [meaning.term for meaning in self.meanings(words)]


def plain(word: str) -> str:
    """A word in small letters, without accents and possessive."""
    word = word.replace("’", "'").lower()
    if word.isascii():
        return word[:60].removesuffix("'s")
    word = "".join(c for c in unicodedata.normalize("NFKD", word) if not unicodedata.combining(c))
    return word[:60].removesuffix("'s")


def read_synonyms(raw: str, path: Path) -> Synonyms:
    """The synonyms written as `raw` in the file at `path`; its form is described in docs/search.md."""
    file = str(path)
    top = parse(raw, file, fault=BookFault).value
    if top is None:
        return Synonyms()
    if not isinstance(top, dict) or not set(top) <= {"ignored", "capitals", "forms", "groups"}:
        raise BookFault(
            "the file holds 'ignored:', 'capitals:', 'forms:' and 'groups:'",
            file=file,
            line=1,
            mend="see docs/search.md",
        )
    ignored = (
        frozenset(plain(word) for word in _phrases(top["ignored"], file)) if "ignored" in top else frozenset()
    )
    capitals = frozenset(_phrases(top["capitals"], file)) if "capitals" in top else frozenset()
    forms: dict[str, str] = {}
    for node in _listed(top.get("forms"), file):
        first, *others = _phrases(node, file)
        for other in others:
            if " " in f"{first}{other}" or plain(other) in forms:
                raise BookFault(
                    f"'{other}' cannot stand here", file=file, line=node.line, mend="one word, once"
                )
            forms[plain(other)] = plain(first)
    return _grouped(top.get("groups"), Synonyms(ignored, forms, capitals=capitals), file)


def _grouped(groups: Node | None, reading: Synonyms, file: str) -> Synonyms:
    written: list[tuple[list[Word], str]] = []
    asked: list[tuple[list[Word], str]] = []
    for node in _listed(groups, file):
        entry = node.value if isinstance(node.value, dict) else {"is": node}
        if not {"is"} <= set(entry) <= {"is", "asked"}:
            raise BookFault(
                "a group has 'is' and may have 'asked'", file=file, line=node.line, mend="see docs/search.md"
            )
        equal = _phrases(entry["is"], file)
        only_asked = _phrases(entry["asked"], file) if "asked" in entry else []
        for phrase in (*equal, *only_asked):
            words = reading.words(phrase)
            if not any(word.searched for word in words):
                raise BookFault(
                    f"'{phrase}' has no word that is searched", file=file, line=node.line, mend="leave it out"
                )
            asked.append((words, MEANING + equal[0].replace(" ", "_")))
            if phrase in equal:
                written.append(asked[-1])
    lexicon = frozenset(reading.forms) | set(reading.forms.values()) | {w.text for p, _ in asked for w in p}
    return replace(reading, written=_table(written), asked=_table(asked), lexicon=lexicon)


def _table(phrases: list[tuple[list[Word], str]]) -> PhraseTable:
    loose: dict[tuple[str, ...], set[str]] = {}
    strict: dict[tuple[str, ...], set[str]] = {}
    for words, term in phrases:
        searched = [word for word in words if word.searched]
        if len(searched) == 1 < len(words):
            strict.setdefault(tuple(word.stem for word in words), set()).add(term)
        else:
            loose.setdefault(tuple(word.stem for word in searched), set()).add(term)
    return PhraseTable(*({p: tuple(sorted(terms)) for p, terms in t.items()} for t in (loose, strict)))


def _listed(node: Node | None, file: str) -> Iterable[Node]:
    if node is None or node.value is None:
        return []
    if not isinstance(node.value, list):
        raise BookFault("a list is wanted here", file=file, line=node.line, mend="see docs/search.md")
    return node.value


def _phrases(node: Node, file: str) -> list[str]:
    found = [" ".join(n.value.split()) for n in _listed(node, file) if isinstance(n.value, str)]
    if not found or len(found) != len(list(_listed(node, file))):
        raise BookFault(
            "a list of phrases is wanted here", file=file, line=node.line, mend="write [one, two]"
        )
    return found
