"""The Markdown of a paper as tokens, the same for HTML and PDF: CommonMark, pipe tables, our drawings."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from markdown_it import MarkdownIt
from markdown_it.token import Token

DRAWING = "drawing:"
BOX, TICKS = "☐", "ticks"
BLANK = re.compile(r"_{4,}")
"""A run of low lines that stands for a line to write on."""


def parser() -> MarkdownIt:
    """Raw HTML stays text, and nothing becomes a link or a picture but what names a drawing."""
    markdown = MarkdownIt("commonmark", {"html": False}).enable("table")
    markdown.disable(["code", "fence", "lheading", "html_block", "html_inline", "autolink", "reference"])
    return markdown


def tokens_of(text: str) -> list[Token]:
    """The tokens of a paper; links are their words, pictures that are no drawing are theirs.

    A drawing alone in a paragraph stands by itself. A rule of low lines is a line to write on, and any
    other rule begins the small print, which ends with the paper.
    """
    tokens = parser().parse(text)
    for token in tokens:
        if token.children is not None:
            token.children = list(_without_links(token.children))
        elif token.type == "hr":
            token.type = "write_on" if token.markup.startswith("_") else "small_print"
    _tick(tokens)
    return _lifted(tokens)


def _tick(tokens: list[Token]) -> None:
    """A list whose every entry begins with a box has boxes for its marks, and not within its words."""
    lists: list[tuple[Token, list[Token]]] = []
    for index, token in enumerate(tokens):
        if token.type in ("bullet_list_open", "ordered_list_open"):
            lists.append((token, []))
        elif token.type == "list_item_open" and tokens[index + 2].type == "inline":
            lists[-1][1].append(tokens[index + 2].children[0])  # type: ignore[index]
        elif token.type in ("bullet_list_close", "ordered_list_close"):
            opened, firsts = lists.pop()
            if firsts and all(first.content.startswith(BOX) for first in firsts):
                opened.attrs["class"] = TICKS
                for first in firsts:
                    first.content = first.content.removeprefix(BOX).lstrip()


def _lifted(tokens: list[Token]) -> list[Token]:
    kept: list[Token] = []
    for index, token in enumerate(tokens):
        near = {"paragraph_open": index + 1, "paragraph_close": index - 1}.get(token.type)
        if near is None or [c.type for c in tokens[near].children or []] != ["image"]:
            kept.append(token)
    return kept


def _without_links(children: list[Token]) -> Iterator[Token]:
    for child in children:
        if child.type in ("link_open", "link_close"):
            continue
        if child.type == "image" and not str(child.attrs.get("src", "")).startswith(DRAWING):
            yield Token("text", "", 0, content=words_of(child))
            continue
        yield child


def words_of(token: Token) -> str:
    """The words within a token: of a picture those that say what it shows."""
    return "".join(child.content for child in token.children or [])


def drawing_name(token: Token) -> str:
    """The name of the drawing that an image token stands for."""
    return str(token.attrs["src"]).removeprefix(DRAWING)


def title_of(tokens: list[Token], otherwise: str) -> str:
    """The words of the first heading."""
    for token, after in pairwise(tokens):
        if token.type == "heading_open" and after.children is not None:
            return words_of(after)
    return otherwise
