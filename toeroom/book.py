"""A book: the folder that holds kb/ and rules/, opened and checked for what the core needs of it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from toeroom.errors import BadInput
from toeroom.rules.model import Rule
from toeroom.rules.planning import Planner
from toeroom.rules.reading import read_rules
from toeroom.vocabulary import Vocabulary, read_vocabulary

KEPT_IN = ".toeroom-base"
"""In a clinic's own book: what it was copied from."""
BROKEN_OFF = f"{KEPT_IN}/change.json"
"""Is there while many files of the book are being changed."""
if TYPE_CHECKING:
    from toeroom.foot_places import FootPlaces


def shipped_folder() -> Path:
    """The folder of the book that comes with toeroom: inside an installed wheel, or the checkout."""
    inside = Path(__file__).parent / "shipped"
    return inside if inside.is_dir() else Path(__file__).parent.parent


@dataclass(frozen=True)
class Book:
    """A book in `folder`, opened: its words and its active rules.

    `version` names the content of the rules: the same rules have the same version.
    """

    folder: Path
    vocabulary: Vocabulary
    rules: tuple[Rule, ...]
    version: str

    @cached_property
    def planner(self) -> Planner:
        """Plans cases by this book's rules."""
        return Planner(self.rules, self.vocabulary, self.version)

    @cached_property
    def places(self) -> FootPlaces:
        """Where on a foot each finding lies, for the drawing of both feet."""
        from toeroom.foot_places import read_places

        return read_places(self.folder / "kb" / "places.yaml", self.vocabulary)

    @property
    def cases_demo(self) -> Path:
        """The folder of the invented cases that come with the book."""
        return self.folder / "cases_demo"


def open_book(folder: Path | None = None) -> Book:
    """The book in `folder`, or the shipped one.

    Raises `BadInput` where there is no book, `BookFault` for a fault in its files.
    """
    folder = folder or shipped_folder()
    rules = folder / "rules"
    if not (rules / "vocabulary.yaml").is_file():
        raise BadInput(
            "there is no book here", file=str(folder), mend="name a folder that holds kb/ and rules/"
        )
    if (folder / BROKEN_OFF).is_file():
        mend = f"run 'toeroom book update {folder}', which finishes it"
        raise BadInput("an update of this book was broken off", file=str(folder), mend=mend)
    vocabulary = read_vocabulary(rules / "vocabulary.yaml")
    return Book(folder, vocabulary, read_rules(rules, vocabulary), _version(rules))


def _version(rules: Path) -> str:
    digest = hashlib.sha256()
    for path in sorted(rules.glob("*.yaml")):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()[:12]
