"""What Ask does not answer, and whom it names instead. The topics are data: kb/refusals.yaml."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BookFault, nearest
from toeroom.yamltree import Node, read_book_file

ORDINARY_TOPICS = ("ordinary", "shoe-care")
"""Topics of ordinary words: they refuse only where the handbook has little to say."""
LIKENED = re.compile(r"\blike (?:an? )?\w+(?: \w+)?")
"""What something is likened to: "feet like bread dough" is not about bread."""
LIKENING_TOPICS = (*ORDINARY_TOPICS, "elsewhere")


@dataclass(frozen=True, slots=True)
class Topic:
    """Something that is refused: by a word, or by what it is about together with how it is asked."""

    id: str
    say: str
    words: re.Pattern[str]
    about: re.Pattern[str]
    asks: re.Pattern[str]
    unless: re.Pattern[str]

    def speaks(self, text: str) -> bool:
        """Whether `text`, in small letters, is refused by this topic."""
        if self.unless.search(text):
            return False
        return bool(self.words.search(text) or (self.about.search(text) and self.asks.search(text)))


@dataclass(frozen=True, slots=True)
class Refusals:
    """Topics in order; words of our subject, and those others share; the line for nothing found."""

    topics: tuple[Topic, ...]
    subject: tuple[str, ...]
    general: tuple[str, ...]
    nothing: str

    def topic_of(self, text: str, *, ordinary: bool = True) -> Topic | None:
        """The first topic that refuses `text`; topics of ordinary words only where `ordinary`."""
        plain = " ".join(re.sub(r"[’`]", "'", text.lower()).split())
        unlikened = LIKENED.sub("like", plain)
        for topic in self.topics:
            said = unlikened if topic.id in LIKENING_TOPICS else plain
            if topic.speaks(said) and (ordinary or topic.id not in ORDINARY_TOPICS):
                return topic
        return None


def read_refusals(path: Path) -> Refusals:
    """The refusals in the file at `path`; `BookFault` for what it should not hold."""
    top = _mapping(read_book_file(path), path)
    _known(top, ("topics", "subject", "general", "nothing"), path)
    topics = top["topics"].value if "topics" in top else []
    if not isinstance(topics, list):
        raise BookFault(
            "'topics' must be a list", file=str(path), line=top["topics"].line, mend="begin with '-'"
        )
    return Refusals(
        topics=tuple(_topic(node, path) for node in topics),
        subject=tuple(_texts(top.get("subject"), path)),
        general=tuple(_texts(top.get("general"), path)),
        nothing=_text(top.get("nothing"), path),
    )


def _topic(node: Node, path: Path) -> Topic:
    entries = _mapping(node, path)
    _known(entries, ("id", "say", "words", "about", "asks", "unless"), path)
    lists = {key: _pattern(_texts(entries.get(key), path)) for key in ("words", "about", "asks", "unless")}
    return Topic(id=_text(entries.get("id"), path), say=_text(entries.get("say"), path), **lists)


def _pattern(phrases: Iterable[str]) -> re.Pattern[str]:
    """Any of the phrases, as whole words; a star stands for any ending or beginning of a word."""
    parts = [
        re.escape(phrase.lower()).replace(r"\*", r"[\w'-]*").replace(r"\ ", r"\s+") for phrase in phrases
    ]
    return re.compile(
        rf"(?<![\w])(?:{'|'.join(sorted(parts, key=len, reverse=True))})(?![\w])" if parts else r"(?!)"
    )


def _mapping(node: Node, path: Path) -> dict[str, Node]:
    if not isinstance(node.value, dict):
        raise BookFault(
            "'name: value' lines are wanted here", file=str(path), line=node.line, mend="see its head"
        )
    return node.value


def _known(entries: dict[str, Node], known: tuple[str, ...], path: Path) -> None:
    for key, node in entries.items():
        if key not in known:
            raise BookFault(
                f"'{key}' is not a known key", file=str(path), line=node.key_line, mend=nearest(key, known)
            )


def _texts(node: Node | None, path: Path) -> list[str]:
    if node is None or node.value is None:
        return []
    return [_text(inner, path) for inner in (node.value if isinstance(node.value, list) else [node])]


def _text(node: Node | None, path: Path) -> str:
    if node is None or not isinstance(node.value, str):
        raise BookFault(
            "a line of text is missing", file=str(path), line=node.line if node else 0, mend="write it"
        )
    return " ".join(node.value.split())
