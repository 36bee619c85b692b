"""A page as plain text, for a pipe, a printer or a screen reader."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from markdown_it.token import Token

from toeroom.handbook.pages import Page
from toeroom.handbook.sections import plain_inline, tokens_of

WIDTH = 78


def plain_text(page: Page, width: int = WIDTH) -> str:
    """`page` as text of at most `width` columns (tables excepted): title, body, sources, review.

    Control characters are left out, so that no page can steer a terminal. Citations stay, as the
    numbers of a page stand with their source.
    """
    lines = [page.title, "=" * len(page.title), "", *_Writer(width).write(tokens_of(page.body)), ""]
    lines.append("Sources")
    for source in page.sources:
        lines += textwrap.wrap(f"- {source}", width, subsequent_indent="  ")
    lines += ["", f"Page {page.id}, reviewed {page.reviewed}, next review by {page.review_by}."]
    return "".join(c for c in "\n".join(lines) if c.isprintable() or c == "\n") + "\n"


class _Writer:
    """Writes the tokens of a page as lines."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.lines: list[str] = []
        # For each open list: its next number, or None for a list of dashes.
        self.lists: list[int | None] = []
        self.marker, self.quoted = "", 0
        self.rows: list[list[str]] = []
        self.in_table = False

    def write(self, tokens: Sequence[Token]) -> list[str]:
        for token in tokens:
            getattr(self, token.type, self.other)(token)
        return _without_double_gaps(self.lines)

    def other(self, token: Token) -> None:
        """A token that says nothing by itself."""

    def bullet_list_open(self, token: Token) -> None:
        self.lists.append(None)

    def ordered_list_open(self, token: Token) -> None:
        self.lists.append(int(token.attrs.get("start", 1)))

    def bullet_list_close(self, token: Token) -> None:
        self.lists.pop()
        if not self.lists:
            self.lines.append("")

    ordered_list_close = bullet_list_close

    def list_item_open(self, token: Token) -> None:
        number = self.lists[-1]
        self.marker = "- " if number is None else f"{number}. "
        if number is not None:
            self.lists[-1] = number + 1

    def blockquote_open(self, token: Token) -> None:
        self.quoted += 1

    def blockquote_close(self, token: Token) -> None:
        self.quoted -= 1

    def table_open(self, token: Token) -> None:
        self.in_table, self.rows = True, []

    def tr_open(self, token: Token) -> None:
        self.rows.append([])

    def table_close(self, token: Token) -> None:
        self.in_table = False
        self.lines += [*_table(self.rows), ""]

    def fence(self, token: Token) -> None:
        self.lines += [*("    " + line for line in token.content.splitlines()), ""]

    code_block = fence

    def inline(self, token: Token) -> None:
        text = plain_inline(token, citations=True)
        if self.in_table:
            self.rows[-1].append(text)
            return
        first = ("! " if self.quoted else "") + "  " * max(0, len(self.lists) - 1)
        later = first + " " * len(self.marker)
        self.lines += textwrap.wrap(
            text, self.width, initial_indent=first + self.marker, subsequent_indent=later
        )
        self.marker = ""

    def heading_close(self, token: Token) -> None:
        self.lines += ["-" * len(self.lines[-1]), ""] if self.lines else []

    def paragraph_close(self, token: Token) -> None:
        if not self.lists:
            self.lines.append("")


def _table(rows: list[list[str]]) -> list[str]:
    """Columns side by side, a rule under the head."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = [
        "  ".join(cell.ljust(size) for cell, size in zip(row, widths, strict=True)).rstrip() for row in rows
    ]
    return [lines[0], "  ".join("-" * size for size in widths), *lines[1:]]


def _without_double_gaps(lines: list[str]) -> list[str]:
    kept = [line for i, line in enumerate(lines) if line or (i and lines[i - 1])]
    while kept and not kept[-1]:
        kept.pop()
    return kept
