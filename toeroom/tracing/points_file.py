"""Outlines as points in a CSV file: `x_mm,y_mm`, one point a line, in the order of the outline."""

from __future__ import annotations

import csv
import io
import re

import numpy as np

from toeroom.errors import BadInput
from toeroom.tracing.outline import Outline, outline
from toeroom.tracing.result import Doubt
from toeroom.yamltree import read_text

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4}
"""Millimetres in each unit an outline may be given in."""
LARGEST, MOST_POINTS = 2_000_000, 20_000
_NUMBER = re.compile(r"[+-]?[0-9]{1,6}(\.[0-9]{1,9})?")


def read_points(path: str, unit: str = "") -> Outline:
    """The outline in the CSV file at `path`; x to the right, y toward the top of the drawing.

    The header names the unit (`x_mm,y_mm`, `x_cm,y_cm`, `x_in,y_in`), or `unit` does. The last point may
    repeat the first. Raises `BadInput` with the line of what is wrong, for an open outline as well.
    """
    rows = _rows(read_text(path, largest=LARGEST), path)
    named, points = _header(rows, path)
    if named and unit and named != unit:
        raise BadInput(f"the header says {named}, not {unit}", file=path, line=1, mend="leave --unit out")
    if not named and not unit:
        raise BadInput(
            "the unit of the points is missing",
            file=path,
            line=1,
            mend="begin with 'x_mm,y_mm', or give --unit mm",
        )
    factor = UNITS[named or unit]
    values = np.array([_point(cells, path, line) for line, cells in points]).reshape(-1, 2) * factor
    _closed(values, path)
    decimals = max((len(cell.partition(".")[2]) for _, cells in points for cell in cells), default=0)
    last_digit = float(factor * 10.0**-decimals)
    return outline(values, Doubt("points in the file", 0.0, (("last digit", last_digit),)), path)


def _rows(text: str, path: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for row in reader:
            cells = [cell.strip() for cell in row]
            if any(cells):
                rows.append((reader.line_num, cells))
            if len(rows) > MOST_POINTS:
                raise BadInput(f"has more than {MOST_POINTS:,} points", file=path, mend="thin them out")
    except csv.Error as error:
        raise BadInput(f"is not CSV ({error})", file=path, line=reader.line_num, mend="save as CSV") from None
    if not rows:
        raise BadInput("holds no points", file=path, mend="begin with 'x_mm,y_mm'")
    return rows


def _header(rows: list[tuple[int, list[str]]], path: str) -> tuple[str, list[tuple[int, list[str]]]]:
    line, first = rows[0]
    if all(_NUMBER.fullmatch(cell) for cell in first):
        return "", rows
    columns = [re.fullmatch(r"([xy])(?:[_ ]?\(?(mm|cm|in)\)?)?", cell.lower()) for cell in first]
    found = [(match[1], match[2] or "") for match in columns if match]
    if [name for name, _ in found] != ["x", "y"] or found[0][1] != found[1][1]:
        raise BadInput("the header is no outline's", file=path, line=line, mend="begin with 'x_mm,y_mm'")
    return found[0][1], rows[1:]


def _point(cells: list[str], path: str, line: int) -> tuple[float, float]:
    if len(cells) != 2 or not all(_NUMBER.fullmatch(cell) for cell in cells):
        shown = ",".join(cells)[:40]
        raise BadInput(
            f"'{shown}' is no point", file=path, line=line, mend="two plain numbers, decimals with a point"
        )
    return float(cells[0]), float(cells[1])


def _closed(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]], path: str) -> None:
    if len(values) < 3:
        return
    steps = np.linalg.norm(np.diff(values, axis=0), axis=1)
    gap = float(np.linalg.norm(values[-1] - values[0]))
    if gap > max(2.0, 1.5 * float(steps.max())):
        raise BadInput(
            f"the outline is open by {gap:.0f} mm", file=path, mend="go all round, back to the first point"
        )
