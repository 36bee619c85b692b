"""The code table of a book, `kb/codes.yaml`: standard codes for terms, places and values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BookFault, nearest
from toeroom.vocabulary import PERSON, SIDES, Vocabulary
from toeroom.yamltree import Node, read_book_file

OWN = "urn:uuid:7d8f2c0a-5b1e-5c7e-9a43-2f6d1b0e8c55"
"""toeroom's own code system: its codes are the ids of the vocabulary."""
SAME, NARROWER = "same", "narrower"
PUBLISHED, MEMORY = "from published list", "from memory"


@dataclass(frozen=True, slots=True)
class Code:
    """A code of a standard system."""

    system: str
    code: str
    display: str

    @property
    def key(self) -> tuple[str, str]:
        """What identifies it."""
        return self.system, self.code

    def as_json(self) -> dict[str, str]:
        """As a FHIR Coding."""
        return {"system": self.system, "code": self.code, "display": self.display}


@dataclass(frozen=True, slots=True)
class Mapped:
    """A standard code for a term. at: the body sites of each side; none for a plain term of the person."""

    term: str
    code: Code
    relation: str
    certain: str
    at: Mapping[str, tuple[Code, ...]]

    @property
    def sent(self) -> bool:
        """Whether it is written on what is sent: it means the same, and a published list shows it."""
        return self.relation == SAME and self.certain == PUBLISHED


@dataclass(frozen=True, slots=True)
class Codes:
    """The table. values: yes, no or unknown by the key of a code."""

    feet: Mapping[str, tuple[Code, ...]]
    terms: tuple[Mapped, ...]
    values: Mapping[tuple[str, str], str]

    def sent_for(self, term: str) -> Mapped | None:
        """The standard code a term is sent with."""
        return next((mapped for mapped in self.terms if mapped.term == term and mapped.sent), None)

    def of_key(self, key: tuple[str, str]) -> list[Mapped]:
        """What a standard code may stand for; the body site tells which."""
        return [mapped for mapped in self.terms if mapped.code.key == key]

    def sides(self) -> dict[tuple[str, str], str]:
        """The side each known body site lies on."""
        tables = (self.feet, *(mapped.at for mapped in self.terms))
        return {code.key: side for at in tables for side, codes in at.items() for code in codes}


def read_codes(path: Path, vocabulary: Vocabulary) -> Codes:
    """The table in the file at `path`; `BookFault` for what it should not hold."""
    return _Reader(str(path), vocabulary).codes(read_book_file(path))


def _sites(mapped: Mapped) -> list[tuple[str, str] | None]:
    return [code.key for codes in mapped.at.values() for code in codes] or [None]


class _Reader:
    def __init__(self, file: str, vocabulary: Vocabulary) -> None:
        self.file, self.vocabulary = file, vocabulary
        self.systems: dict[str, str] = {}

    def fault(self, what: str, node: Node, mend: str) -> BookFault:
        return BookFault(what, file=self.file, line=node.key_line or node.line, mend=mend)

    def codes(self, tree: Node) -> Codes:
        top = self.mapping(tree, "the file", {"systems", "feet", "terms", "values"})
        self.systems = {
            name: self.text(node) for name, node in self.mapping(top["systems"], "systems").items()
        }
        feet = self.at(top["feet"], set(SIDES))
        terms = tuple(self.term(node, feet) for node in self.items(top["terms"]))
        values: dict[tuple[str, str], str] = {}
        for value, node in self.mapping(top["values"], "values", {"yes", "no", "unknown"}).items():
            values |= {self.code(item).key: value for item in self.items(node)}
        self.no_ambiguity(terms, top["terms"])
        return Codes(feet, terms, values)

    def term(self, node: Node, feet: Mapping[str, tuple[Code, ...]]) -> Mapped:
        wanted = {"term", "system", "code", "display", "relation", "certain", "source"}
        entries = self.mapping(node, "a term", wanted, {"at"})
        term_id = self.text(entries["term"])
        known = {**self.vocabulary.findings, **self.vocabulary.measures}
        if term_id not in known:
            raise self.fault(
                f"'{term_id}' is no finding or measure", entries["term"], nearest(term_id, known)
            )
        relations = (SAME,) if term_id in self.vocabulary.measures else (SAME, NARROWER)
        of_foot = known[term_id].scope != PERSON
        at = self.at(entries["at"], set(SIDES if of_foot else [PERSON])) if "at" in entries else None
        self.text(entries["source"])
        return Mapped(
            term_id,
            self.code_of(entries),
            self.one_of(entries["relation"], relations),
            self.one_of(entries["certain"], (PUBLISHED, MEMORY)),
            at if at is not None else feet if of_foot else {},
        )

    def no_ambiguity(self, terms: tuple[Mapped, ...], node: Node) -> None:
        """A code at a place stands for one term, and a term is sent with one code."""
        uses = [(mapped.code.key, site) for mapped in terms for site in _sites(mapped)]
        sent = [mapped.term for mapped in terms if mapped.sent]
        for (key, _), count in Counter(uses).items():
            if count > 1:
                raise self.fault(f"the code {key[1]} stands here for two things", node, "keep one of the two")
        for term, count in Counter(sent).items():
            if count > 1:
                raise self.fault(f"'{term}' would be sent with two codes", node, "keep one of the two")

    def at(self, node: Node, sides: set[str]) -> dict[str, tuple[Code, ...]]:
        return {
            side: tuple(self.code(item) for item in self.items(inner))
            for side, inner in self.mapping(node, "the places", sides).items()
        }

    def code(self, node: Node) -> Code:
        return self.code_of(self.mapping(node, "a code", {"system", "code", "display"}))

    def code_of(self, entries: Mapping[str, Node]) -> Code:
        system = self.one_of(entries["system"], tuple(self.systems))
        return Code(self.systems[system], self.text(entries["code"]), self.text(entries["display"]))

    def mapping(
        self, node: Node, what: str, wanted: set[str] | None = None, also: set[str] | None = None
    ) -> dict[str, Node]:
        if not isinstance(node.value, dict):
            raise self.fault(f"{what} must hold 'name: value' lines", node, "write {name: value}")
        if wanted is not None:
            for key, inner in node.value.items():
                if key not in wanted | (also or set()):
                    raise self.fault(f"'{key}' is not a known key", inner, nearest(key, wanted))
            for key in sorted(wanted - set(node.value)):
                raise self.fault(f"{what} has no '{key}'", node, f"write '{key}: …'")
        return node.value

    def items(self, node: Node) -> Iterator[Node]:
        if not isinstance(node.value, list):
            raise self.fault("a list is wanted here", node, "write '- …' lines")
        yield from node.value

    def text(self, node: Node) -> str:
        if not isinstance(node.value, str) or not node.value.strip():
            raise self.fault("words are wanted here", node, "write a text")
        return node.value.strip()

    def one_of(self, node: Node, allowed: tuple[str, ...]) -> str:
        value = self.text(node)
        if value not in allowed:
            raise self.fault(f"this cannot be '{value}'", node, f"use one of {', '.join(allowed)}")
        return value
