"""A page of the handbook as blocks: its text, what points at it, its sources.

Links are things to be chosen. The key of a link is a number, a colon and where it leads: `page:id`,
or `case:file` for a demo case.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from markdown_it.token import Token
from rich.console import Console
from rich.text import Text

from toeroom.case import Case
from toeroom.handbook.pages import Page
from toeroom.handbook.pointing import Pointing
from toeroom.handbook.sections import plain_inline, tokens_of
from tui.widgets.blocks import LINK, Block, space
from tui.widgets.table_lines import table_lines

_CITATION = re.compile(r"\s*\[@([a-z0-9-]+)(?:,[^\]\n]*)?\]")
READABLE = 84
"""Wider than this a line of running text is hard to follow."""


@dataclass(frozen=True, slots=True)
class PageBlock(Block):
    """`heading` stands on the block that opens a section."""

    heading: str = ""


def target_of(key: str) -> str:
    """Where the link with this key leads."""
    return key.partition(":")[2]


class PageWriter:
    """Writes a page for a pane of `width` columns. `cited` are its sources in words, in its order."""

    def __init__(self, page: Page, cited: Sequence[str], width: int, console: Console) -> None:
        self.page, self.cited = page, cited
        self.width, self.console = width, console
        self.numbers = {source.key: number for number, source in reversed([*enumerate(page.sources, 1)])}
        self.links = 0

    def blocks(self, pointing: Pointing | None, files: Mapping[str, str]) -> Iterator[PageBlock]:
        """The whole page. `files` says in which file a demo case stands."""
        yield _block(1, Text(self.page.title, "title"), heading=self.page.title)
        words = f"{self.page.shelf.replace('-', ' ')} · {self.page.id} · reviewed {self.page.reviewed}"
        yield _block(1, Text(words, "quiet"))
        yield from self._body()
        if pointing is not None:
            yield from self._pointing(pointing, files)
        yield from self._heading("Sources")
        for number, (source, words) in enumerate(zip(self.page.sources, self.cited, strict=True), 1):
            marker = f"[{number}] "
            text = Text(f"{words} ({source.grade})", "quiet")
            yield PageBlock(((1 + len(marker), text),), marker=marker)
        yield _block(1, Text(f"Next review by {self.page.review_by}.", "quiet"))

    # --- text ------------------------------------------------------------------------------------
    def _body(self) -> Iterator[PageBlock]:
        lists: list[int | None] = []
        marker, quoted, heading = "", False, False
        rows: list[list[Text]] | None = None
        for token in tokens_of(self.page.body):
            kind = token.type
            if kind in ("bullet_list_open", "ordered_list_open"):
                lists.append(int(token.attrs.get("start", 1)) if kind.startswith("ordered") else None)
                if len(lists) == 1:
                    yield _space()
            elif kind in ("bullet_list_close", "ordered_list_close"):
                lists.pop()
            elif kind == "list_item_open":
                number = lists[-1]
                marker = "- " if number is None else f"{number}. "
                lists[-1] = None if number is None else number + 1
            elif kind in ("blockquote_open", "blockquote_close"):
                quoted = kind == "blockquote_open"
                if quoted:
                    yield _space()
            elif kind == "heading_open":
                heading = True
            elif kind == "table_open":
                rows = []
            elif kind == "tr_open" and rows is not None:
                rows.append([])
            elif kind == "table_close" and rows is not None:
                yield _space()
                yield from self._table(rows)
                rows = None
            elif kind in ("fence", "code_block"):
                yield PageBlock(tuple((3, Text(line)) for line in token.content.splitlines()))
            elif kind == "inline" and rows is not None:
                rows[-1].append(self._inline(token))
            elif kind == "inline" and heading:
                heading = False
                yield from self._heading(plain_inline(token))
            elif kind == "inline" and lists:
                yield self._text(token, 3 + 2 * (len(lists) - 1) + (len(marker) or 2), marker)
                marker = ""
            elif kind == "inline":
                if not quoted:
                    yield _space()
                block = self._text(token, 4 if quoted else 1)
                yield replace(block, band="careful") if quoted else block

    def _heading(self, text: str) -> Iterator[PageBlock]:
        yield _space()
        yield _block(1, Text(text, "title"), heading=text)

    def _text(self, token: Token, indent: int, marker: str = "") -> PageBlock:
        text = self._inline(token)
        lines = text.wrap(self.console, max(10, min(READABLE, self.width - 2) - indent))
        return PageBlock(tuple((indent, line) for line in lines), marker=marker)

    def _inline(self, token: Token) -> Text:
        text, styles, link = Text(), list[str](), ""
        for child in token.children or ():
            if child.type in ("strong_open", "em_open"):
                styles.append("head" if child.type == "strong_open" else "say")
            elif child.type in ("strong_close", "em_close"):
                styles.pop()
            elif child.type == "link_open":
                href = str(child.attrs.get("href", ""))
                link = self._link(href) if href.startswith("page:") else ""
            elif child.type == "link_close":
                link = ""
            elif child.type in ("softbreak", "hardbreak"):
                text.append(" ")
            elif child.content:
                self._append(text, child.content, link or (styles[-1] if styles else ""))
        return text

    def _link(self, target: str) -> str:
        self.links += 1
        return f"{LINK}{self.links}:{target}"

    def _append(self, text: Text, words: str, style: str) -> None:
        """`words`, the marks of citations as the number of their source."""
        at = 0
        for found in _CITATION.finditer(words):
            text.append(words[at : found.start()], style)
            text.append(f" [{self.numbers.get(found[1], found[1])}]", "quiet")
            at = found.end()
        text.append(words[at:], style)

    def _table(self, rows: list[list[Text]]) -> Iterator[PageBlock]:
        lines = table_lines(rows, self.width - 3, self.console)
        yield PageBlock(tuple((1, line) for line in lines))

    # --- what points here ------------------------------------------------------------------------
    def _pointing(self, pointing: Pointing, files: Mapping[str, str]) -> Iterator[PageBlock]:
        if not (pointing.rules or pointing.findings or pointing.items or pointing.cases):
            return
        yield from self._heading("Cases and rules that point here")
        if pointing.findings:
            yield self._named("stated", Text(", ".join(term.label.lower() for term in pointing.findings)))
        if pointing.items:
            yield self._named("planned", Text(", ".join(item.label.lower() for item in pointing.items)))
        for rule in pointing.rules:
            yield self._named("rule", Text.assemble(rule.title, (f" ({rule.id})", "quiet")))
        for case in pointing.cases:
            yield self._named(
                "case", Text.assemble((_told(case), self._link(f"case:{files.get(case.id, '')}")))
            )

    def _named(self, what: str, text: Text) -> PageBlock:
        lines = text.wrap(self.console, max(10, min(READABLE, self.width - 2) - 11))
        return PageBlock(tuple((11, line) for line in lines), marker=what.ljust(10))


def _told(case: Case) -> str:
    return f"{case.title} ({case.id})" if case.title else case.id


def _block(indent: int, text: Text, heading: str = "") -> PageBlock:
    return PageBlock(((indent, text),), heading=heading)


def _space() -> PageBlock:
    return PageBlock(space().lines)
