"""Cases as a CSV table, one row a case and one column a field; and case files made from such a table."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from toeroom.case import LARGEST_CASE
from toeroom.errors import BadInput
from toeroom.records.document import fields_of, text_of, tree_of
from toeroom.records.store import Store
from toeroom.vocabulary import PERSON, SIDES
from toeroom.yamltree import read_text

OF_STORE = ("store.version", "store.saved_at", "store.who", "store.book")
"""Columns that say which version a row is; where a table that is read in has them they are passed over."""
TOP = ("case", "title", "as_of", PERSON, *SIDES, "measures", "choices", "dates", "notes", "training")
LARGEST_TABLE = 200_000_000
FORMULA = ("=", "+", "-", "@")
NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")


def write_table(store: Store, out: TextIO) -> int:
    """Writes the latest version of every case. Returns how many. Names and plans are not in it."""
    columns: dict[str, None] = {}
    for version in store.documents():
        columns |= dict.fromkeys(fields_of(version.text))
    columns |= {"as_of": None}
    named = sorted(columns, key=_order)
    writer = csv.DictWriter(out, [*named, *OF_STORE], restval="", lineterminator="\n")
    writer.writeheader()
    count = 0
    for version in store.documents():
        own = (str(version.number), version.at, version.who, version.book)
        row = {"as_of": version.as_of, **fields_of(version.text), **dict(zip(OF_STORE, own, strict=True))}
        # A case saved since the columns were gathered may have more; it is in the next table.
        writer.writerow({name: _guarded(row.get(name, "")) for name in (*named, *OF_STORE)})
        count += 1
    return count


def _order(field: str) -> tuple[int, str]:
    top = field.partition(".")[0]
    return (TOP.index(top) if top in TOP else len(TOP), field)


def _guarded(cell: str) -> str:
    """A spreadsheet would run a title that begins like a formula; an apostrophe makes it text.

    Control characters become spaces: the table may be looked at in a terminal.
    """
    cell = "".join(c if c.isprintable() or c == "\n" else " " for c in cell)
    return f"'{cell}" if cell.startswith(FORMULA) and not NUMBER.fullmatch(cell) else cell


def _unguarded(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(FORMULA) else cell


def read_table(path: Path) -> Iterator[tuple[str, str]]:
    """Each row of the table at `path` as a case file: (name with its line, text). Empty cells are not stated.

    Raises `BadInput` where it is no table with a column `case`.
    """
    csv.field_size_limit(LARGEST_CASE)
    rows = csv.reader(io.StringIO(read_text(path, largest=LARGEST_TABLE), newline=""), strict=True)
    try:
        header = next(rows, [])
        if "case" not in header or len(set(header)) != len(header):
            what = "has no column 'case'" if "case" not in header else "has two columns of one name"
            raise BadInput(what, file=str(path), line=1, mend="name each column once, as 'store csv' does")
        for row in rows:
            place = f"{path}, line {rows.line_num}"
            if len(row) != len(header):
                raise BadInput(f"has {len(row)} cells, not {len(header)}", file=place, mend="mend the row")
            pairs = zip(header, row, strict=True)
            fields = {name: _unguarded(cell) for name, cell in pairs if cell and name not in OF_STORE}
            yield place, text_of(tree_of(fields))
    except csv.Error as error:
        raise BadInput(
            f"is no CSV table ({error})", file=str(path), line=rows.line_num, mend="save it as CSV"
        ) from None
