"""Strict YAML: text to a tree of plain values that know their line.

PyYAML turns `no` into False, lets the second of two equal keys win, and follows aliases that can
blow up a small file. Here every scalar stays the text that was written; duplicate keys, anchors,
aliases, tags and a second document are refused; size and depth are bounded.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import yaml

from toeroom.errors import BadInput, BookFault

LARGEST_FILE = 1_000_000
DEEPEST = 30
_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(slots=True)
class Node:
    """A value of the tree and the line (from 1) it stands on.

    `value` is a text, a list of nodes, a dict of nodes by text, or None for an empty value.
    """

    value: str | list[Node] | dict[str, Node] | None
    line: int
    quoted: bool = False
    key_line: int = 0

    def plain(self) -> object:
        """The value as plain texts, lists and dicts."""
        if isinstance(self.value, list):
            return [n.plain() for n in self.value]
        if isinstance(self.value, dict):
            return {k: n.plain() for k, n in self.value.items()}
        return self.value


def read_text(
    path: str | os.PathLike[str], *, largest: int = LARGEST_FILE, fault: type[BadInput] = BadInput
) -> str:
    """The text of the UTF-8 file at `path`; `fault` where it is none, or has more than `largest` bytes."""
    name = str(path)
    try:
        if stat.S_ISDIR(os.stat(path).st_mode):
            raise fault("this is a folder", file=name, mend="name a file in it")
        with Path(path).open("rb") as stream:
            raw = stream.read(largest + 1)
    except FileNotFoundError:
        raise fault("there is no such file", file=name, mend="check the name") from None
    except OSError as error:
        raise fault(
            f"cannot be read ({error.strerror})", file=name, mend="check the file and its rights"
        ) from None
    except ValueError:
        raise fault("this cannot be the name of a file", file=name, mend="check the name") from None
    if len(raw) > largest:
        raise fault(
            f"is larger than {largest:,} bytes", file=name, mend="a file of this kind is a few kilobytes"
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise fault("is not UTF-8 text", file=name, line=line, mend="save the file as UTF-8") from None


def parse(text: str, name: str, *, fault: type[BadInput] = BadInput) -> Node:
    """The tree of a YAML `text`; `name` is the file as faults call it."""
    try:
        events = _checked(yaml.parse(text, Loader=_Loader), name, fault)
        return _document(events, name, fault)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise fault(
            f"is not valid YAML ({error.problem or error.context})",
            file=name,
            line=mark.line + 1 if mark else 0,
            mend="check colons, brackets, quotes and indents here",
        ) from None
    except yaml.YAMLError as error:
        # A reader error has no mark: a character that YAML does not allow.
        position = getattr(error, "position", None)
        line = text.count("\n", 0, position) + 1 if isinstance(position, int) else 0
        raise fault(
            "holds a character that YAML does not allow", file=name, line=line, mend="remove it"
        ) from None


def read(
    path: str | os.PathLike[str], *, largest: int = LARGEST_FILE, fault: type[BadInput] = BadInput
) -> Node:
    """The tree of the YAML file at `path`."""
    return parse(read_text(path, largest=largest, fault=fault), str(path), fault=fault)


def read_book_file(path: str | os.PathLike[str]) -> Node:
    """The tree of a file that belongs to a book; faults are `BookFault`."""
    return read(path, fault=BookFault)


def _line(event: yaml.Event) -> int:
    mark = event.start_mark
    return mark.line + 1 if mark else 0


def _checked(events: Iterator[yaml.Event], name: str, fault: type[BadInput]) -> Iterator[yaml.Event]:
    depth = 0
    for event in events:
        line = _line(event)
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            raise fault(
                "anchors and aliases (& and *) are not used here", file=name, line=line, mend="write it out"
            )
        if (tag := getattr(event, "tag", None)) not in (None, "!"):
            raise fault(f"the tag {tag} is not used here", file=name, line=line, mend="remove the tag")
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > DEEPEST:
                raise fault(
                    f"is nested deeper than {DEEPEST} levels", file=name, line=line, mend="flatten it"
                )
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        yield event


def _document(events: Iterator[yaml.Event], name: str, fault: type[BadInput]) -> Node:
    tree: Node | None = None
    for event in events:
        if isinstance(event, yaml.DocumentStartEvent):
            if tree is not None:
                line = _line(event)
                raise fault(
                    "holds a second document", file=name, line=line, mend="keep one document in a file"
                )
            tree = _node(next(events), events, name, fault)
    return tree if tree is not None else Node(None, 1)


def _node(event: yaml.Event, events: Iterator[yaml.Event], name: str, fault: type[BadInput]) -> Node:
    line = _line(event)
    if isinstance(event, yaml.ScalarEvent):
        quoted = event.style in ("'", '"', "|", ">")
        empty = not quoted and event.value in ("", "~", "null", "Null", "NULL")
        return Node(None if empty else event.value, line, quoted)
    if isinstance(event, yaml.SequenceStartEvent):
        items = []
        while not isinstance(inner := next(events), yaml.SequenceEndEvent):
            items.append(_node(inner, events, name, fault))
        return Node(items, line)
    entries: dict[str, Node] = {}
    while not isinstance(inner := next(events), yaml.MappingEndEvent):
        key_line = _line(inner)
        if not isinstance(inner, yaml.ScalarEvent):
            raise fault("a key must be a word", file=name, line=key_line, mend="check the brackets here")
        if inner.value in entries:
            first = entries[inner.value].key_line
            what = f"'{inner.value}' stands here a second time (first on line {first})"
            raise fault(what, file=name, line=key_line, mend="keep one of the two")
        child = _node(next(events), events, name, fault)
        child.key_line = key_line
        entries[inner.value] = child
    return Node(entries, line)
