"""Both feet as they print on the floor, toes up, with numbers where the findings lie.

The left foot stands at the left, as in the form, so the big toes are in the middle. The drawing is a
scheme: a number says on which part of the foot a finding lies, not where on that part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from toeroom.case import Place
from toeroom.foot_places import WHOLE, MarkedFeet, legend
from toeroom.vocabulary import SIDES

LEFT_FOOT = (
    "        tt ",
    "    tt ttt ",
    " tt tt ttt ",
    "tt llbbbnn ",
    "tt lbbbbnnn",
    " llbbbbbnn ",
    "  llaaaa   ",
    "   laaaa   ",
    "k  hhhhh  k",
    "k  hhhhh  k",
)
"""A letter a cell: which place it belongs to. The right foot is its mirror."""
LETTERS = {
    "t": "toes",
    "b": "ball",
    "n": "bunion_side",
    "l": "little_toe_side",
    "a": "arch",
    "h": "heel",
    "k": "ankle",
}
SLOTS = {
    "toes": ((1, 8), (2, 5), (2, 2), (3, 0), (0, 8)),
    "ball": ((4, 6), (5, 5), (3, 6), (4, 4)),
    "bunion_side": ((4, 9), (5, 8), (3, 8)),
    "little_toe_side": ((4, 3), (5, 2), (3, 3), (6, 3)),
    "arch": ((6, 6), (7, 5), (6, 4), (7, 7)),
    "heel": ((9, 5), (8, 5), (8, 7), (9, 3)),
    "ankle": ((8, 0), (8, 10), (9, 0), (9, 10)),
}
"""Row and column on the left foot where the first, second … number of a place stands."""
ACROSS, DOWN, BETWEEN = len(LEFT_FOOT[0]), len(LEFT_FOOT), 3
WIDE = 2 * ACROSS + BETWEEN
FOOT, HERE, MORE = "░", "▓", "+"


@dataclass(frozen=True, slots=True)
class Piece:
    """Some cells of one look: foot, here, number, stop, name or nothing."""

    text: str
    look: str = ""


def feet_cells(feet: MarkedFeet, here: Place | None = None) -> list[tuple[Piece, ...]]:
    """The drawing, row by row. `here` is a place (toes, heel …) and its side, drawn darker.

    A number stands on its place; where they are more than there is room for, `+` stands last. What has
    no one place stands in the row beneath.
    """
    grids = [_grid(feet, side, here) for side in SIDES]
    rows = [_joined(*(list(_name(f"{side} foot")) for side in SIDES))]
    rows += [_joined(left, right) for left, right in zip(*grids, strict=True)]
    rows.append(_joined(*(_beneath(feet, side) for side in SIDES)))
    return rows


def feet_lines(feet: MarkedFeet) -> list[str]:
    """Drawing and legend as plain text."""
    drawn = ["".join(piece.text for piece in row).rstrip() for row in feet_cells(feet)]
    return [*drawn, "", *legend(feet)]


Cell = tuple[str, str]
"""A character and its look."""


def _name(text: str) -> Iterator[Cell]:
    return ((character, "name") for character in f"{text:^{ACROSS}}")


def _grid(feet: MarkedFeet, side: str, here: Place | None) -> list[list[Cell]]:
    """The cells of one foot."""
    if side not in feet.sides:
        empty = [[(" ", "")] * ACROSS for _ in range(DOWN)]
        empty[DOWN // 2] = list(_name("no foot"))
        return empty
    rows = []
    for line in LEFT_FOOT:
        places = [LETTERS.get(letter, "") for letter in (line if side == "left" else line[::-1])]
        rows.append([_ground((place, side) == here) if place else (" ", "") for place in places])
    for place, slots in SLOTS.items():
        marks = feet.on(side, place)
        for number, (row, column) in enumerate(slots[: len(marks)]):
            full = number == len(slots) - 1 and len(marks) > len(slots)
            text = MORE if full else str(marks[number].number)
            look = "stop" if side in marks[number].stops else "number"
            _put(rows[row], column if side == "left" else ACROSS - 1 - column, text, look)
    return rows


def _ground(here: bool) -> Cell:
    return (HERE, "here") if here else (FOOT, "foot")


def _put(row: list[Cell], column: int, text: str, look: str) -> None:
    """Writes a number over the cells round a column, within the foot's own columns."""
    start = min(max(0, column - len(text) // 2), ACROSS - len(text))
    row[start : start + len(text)] = [(character, look) for character in text]


def _beneath(feet: MarkedFeet, side: str) -> list[Cell]:
    """The numbers that have no one place."""
    cells: list[Cell] = []
    marks = feet.on(side, WHOLE)
    for number, mark in enumerate(marks):
        text = f"{' ' if cells else ''}{mark.number}"
        if len(cells) + len(text) > ACROSS - (2 if number < len(marks) - 1 else 0):
            cells += [(" ", ""), (MORE, "number")]
            break
        look = "stop" if side in mark.stops else "number"
        cells += [(character, look if character != " " else "") for character in text]
    before = (ACROSS - len(cells)) // 2
    return [(" ", "")] * before + cells + [(" ", "")] * (ACROSS - before - len(cells))


def _joined(left: list[Cell], right: list[Cell]) -> tuple[Piece, ...]:
    """Two feet in one row, cells of one look together."""
    pieces: list[Piece] = []
    for character, look in [*left, *[(" ", "")] * BETWEEN, *right]:
        if pieces and pieces[-1].look == look:
            pieces[-1] = Piece(pieces[-1].text + character, look)
        else:
            pieces.append(Piece(character, look))
    return tuple(pieces)
