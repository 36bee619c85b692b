"""What a book's papers say of a plan item beside the plan: to whom, how fast, which code, in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BookFault, nearest
from toeroom.vocabulary import Vocabulary
from toeroom.yamltree import Node, read_book_file

FILE = "items.yaml"
PARTS = ("now", "shoes", "daily", "visits")
"""Where on the wearer's sheet an item stands."""
_KEYS = ("to", "urgency", "code", "part", "wearer")


@dataclass(frozen=True, slots=True)
class ItemWords:
    """to, urgency: of a referral. code: of the US benefit. part, wearer: for the wearer's sheet."""

    to: str = ""
    urgency: str = ""
    code: str = ""
    part: str = ""
    wearer: str = ""


def read_words(folders: Iterable[Path], vocabulary: Vocabulary) -> Mapping[str, ItemWords]:
    """The words by plan item, from the first folder that has the file; `BookFault` for a fault in it."""
    path = next(folder / FILE for folder in folders if (folder / FILE).is_file())
    return {
        item: _words(item, node, str(path), vocabulary)
        for item, node in _mapping(read_book_file(path), str(path)).items()
    }


def _words(item: str, node: Node, file: str, vocabulary: Vocabulary) -> ItemWords:
    if item not in vocabulary.plan_items:
        mend = nearest(item, vocabulary.plan_items)
        raise BookFault(f"'{item}' is not a plan item", file=file, line=node.key_line, mend=mend)
    values = {}
    for key, inner in _mapping(node, file).items():
        if key not in _KEYS:
            raise BookFault(
                f"'{key}' is not known here", file=file, line=inner.key_line, mend=nearest(key, _KEYS)
            )
        if not isinstance(inner.value, str):
            raise BookFault(f"'{key}' must be text", file=file, line=inner.line, mend="write words after it")
        values[key] = " ".join(inner.value.split())
    if values.get("part", PARTS[0]) not in PARTS or ("wearer" in values) != ("part" in values):
        raise BookFault(
            "the wearer's words need a part", file=file, line=node.key_line, mend=f"one of {', '.join(PARTS)}"
        )
    return ItemWords(**values)


def _mapping(node: Node, file: str) -> dict[str, Node]:
    if not isinstance(node.value, dict):
        raise BookFault("must hold 'name: value' lines", file=file, line=node.line, mend="see docs/papers.md")
    return node.value
