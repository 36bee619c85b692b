"""The one list of sources that pages and rules cite by key."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BookFault, nearest
from toeroom.yamltree import Node, read_book_file

KINDS = ("policy", "guideline", "study", "standard", "data", "trade", "text")
SEEN = ("seen", "part", "memory")
_KEYS = ("title", "body", "year", "where", "kind", "seen", "facts", "note")


@dataclass(frozen=True, slots=True)
class Source:
    """A source: who published it, when, where it is officially found.

    `seen` says how well it was checked: `seen` (its figures were read), `part` (some, or at second
    hand), `memory` (not confirmed). `facts` are the numbers of the facts it supports.
    """

    key: str
    title: str
    body: str
    year: str
    where: str
    kind: str
    seen: str
    facts: tuple[str, ...]
    note: str
    line: int

    def __str__(self) -> str:
        return ". ".join(part for part in (self.title, self.body, self.year, self.where) if part)


def read_sources(path: Path) -> dict[str, Source]:
    """The sources in the file at `path`, by key, in the order of the file; `BookFault` for a fault in it."""
    file = str(path)
    top = _mapping(read_book_file(path), file, "the file")
    if set(top) != {"sources"}:
        raise BookFault(
            "the file must hold 'sources:' and nothing else", file=file, line=1, mend="see docs/pages.md"
        )
    return {
        key: _source(key, node, file) for key, node in _mapping(top["sources"], file, "'sources'").items()
    }


def _source(key: str, node: Node, file: str) -> Source:
    entries = _mapping(node, file, f"'{key}'")
    values: dict[str, str] = {}
    for name, value in entries.items():
        if name not in _KEYS:
            mend = nearest(name, _KEYS)
            raise BookFault(f"'{name}' is not a known key", file=file, line=value.key_line, mend=mend)
        if name != "facts":
            if not isinstance(value.value, str):
                raise BookFault(
                    f"'{name}' must be one line of text", file=file, line=value.key_line, mend="add words"
                )
            values[name] = " ".join(value.value.split())
    for needed in _KEYS[:-2]:
        if needed not in values:
            raise BookFault(
                f"'{key}' has no '{needed}'", file=file, line=node.key_line, mend=f"write '{needed}: …'"
            )
    for name, allowed in (("kind", KINDS), ("seen", SEEN)):
        if values[name] not in allowed:
            what = f"'{name}' cannot be '{values[name]}'"
            mend = f"use one of: {', '.join(allowed)}"
            raise BookFault(what, file=file, line=entries[name].key_line, mend=mend)
    facts = entries["facts"].value if "facts" in entries else []
    if not isinstance(facts, list):
        raise BookFault(
            "'facts' must be a list", file=file, line=entries["facts"].key_line, mend="write [I16, M29]"
        )
    return Source(
        key=key,
        facts=tuple(str(fact.value) for fact in facts),
        note=values.pop("note", ""),
        line=node.key_line,
        **values,
    )


def _mapping(node: Node, file: str, what: str) -> dict[str, Node]:
    if not isinstance(node.value, dict):
        raise BookFault(
            f"{what} must be 'name: value' lines", file=file, line=node.line, mend="see docs/pages.md"
        )
    return node.value
