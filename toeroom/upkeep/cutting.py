"""A file of a book cut into its entries, every byte kept.

A writer that dumps a file anew changes lines that nobody asked about. Here an entry (a rule, a word of
the vocabulary, a source) is a stretch of text with the comments above it; what is set or merged is that
stretch, and all else stays as it was written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from toeroom.errors import BookFault
from toeroom.yamltree import Node, parse


@dataclass(frozen=True, slots=True)
class Piece:
    """An entry with the comments above it. key: `topic`, `rules/bunion-build`, `findings/open_wound`."""

    key: str
    text: str

    @property
    def id(self) -> str:
        """The last part of the key."""
        return self.key.rpartition("/")[2]


def cut(text: str, name: str) -> list[Piece]:
    """The pieces of a YAML text, which put together are the text. `BookFault` where it is not valid.

    Entries are cut on two levels: the keys of the file, and below them named entries or list entries
    with an `id`, where each begins on a line of its own.
    """
    text = text if text.endswith("\n") or not text else text + "\n"
    top = parse(text, name, fault=BookFault).value
    lines = text.split("\n")
    if not isinstance(top, dict):
        return [Piece("", text)] if text else []
    starts: list[tuple[int, str]] = []
    for key, node in top.items():
        starts.append((node.key_line, key))
        starts += [(line, f"{key}/{inner}") for line, inner in _inner(node, lines)]
    if len({line for line, _ in starts}) < len(starts):
        return [Piece("", text)]
    return _between(lines, starts)


def _inner(node: Node, lines: list[str]) -> list[tuple[int, str]]:
    """Where the entries under a key begin, and what they are called; none where they cannot be cut."""
    found: list[tuple[int, str]] = []
    if isinstance(node.value, dict):
        found = [(inner.key_line, key) for key, inner in node.value.items()]
        marks = tuple(re.escape(key) for _, key in found)
    elif isinstance(node.value, list):
        for inner in node.value:
            entry = inner.value.get("id") if isinstance(inner.value, dict) else None
            if entry is None or not isinstance(entry.value, str):
                return []
            line = inner.line if lines[inner.line - 1].lstrip().startswith("-") else inner.line - 1
            found.append((line, entry.value))
        marks = tuple("-" for _ in found)
    else:
        return []
    begins = all(
        re.match(rf"\s*[\"']?{mark}", lines[line - 1]) and line > node.key_line
        for (line, _), mark in zip(found, marks, strict=True)
    )
    return found if begins and len({key for _, key in found}) == len(found) else []


def _between(lines: list[str], starts: list[tuple[int, str]]) -> list[Piece]:
    firsts = [_with_comments(lines, line, starts[i - 1][0] if i else 0) for i, (line, _) in enumerate(starts)]
    firsts[:1] = [1]
    ends = [*firsts[1:], len(lines)]
    return [
        Piece(key, "".join(f"{line}\n" for line in lines[first - 1 : end - 1]))
        for (_, key), first, end in zip(starts, firsts, ends, strict=True)
    ]


def _with_comments(lines: list[str], start: int, before: int) -> int:
    """The first line of an entry, counting the blank lines and comments above it."""
    depth = _depth(lines[start - 1])
    while start - 1 > before:
        above = lines[start - 2]
        if above.strip() and not (above.lstrip().startswith("#") and _depth(above) <= depth):
            break
        start -= 1
    return start


def _depth(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


def joined(pieces: list[Piece]) -> str:
    """The text of a file of these pieces."""
    return "".join(piece.text for piece in pieces)


@dataclass(frozen=True, slots=True)
class Fields:
    """A list entry cut into its fields.

    lead: what stands above it. texts: by key, each with the comments above it, the dash left out.
    dash: its column; depth: that of the keys.
    """

    lead: str
    texts: Mapping[str, str]
    dash: int
    depth: int

    def joined(self) -> str:
        """The text of the entry."""
        lines = "".join(self.texts.values()).split("\n")
        first = next(i for i, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#"))
        lines[first] = f"{lines[first][: self.dash]}-{lines[first][self.dash + 1 :]}"
        return self.lead + "\n".join(lines)

    def setting(self, key: str, text: str) -> Fields:
        """The same with `key` written as `text`, comments kept; a new key stands before the examples."""
        line = f"{' ' * self.depth}{key}: {text}\n"
        if key in self.texts:
            lines = self.texts[key].splitlines(keepends=True)
            comments = "".join(lines[: _comment_lines(lines)])
            return replace(self, texts={**self.texts, key: comments + line})
        return self.putting({key: line}, self.depth)

    def putting(self, texts: Mapping[str, str], depth: int) -> Fields:
        """The same with these fields of another entry, whose keys stand at `depth`, in place of its own."""
        moved = {key: _shifted(text, self.depth - depth) for key, text in texts.items()}
        found = {key: moved.pop(key, text) for key, text in self.texts.items()}
        last = found.pop("examples", None)
        return replace(self, texts={**found, **moved, **({"examples": last} if last is not None else {})})

    def without(self, keys: set[str]) -> Fields:
        """The same without the fields `keys`."""
        return replace(self, texts={key: text for key, text in self.texts.items() if key not in keys})


def fields_of(text: str, name: str) -> Fields:
    """The fields of the list entry written as `text`. `BookFault` where one line holds several."""
    tree = parse(text, name, fault=BookFault).value
    lines = text.split("\n")
    entry = tree[0].value if isinstance(tree, list) and len(tree) == 1 else None
    starts = [node.key_line for node in entry.values()] if isinstance(entry, dict) else []
    if not isinstance(entry, dict) or len(set(starts)) < len(starts) or "{" in lines[starts[0] - 1][:4]:
        raise BookFault("cannot be cut into its fields", file=name, mend="write every field on its own line")
    first = starts[0]
    column = lines[first - 1].index("-") if "-" in lines[first - 1] else _depth(lines[first - 2])
    lines[first - 1] = lines[first - 1].replace("-", " ", 1)
    begins = [(line, key) for line, key in zip(starts, entry, strict=True)]
    pieces = _between(lines[first - 1 :], [(line - first + 1, key) for line, key in begins])
    lead = "".join(f"{line}\n" for line in lines[: first - 1])
    return Fields(lead, {piece.key: piece.text for piece in pieces}, column, _depth(lines[first - 1]))


def _comment_lines(lines: list[str]) -> int:
    """How many of `lines` stand above the first that says something."""
    return next(
        (i for i, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")), len(lines)
    )


def _shifted(text: str, by: int) -> str:
    if not by:
        return text
    lines = text.split("\n")
    return "\n".join(
        (" " * by + line if by > 0 else line[min(-by, _depth(line)) :]) if line.strip() else line
        for line in lines
    )


def as_flow(value: object) -> str:
    """Plain texts, lists and dicts in YAML on one line, as rules are written."""
    import json

    if isinstance(value, dict):
        return "{" + ", ".join(f"{as_flow(key)}: {as_flow(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(as_flow(inner) for inner in value) + "]"
    text = "" if value is None else str(value)
    return (
        text if re.fullmatch(r"[A-Za-z0-9_][\w ./()-]*(?<! )", text) else json.dumps(text, ensure_ascii=False)
    )
