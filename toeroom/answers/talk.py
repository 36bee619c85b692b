"""What in a conversation is about the conversation: yes and no, forget that, and if. Data: kb/talk.yaml."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BookFault, nearest
from toeroom.yamltree import read_book_file

KINDS = ("yes", "no", "unknown", "forget", "forget_all", "forget_one", "other_foot", "what_if", "side")
REST = "…"
SIDES = {"left": "left", "l": "left", "right": "right", "r": "right", "both": "both", "both feet": "both"}


@dataclass(frozen=True, slots=True)
class Move:
    """A kind of thing said about the conversation, and the rest of the line."""

    kind: str
    rest: str = ""


@dataclass(frozen=True, slots=True)
class Talk:
    """The phrases of each kind, longest first; those that go on as (beginning, True)."""

    phrases: tuple[tuple[str, str, bool], ...]

    def move(self, text: str) -> Move | None:
        """The move that `text` makes, or None where it is an ordinary statement or question."""
        plain = _plain(text)
        for phrase, kind, goes_on in self.phrases:
            if plain == phrase and not goes_on:
                return Move(kind)
            if goes_on and plain.startswith(phrase + " "):
                rest = plain[len(phrase) + 1 :]
                if kind != "side" or rest.removesuffix(" foot").removesuffix(" one") in SIDES:
                    return Move(kind, rest)
        return None


def side_in(text: str) -> str:
    """`left`, `right` or `both` where a short text says just that; else ''."""
    return SIDES.get(_plain(text).removeprefix("the ").removesuffix(" foot").removesuffix(" one"), "")


def read_talk(path: Path) -> Talk:
    """The phrases in the file at `path`; `BookFault` for what it should not hold."""
    tree = read_book_file(path)
    if not isinstance(tree.value, dict):
        raise BookFault(
            "lists of phrases are wanted here", file=str(path), line=tree.line, mend="see its head"
        )
    found = []
    for kind, node in tree.value.items():
        if kind not in KINDS:
            raise BookFault(
                f"'{kind}' is not known", file=str(path), line=node.key_line, mend=nearest(kind, KINDS)
            )
        for inner in node.value if isinstance(node.value, list) else []:
            phrase = str(inner.value)
            found.append((_plain(phrase.removesuffix(REST)), kind, phrase.endswith(REST)))
    return Talk(tuple(sorted(found, key=lambda f: (-len(f[0]), f))))


def _plain(text: str) -> str:
    kept = re.sub(r"[’`]", "'", text.lower())
    return " ".join(re.sub(r"[^\w'? ]", " ", kept).split()).rstrip("? ") or text.strip()
