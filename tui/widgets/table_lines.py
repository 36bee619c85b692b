"""A table in lines: columns side by side, broken where they are too wide together."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

GAP = "  "
NARROWEST = 5


def table_lines(rows: Sequence[Sequence[Text]], room: int, console: Console) -> list[Text]:
    """The lines of a table, its head first, for `room` columns; the widest cells are broken first."""
    widths = _fitted([max(row[i].cell_len for row in rows) for i in range(len(rows[0]))], room)
    broken = any(cell.cell_len > size for row in rows[1:] for cell, size in zip(row, widths, strict=True))
    lines: list[Text] = []
    for number, row in enumerate(rows):
        if number == 0:
            row = [Text(cell.plain, "head") for cell in row]
        cells = [list(cell.wrap(console, size)) for cell, size in zip(row, widths, strict=True)]
        height = max(len(cell) for cell in cells)
        if number == 1:
            lines.append(Text(GAP.join("─" * size for size in widths), "quiet"))
        elif number > 1 and broken:
            lines.append(Text(GAP.join("·" * size for size in widths), "quiet"))
        for i in range(height):
            lines.append(_row([cell[i] if i < len(cell) else Text() for cell in cells], widths))
    return lines


def _fitted(widths: list[int], room: int) -> list[int]:
    """Widths of columns that fit into `room` columns with their gaps, the widest made narrower first."""
    room -= len(GAP) * (len(widths) - 1)
    widths = list(widths)
    while sum(widths) > room and max(widths) > NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _row(cells: list[Text], widths: list[int]) -> Text:
    line = Text()
    for number, (cell, size) in enumerate(zip(cells, widths, strict=True)):
        cell.rstrip()
        line.append_text(cell)
        if number < len(widths) - 1:
            line.append(" " * (size - cell.cell_len + len(GAP)))
    return line
