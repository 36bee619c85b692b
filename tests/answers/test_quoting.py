"""A passage with rows of a table in it is quoted row by row, each cell under the head of its column."""

from __future__ import annotations

import pytest

from toeroom.answers.quoting import Rows, quoted
from toeroom.handbook.sections import Section

MARKDOWN = """## What fits

Some words before.

| | Narrow | Wide |
|---|---|---|
| men | B | EE |
| women | AA | |

Guides differ: so do makers. Ask.
"""
TEXT = "Some words before.\nNarrow; Wide\nmen; B; EE\nwomen; AA\nGuides differ: so do makers. Ask."
SECTION = Section("p", "What fits", 1, MARKDOWN, TEXT, ())
HEAD = ("", "Narrow", "Wide")


def rows(*given: tuple[str, str, str]) -> Rows:
    return Rows(HEAD, given)


MEN, WOMEN = ("men", "B", "EE"), ("women", "AA", "")


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("Some words before.", ("Some words before.",)),
        ("Narrow; Wide men; B; EE women; AA", (rows(MEN, WOMEN),)),
        ("women; AA Guides differ:", (rows(WOMEN), "Guides differ:")),
        ("before. Narrow; Wide men; B", ("… before.", rows(MEN))),
        ("so do makers. Ask.", ("… so do makers. Ask.",)),
        ("Some words before. Narrow; Wide men; B; EE …", ("Some words before.", rows(MEN))),
        ("What stands nowhere on it.", ("What stands nowhere on it.",)),
    ],
)
def test_words_and_rows_are_told_apart(text: str, pieces: tuple[str | Rows, ...]) -> None:
    assert quoted(text, SECTION) == pieces


def test_a_row_in_a_line_names_its_columns_and_no_empty_cell() -> None:
    assert rows(MEN, WOMEN).lines == ("men — Narrow: B; Wide: EE", "women — Narrow: AA")


def test_no_section_no_rows() -> None:
    assert quoted("a; b", None) == ("a; b",)
