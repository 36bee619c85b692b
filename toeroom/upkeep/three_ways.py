"""Three versions of one thing: what both came from, the clinic's, and the newer one that was shipped."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from merge3 import Merge3

T = TypeVar("T")
OURS, THEIRS = "ours", "theirs"


@dataclass(frozen=True, slots=True)
class Conflict:
    """What the clinic and the shipped book both changed, and not alike.

    kind: rule, guarantee, page, entry or file. why: in words. The texts are '' where there is none.
    """

    kind: str
    id: str
    file: str
    why: str
    base: str
    ours: str
    theirs: str

    @property
    def name(self) -> str:
        """How it is called where it is settled."""
        return f"{self.kind}:{self.id}"

    def changes(self) -> list[str]:
        """What either side did, line by line."""
        lines = []
        for whose, text in (("yours", self.ours), ("newer", self.theirs)):
            before, after = self.base.strip("\n").splitlines(), text.strip("\n").splitlines()
            found = difflib.unified_diff(before, after, "as it was", whose, lineterm="", n=1)
            lines += [line for line in found if not line.startswith(("--- ", "@@"))]
        return lines


@dataclass(frozen=True, slots=True)
class Three(Generic[T]):
    """The three versions; None where there is none."""

    base: T | None
    ours: T | None
    theirs: T | None

    def settled(self) -> tuple[bool, T | None]:
        """Whether the outcome is plain, because one side left it alone or both did the same; and it."""
        if self.ours == self.theirs or self.theirs == self.base:
            return True, self.ours
        return (True, self.theirs) if self.ours == self.base else (False, None)

    def all_there(self) -> tuple[T, T, T] | None:
        """The three, where none is missing."""
        if self.base is None or self.ours is None or self.theirs is None:
            return None
        return self.base, self.ours, self.theirs

    def why(self) -> str:
        """What happened on both sides, in words."""
        if self.base is None:
            return "added on both sides, and not alike"
        if self.ours is None:
            return "taken out by you, changed in the newer book"
        return (
            "changed by you, taken out of the newer book" if self.theirs is None else "changed on both sides"
        )


class Settling:
    """Takes down conflicts, and settles those about which the owner has decided.

    `take` holds names of conflicts (`rule:bunion-build`), bare ids, or `all`, each with the side taken.
    """

    def __init__(self, take: Mapping[str, str]) -> None:
        self.take, self.used = take, set[str]()
        self.conflicts: list[Conflict] = []

    def choose(self, conflict: Conflict) -> str:
        """The side taken: ours where nothing is decided, so that nothing is lost meanwhile."""
        for name in (conflict.name, conflict.id, "all"):
            if name in self.take:
                self.used.add(name)
                return self.take[name]
        self.conflicts.append(conflict)
        return OURS


def merged_lines(three: Three[str]) -> str | None:
    """The text with the changes of both sides; None where they touch each other."""
    found = three.all_there()
    if found is None:
        return None
    lines: list[str] = []
    base, ours, theirs = (text.splitlines(keepends=True) for text in found)
    for group in Merge3(base, ours, theirs).merge_groups():
        if group[0] == "conflict":
            return None
        lines += group[1]
    return "".join(lines)


def woven(ours: Sequence[str], theirs: Sequence[str], wanted: Callable[[str], bool]) -> list[str]:
    """The wanted of both lists: ours as they stand, those of theirs alone after what they followed there."""
    found = list(ours)
    for place, key in enumerate(theirs):
        if key in found:
            continue
        before = next((k for k in reversed(theirs[:place]) if k in found), None)
        found.insert(found.index(before) + 1 if before is not None else 0, key)
    return [key for key in found if wanted(key)]
