"""The wearer's sheet: what the plan asks of who wears the shoes, in the plain words of the book."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from toeroom.papers.words import PARTS, ItemWords
from toeroom.sheet import Entry, Sheet
from toeroom.vocabulary import SIDES

FOOT = "{foot}"


@dataclass(frozen=True, slots=True)
class Said:
    """What is said, by plan item."""

    id: str
    text: str


def told(sheet: Sheet, words: Mapping[str, ItemWords]) -> dict[str, tuple[Said, ...]]:
    """By part of the sheet (now, shoes, daily, visits) what is said, each thing once.

    Where a fitting is stopped only what is to be done now is said.
    """
    entries = list((*sheet.stops, *sheet.at_once) if sheet.stop else sheet.all_entries)
    if sheet.stop:
        entries.sort(key=_first(words))
    found: dict[str, dict[str, Said]] = {part: {} for part in PARTS}
    for entry in entries:
        for line in entry.lines:
            item = words.get(line.id, ItemWords())
            if item.wearer:
                text = plain(item, entry)
                found["now" if sheet.stop else item.part].setdefault(text, Said(line.id, text))
    return {part: tuple(said.values()) for part, said in found.items()}


def _first(words: Mapping[str, ItemWords]) -> Callable[[Entry], bool]:
    """For sorting: what is done at once before what can wait for a visit."""
    return lambda entry: all(words.get(line.id, ItemWords()).part != "now" for line in entry.lines)


def items_told(said: Mapping[str, Iterable[Said]]) -> set[str]:
    """The plan items that are spoken of."""
    return {one.id for part in said.values() for one in part}


def plain(item: ItemWords, entry: Entry) -> str:
    """An item in the wearer's words, the foot named."""
    text = item.wearer.replace(FOOT, _foot(entry))
    return text[:1].upper() + text[1:]


def _foot(entry: Entry) -> str:
    feet = [side for side in SIDES if any(line.side == side for line in entry.lines)]
    return f"your {feet[0]} foot" if len(feet) == 1 else "your feet"
