"""Markdown of a page that would not be shown as it was meant."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from markdown_it.token import Token

from toeroom.handbook.pages import Page
from toeroom.handbook.sections import tokens_of

Found = tuple[int, str, str]
_HTML = re.compile(r"</?[a-zA-Z][^<>\n]*>|<!--")
_CITATION = re.compile(r"\[@[^\]\n]*\]?")
_GOOD_CITATION = re.compile(r"\[@[a-z0-9-]+(, [^\]\n]+)?\]")


def faults_in_marks(page: Page) -> Iterator[Found]:
    """(line of the file, what, mend) for each mark that does not work, in the order of the page."""
    tokens = tokens_of(page.body)
    for token in tokens:
        line = page.body_line + (token.map[0] if token.map else 0)
        yield from _blocks(token, line, page)
        if token.type == "inline":
            yield from _inline(token, line)
    yield from _tables(tokens, page)


def _blocks(token: Token, line: int, page: Page) -> Iterator[Found]:
    if token.type == "heading_open" and token.tag == "h1":
        yield line, "has a heading of the first level", "the title stands in the front matter; use '##'"
    elif token.type == "fence":
        last = page.body.split("\n")[token.map[1] - 1] if token.map else ""
        if not last.strip().startswith(token.markup):
            yield line, "has a code block that is never closed", f"end it with {token.markup}"
    elif token.type == "blockquote_open" and token.level:
        yield line, "has a caution inside a list or another caution", "begin it at the start of a line"


def _inline(token: Token, line: int) -> Iterator[Found]:
    if token.content.startswith("|"):
        yield (
            line,
            "has a table that is not one",
            "a table needs a line |---|---| with as many cells below its head",
        )
    if re.match(r"#{1,6}[^#\s]", token.content):
        yield line, "has a heading without a space after #", "write '## Heading'"
    for child in token.children or ():
        if child.type == "image":
            yield line, "has a picture", "pages hold words and tables only"
        elif child.type == "text":
            yield from _text(child.content, line)


def _text(text: str, line: int) -> Iterator[Found]:
    if found := _HTML.search(text):
        yield line, f"has raw HTML: {found.group()[:40]}", "use Markdown"
    if "**" in text or "__" in text:
        yield line, "has bold that does not begin or end", "put ** right before and after the words"
    if "](" in text:
        yield line, "has a link that is not one", "write [words](page:id) without spaces in the brackets"
    for found in _CITATION.finditer(text):
        if not _GOOD_CITATION.fullmatch(found.group()):
            yield line, f"has a citation that is not one: {found.group()[:40]}", "write [@key, place]"


def _tables(tokens: Sequence[Token], page: Page) -> Iterator[Found]:
    """Rows with more or fewer cells than the head: they would lose or gain cells in silence."""
    lines = page.body.split("\n")
    for token in tokens:
        if token.type == "table_open" and token.map:
            first, last = token.map
            counts = [len(re.findall(r"(?<!\\)\|", row.strip().strip("|"))) for row in lines[first:last]]
            for number, count in enumerate(counts):
                if count != counts[0]:
                    what = f"has a table row of {count + 1} cells under a head of {counts[0] + 1}"
                    yield page.body_line + first + number, what, "give every row the same number of cells"
