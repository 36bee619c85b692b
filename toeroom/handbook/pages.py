"""A page of the handbook: what its front matter says and the text below it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from toeroom.case import day_from
from toeroom.errors import BookFault, nearest
from toeroom.yamltree import Node, parse, read_text

SHELVES = (
    "safety",
    "feet",
    "feeling-and-blood",
    "measuring",
    "shoes",
    "inserts",
    "alterations",
    "socks",
    "hand-over",
    "paperwork",
)
GRADES = ("guideline", "study", "policy", "common practice", "from memory")
STATUSES = ("draft", "active", "retired")
_NEEDED = (
    "id", "title", "shelf", "words", "findings", "items", "sources",
    "author", "reviewed", "review_by", "status",
)  # fmt: skip
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class PageSource:
    """A source a page rests on: its key in sources.yaml, the place in it, how strong it is."""

    key: str
    at: str
    grade: str
    line: int = 0

    def __str__(self) -> str:
        return ", ".join(part for part in (self.key, self.at) if part) + f" ({self.grade})"


@dataclass(frozen=True, slots=True)
class Page:
    """One page. `words` are other words for its subject; `body` is Markdown from `body_line` of the file on.

    `findings` and `items` are ids of the vocabulary that the page serves; `replaced_by` is the page
    that took over from a retired one.
    """

    id: str
    title: str
    shelf: str
    words: tuple[str, ...]
    findings: tuple[str, ...]
    items: tuple[str, ...]
    sources: tuple[PageSource, ...]
    author: str
    reviewed: date
    review_by: date
    status: str
    replaced_by: str
    body: str
    body_line: int
    file: str
    lines: Mapping[str, int]
    reviewed_by: str = ""

    @property
    def shelf_rank(self) -> tuple[int, str, str]:
        """Sorts pages as they stand on the shelves."""
        rank = SHELVES.index(self.shelf) if self.shelf in SHELVES else len(SHELVES)
        return rank, self.shelf, self.id


def read_page(path: Path) -> Page:
    """The page in the file at `path`; `BookFault` names what its front matter should not hold."""
    return page_from(read_text(path, fault=BookFault), path)


def page_from(text: str, path: Path) -> Page:
    """The page written as `text`, as read from `path`: shelf/id.md."""
    return _Front(text.replace("\r\n", "\n"), path).page()


class _Front:
    """Reads the front matter of one page."""

    def __init__(self, text: str, path: Path) -> None:
        self.file, self.path = str(path), path
        lines = text.split("\n")
        ends = [i for i, line in enumerate(lines) if line.rstrip() == "---"]
        if len(ends) < 2 or ends[0] != 0:
            raise self.fault(
                "has no front matter", 1, "begin with a line '---', the front matter and a line '---'"
            )
        self.end_line = ends[1] + 1
        # An empty first line in place of the opening dashes keeps the lines of the tree those of the file.
        top = parse("\n" + "\n".join(lines[1 : ends[1]]) + "\n", self.file, fault=BookFault)
        if not isinstance(top.value, dict):
            raise self.fault("the front matter must be 'name: value' lines", 2, "see docs/pages.md")
        self.top: dict[str, Node] = top.value
        self.body = "\n".join(lines[ends[1] + 1 :])

    def page(self) -> Page:
        for key, node in self.top.items():
            if key not in (*_NEEDED, "reviewed_by", "replaced_by"):
                raise self.fault(f"'{key}' is not a known key", node.key_line, nearest(key, _NEEDED))
        for key in _NEEDED:
            if key not in self.top:
                raise self.fault(f"the front matter has no '{key}'", 1, f"write '{key}: …'")
        page_id = self.id_("id", self.path.stem, "the file is named")
        shelf = self.id_("shelf", self.path.parent.name, "the file stands on the shelf")
        return Page(
            id=page_id,
            title=self.text("title"),
            shelf=shelf,
            words=self.texts("words"),
            findings=self.texts("findings"),
            items=self.texts("items"),
            sources=self.sources(),
            author=self.text("author"),
            reviewed=self.day("reviewed"),
            review_by=self.day("review_by"),
            status=self.one_of(self.top["status"], "status", STATUSES),
            replaced_by=self.text("replaced_by") if "replaced_by" in self.top else "",
            body=self.body,
            body_line=self.end_line + 1,
            file=self.file,
            lines={key: node.key_line for key, node in self.top.items()},
            reviewed_by=self.text("reviewed_by") if "reviewed_by" in self.top else "",
        )

    def fault(self, what: str, line: int, mend: str = "") -> BookFault:
        return BookFault(what, file=self.file, line=line, mend=mend)

    def id_(self, key: str, place: str, so: str) -> str:
        text, line = self.text(key), self.top[key].key_line
        if not _ID.fullmatch(text):
            raise self.fault(f"'{text}' cannot be {key}", line, "use small letters, digits and dashes")
        if text != place:
            raise self.fault(f"{key} is '{text}' but {so} '{place}'", line, "give both the same name")
        return text

    def text(self, key: str) -> str:
        node = self.top[key]
        if not isinstance(node.value, str) or not node.value.strip():
            raise self.fault(f"'{key}' must be one line of text", node.key_line, "write words after it")
        return " ".join(node.value.split())

    def texts(self, key: str) -> tuple[str, ...]:
        node = self.top[key]
        if not isinstance(node.value, list):
            raise self.fault(f"'{key}' must be a list", node.key_line, "write [one, two], or [] for none")
        found: list[str] = []
        for inner in node.value:
            if not isinstance(inner.value, str):
                raise self.fault(f"'{key}' must hold words only", inner.line, "write [one, two]")
            found.append(" ".join(inner.value.split()))
            if found[-1] in found[:-1]:
                raise self.fault(f"'{key}' holds '{found[-1]}' twice", inner.line, "keep one of the two")
        return tuple(found)

    def sources(self) -> tuple[PageSource, ...]:
        node = self.top["sources"]
        mend = "write '- {key: …, at: …, grade: …}'"
        if not isinstance(node.value, list) or not node.value:
            raise self.fault("'sources' must be a list with at least one source", node.key_line, mend)
        found: list[PageSource] = []
        for inner in node.value:
            if not isinstance(inner.value, dict) or not {"key", "grade"} <= set(inner.value) <= {
                "key",
                "at",
                "grade",
            }:
                raise self.fault("a source has a key, a place ('at') and a grade", inner.line, mend)
            for name, value in inner.value.items():
                if not isinstance(value.value, str):
                    raise self.fault(f"'{name}' of a source must be words", value.line, mend)
            grade = self.one_of(inner.value["grade"], "grade", GRADES)
            at = str(inner.value["at"].value) if "at" in inner.value else ""
            found.append(PageSource(str(inner.value["key"].value), " ".join(at.split()), grade, inner.line))
        return tuple(found)

    def day(self, key: str) -> date:
        try:
            return day_from(self.text(key))
        except ValueError as error:
            what, _, mend = str(error).partition("; ")
            raise self.fault(f"'{key}': {what}", self.top[key].key_line, mend) from None

    def one_of(self, node: Node, key: str, allowed: tuple[str, ...]) -> str:
        text = node.value if isinstance(node.value, str) else ""
        if text not in allowed:
            mend = nearest(text, allowed) or f"use one of: {', '.join(allowed)}"
            raise self.fault(f"{key} cannot be '{text}'", node.key_line or node.line, mend)
        return text
