"""The figures of a test as text and JSON: each with its rule and its source, what is missing said.

A figure carries what was measured from one to another. It names no disease and clears no foot.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from textwrap import wrap
from typing import Any

from toeroom.vocabulary import PERSON
from toeroom.wording import number_in_words

Span = tuple[int, int]
"""Least and most of a count that is not wholly known."""
Value = Decimal | Fraction | int | str | Span | None

WIDTH = 100
CLOSING = "Figures to pass on: they name no disease and clear no foot. Who is trained to test judges them."


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure. value: None where it cannot be known; unit: after it; worked: how it came about.

    says: what the rule makes of it. Figures of one id share rule and source.
    """

    id: str
    side: str
    label: str
    value: Value
    says: str
    rule: str
    source: str
    worked: str = ""
    unit: str = ""

    def as_json(self) -> dict[str, Any]:
        """The figure as plain values; a count not wholly known is a pair, least and most."""
        return {
            "id": self.id,
            "side": self.side,
            "label": self.label,
            "value": _plain(self.value),
            "unit": self.unit or None,
            "worked": self.worked or None,
            "says": self.says,
            "rule": self.rule,
            "source": self.source,
        }


@dataclass(frozen=True, slots=True)
class FigureSheet:
    """The figures of one test. stops: what sends the wearer on at once; missing: what was not measured."""

    title: str
    figures: tuple[Figure, ...]
    stops: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The sheet as plain values."""
        return {
            "test": self.title.lower(),
            "figures": [figure.as_json() for figure in self.figures],
            "stops": list(self.stops),
            "missing": list(self.missing),
            "notes": list(self.notes),
        }

    def figure(self, figure_id: str, side: str = PERSON) -> Figure | None:
        """The figure of that id and side."""
        return next((f for f in self.figures if (f.id, f.side) == (figure_id, side)), None)


def sheet_lines(sheets: Sequence[FigureSheet]) -> list[str]:
    """The sheets in plain text: stops first, then each test, and once what none of them does."""
    lines = [line for sheet in sheets for text in sheet.stops for line in _wrapped("STOP  ", text)]
    for sheet in sheets:
        lines += ["", sheet.title] if lines else [sheet.title]
        for _, group in groupby(sheet.figures, key=lambda figure: figure.id):
            lines += _figures(list(group))
        for text in sheet.missing:
            lines += _wrapped("  not known: ", text)
        for text in sheet.notes:
            lines += _wrapped("  ! ", text)
    return [*lines, "", CLOSING]


def _figures(group: Sequence[Figure]) -> Iterable[str]:
    """Figures of one id, and their rule and source once."""
    for figure in group:
        side = "" if figure.side == PERSON else f"{figure.side} "
        shown = in_words(figure.value) + ("" if figure.unit.startswith("°") else " ") + figure.unit
        worked = f"({figure.worked})" if figure.worked else ""
        value = " ".join(part for part in (shown.strip(), worked) if part)
        said = "; ".join(part for part in (value, figure.says) if part)
        yield from _wrapped(f"  {side}{figure.label}: ", said)
    yield from _wrapped("    by: ", f"{group[0].rule} [{group[0].source}]")


def _wrapped(head: str, text: str) -> list[str]:
    """`head` and `text` in lines of at most `WIDTH`, the further ones set in."""
    indent = len(head) - len(head.lstrip()) + 4
    return wrap(head + text, WIDTH, subsequent_indent=" " * indent, break_on_hyphens=False)


def in_words(value: Value) -> str:
    """`0.66`, `3 to 5`, `II-B`; `` where it is not known."""
    if isinstance(value, tuple):
        return str(value[0]) if value[0] == value[1] else f"{value[0]} to {value[1]}"
    if isinstance(value, Fraction):
        return number_in_words(float(value))
    return "" if value is None else str(value)


def _plain(value: Value) -> Any:
    if isinstance(value, tuple):
        return value[0] if value[0] == value[1] else list(value)
    return round(float(value), 3) if isinstance(value, Decimal | Fraction) else value
