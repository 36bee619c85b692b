"""What can go wrong for a person, said in one line."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches


class BadInput(Exception):
    """Input that cannot be used. The message names file, line, what is wrong and how to mend it."""

    def __init__(self, what: str, *, file: str = "", line: int = 0, mend: str = "") -> None:
        self.what, self.file, self.line, self.mend = what, file, line, mend
        super().__init__(str(self))

    def __str__(self) -> str:
        place = ", ".join(part for part in (self.file, f"line {self.line}" if self.line else "") if part)
        text = f"{place}: {self.what}" if place else self.what
        return one_line(f"{text}; {self.mend}" if self.mend else text)


class BookFault(BadInput):
    """A fault in a book's own files: a rule, a page or the vocabulary."""


class EnginesDiffer(Exception):
    """The two engines came to different conclusions: there is no plan. `report` says how they differ."""

    def __init__(self, report: dict[str, object]) -> None:
        self.report = report
        super().__init__("the two engines that work out a plan do not agree")


def one_line(text: str) -> str:
    """`text` on one line, without control characters, at most 500 characters long."""
    printable = "".join(c if c.isprintable() else " " for c in text)
    joined = " ".join(printable.split())
    return joined if len(joined) <= 500 else joined[:497] + "..."


def nearest(word: str, known: Iterable[str]) -> str:
    """The mend for an unknown `word`: names the nearest of `known`, or nothing where none is near."""
    near = get_close_matches(
        word[:80].lower().replace(" ", "_").replace("-", "_"), list(known), n=1, cutoff=0.5
    )
    return f"did you mean '{near[0]}'?" if near else ""
