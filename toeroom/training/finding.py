"""Finding what a trainee means: a term or a plan item by some of its words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from toeroom.vocabulary import Term

Found = TypeVar("Found", bound=Term)


def meant(terms: Iterable[Found], text: str) -> tuple[Found, ...]:
    """The terms that `text` may mean, best first; one alone where it is plain.

    Plain is an id, a whole label, or one of its other words, whole; else every word of the text is
    looked for in label, id and other words.
    """
    wanted = " ".join(text.lower().replace("_", " ").split())
    if not wanted:
        return ()
    known = list(terms)
    for name in (_label, _id):
        if exact := [term for term in known if name(term) == wanted]:
            return tuple(exact[:1])
    if (other := [term for term in known if wanted in (w.lower() for w in term.words)]) and len(other) == 1:
        return tuple(other)
    words = wanted.split()
    holding = [term for term in known if all(word in _all_words(term) for word in words)]
    return tuple(sorted(holding, key=lambda term: _rank(term, wanted, words)))


def _label(term: Term) -> str:
    return term.label.lower()


def _id(term: Term) -> str:
    return term.id.replace("_", " ")


def _all_words(term: Term) -> str:
    return f"{_label(term)} {_id(term)} {' '.join(term.words)}".lower()


def _rank(term: Term, wanted: str, words: Sequence[str]) -> int:
    if _label(term).startswith(wanted):
        return 0
    return 1 if all(word in _label(term) for word in words) else 2
