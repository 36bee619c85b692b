"""A page cut into its sections, and their plain text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from markdown_it import MarkdownIt
from markdown_it.token import Token

from toeroom.handbook.pages import Page

IN_SHORT = "In short"
_CITATION = re.compile(r"\s*\[@[a-z0-9-]+(?:,[^\]\n]*)?\]")
_CAUTION = re.compile(r"Caution\.\s*")


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a page under one heading; the opening paragraph stands under "In short".

    `text` is the plain text, a line for each paragraph, list entry or table row, without citations.
    `cautions` are the texts of its cautions; they stand in `text` as well. `line` is that of the file.
    """

    page: str
    heading: str
    line: int
    markdown: str
    text: str
    cautions: tuple[str, ...]


@cache
def markdown() -> MarkdownIt:
    """The Markdown of a page: CommonMark and pipe tables; raw HTML stays text."""
    return MarkdownIt("commonmark", {"html": False}).enable("table")


@lru_cache(maxsize=512)
def tokens_of(body: str) -> tuple[Token, ...]:
    """The Markdown tokens of the body of a page."""
    return tuple(markdown().parse(body))


def sections_of(page: Page) -> tuple[Section, ...]:
    """The sections of `page` in order; a section without any text is left out."""
    tokens = tokens_of(page.body)
    lines = page.body.split("\n")
    starts = [i for i, token in enumerate(tokens) if token.type == "heading_open" and token.level == 0]
    found: list[Section] = []
    for begin, end in zip([0, *starts], [*starts, len(tokens)], strict=True):
        inner, heading, first = tokens[begin:end], IN_SHORT, 0
        if begin in starts:
            # A heading is three tokens: its opening, its text, its closing.
            heading, first, inner = (
                plain_inline(tokens[begin + 1]),
                _first_line(tokens[begin]),
                tokens[begin + 3 : end],
            )
        last = _first_line(tokens[end]) if end < len(tokens) else len(lines)
        text = "\n".join(plain_lines(inner))
        if text:
            source = "\n".join(lines[first:last]).strip("\n")
            found.append(Section(page.id, heading, page.body_line + first, source, text, _cautions(inner)))
    return tuple(found)


def plain_lines(tokens: Sequence[Token], *, tables: bool = True) -> Iterator[str]:
    """The texts of `tokens`, a line for each paragraph, list entry, heading and, with `tables`, table row."""
    row: list[str] | None = None
    for token in tokens:
        if token.type == "tr_open":
            row = []
        elif token.type == "tr_close" and row is not None:
            if tables and (line := "; ".join(cell for cell in row if cell)):
                yield line
            row = None
        elif token.type == "inline":
            line = plain_inline(token)
            if row is not None:
                row.append(line)
            elif line:
                yield line
        elif token.type in ("fence", "code_block") and (line := " ".join(token.content.split())):
            yield line


def tables_of(tokens: Sequence[Token]) -> list[list[tuple[str, ...]]]:
    """The tables among `tokens`: their rows, the head first, each the plain text of its cells."""
    tables: list[list[list[str]]] = []
    within = False
    for token in tokens:
        if token.type in ("table_open", "table_close"):
            within = token.type == "table_open"
            tables += [[]] if within else []
        elif token.type == "tr_open":
            tables[-1].append([])
        elif token.type == "inline" and within:
            tables[-1][-1].append(plain_inline(token))
    return [[tuple(row) for row in table] for table in tables]


def plain_inline(token: Token, *, citations: bool = False) -> str:
    """The words of a paragraph, heading or cell: no marks, links by their text, `[@key]` where asked for."""
    parts: list[str] = []
    for child in token.children or ():
        if child.type in ("text", "code_inline", "html_inline"):
            parts.append(child.content)
        elif child.type in ("softbreak", "hardbreak"):
            parts.append(" ")
    text = "".join(parts)
    return " ".join(text.split()) if citations else without_citations(text)


def without_citations(text: str) -> str:
    """`text` on one line without its `[@key, place]` marks."""
    return " ".join(_CITATION.sub("", text).split())


def _cautions(tokens: Sequence[Token]) -> tuple[str, ...]:
    found: list[str] = []
    for i, token in enumerate(tokens):
        if token.type == "blockquote_open" and token.level == 0:
            close = next(
                j
                for j in range(i, len(tokens))
                if tokens[j].type == "blockquote_close" and tokens[j].level == 0
            )
            text = " ".join(plain_lines(tokens[i:close]))
            if begins := _CAUTION.match(text):
                found.append(text[begins.end() :])
    return tuple(found)


def _first_line(token: Token) -> int:
    return token.map[0] if token.map else 0
