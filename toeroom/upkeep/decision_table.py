"""A decision table of a topic: every rule on a row, for a committee to read and sign."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path

from toeroom.book import Book
from toeroom.errors import BadInput, nearest
from toeroom.handbook.sources import Source as Cited
from toeroom.handbook.sources import read_sources
from toeroom.rules.model import Rule, Source
from toeroom.rules.reading import RuleFile
from toeroom.upkeep.rule_lines import about_in_words, then_in_words, when_in_words
from toeroom.yamltree import read_book_file

COLUMNS = ("Rule", "About", "When", "Then", "Strength", "Sources", "Reviewed", "Agreed: initials, date")
KINDS = ("guideline", "standard", "study", "policy", "data", "trade", "text")
"""Kinds of sources, the strongest first."""
PLAIN = {"common-practice": "common practice", "from-memory": "from memory"}


@dataclass(frozen=True, slots=True)
class Table:
    """The rules of a topic; a row has a text for every column, lines divided by newlines."""

    topic: str
    file: str
    version: str
    rows: tuple[tuple[str, ...], ...]


def topics(book: Book) -> dict[str, Path]:
    """The files of rules of a book by their short name."""
    return {
        path.stem: path
        for path in sorted((book.folder / "rules").glob("*.yaml"))
        if path.name not in ("vocabulary.yaml", "guarantees.yaml")
    }


def decision_table(book: Book, topic: str) -> Table:
    """The table of the rules in the file called `topic`; drafts and retired rules are marked."""
    known = topics(book)
    path = known.get(topic.removesuffix(".yaml"))
    if path is None:
        mend = nearest(topic, known) or f"use one of {', '.join(known)}"
        raise BadInput(f"there is no topic '{topic}'", mend=mend)
    sources = read_sources(book.folder / "kb" / "sources.yaml")
    top = read_book_file(path).value
    title = top["topic"].value if isinstance(top, dict) and "topic" in top else path.stem
    rows = tuple(_row(rule, book, sources) for rule in RuleFile(path, book.vocabulary).rules())
    return Table(str(title), f"rules/{path.name}", book.version, rows)


def _row(rule: Rule, book: Book, sources: dict[str, Cited]) -> tuple[str, ...]:
    status = "" if rule.status == "active" else f"\n{rule.status}, does nothing"
    by = rule.reviewed_by or rule.author
    return (
        f"{rule.title}\n{rule.id}{status}",
        about_in_words(rule),
        when_in_words(rule.when, book.vocabulary),
        "\n".join(then_in_words(rule.then, book.vocabulary)),
        strength(rule, sources),
        "\n".join(_source(source, sources) for source in rule.sources),
        f"{rule.reviewed} by {by}\nagain by {rule.review_by}",
        "",
    )


def strength(rule: Rule, sources: dict[str, Cited]) -> str:
    """The kind of the strongest source that a rule rests on."""
    kinds = {sources[s.key].kind for s in rule.sources if s.key in sources and s.key not in PLAIN}
    if kinds:
        return min(kinds, key=KINDS.index)
    return next((words for key, words in PLAIN.items() if key in {s.key for s in rule.sources}), "none")


def _source(source: Source, sources: dict[str, Cited]) -> str:
    cited = sources.get(source.key)
    if source.key in PLAIN or cited is None:
        return PLAIN.get(source.key, f"{source} (not in sources.yaml)")
    seen = {"part": ", read in part", "memory": ", from memory"}.get(cited.seen, "")
    return f"{source} ({cited.kind}{seen})"


def as_csv(table: Table) -> str:
    """The table as comma-separated values, with a heading line."""
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(table.rows)
    return written.getvalue()


def as_markdown(table: Table) -> str:
    """The table in Markdown: where the rules stand, the rows, and lines to sign on."""
    lines = [
        f"# {_escaped(table.topic)}",
        "",
        f"{len(table.rows)} rules of {table.file}, book {table.version}. What nobody stated is not known, "
        "never no. Strength is the kind of the strongest source.",
        "",
        "| " + " | ".join(COLUMNS) + " |",
        "| " + " | ".join("---" for _ in COLUMNS) + " |",
    ]
    lines += ["| " + " | ".join(_cell(text) for text in row) + " |" for row in table.rows]
    lines += ["", "Read and agreed as a whole:", ""]
    lines += ["| Initials | Date | Signature |", "| --- | --- | --- |", *["|  |  |  |"] * 3]
    return "\n".join(lines) + "\n"


def _cell(text: str) -> str:
    return "<br>".join(_escaped(line) for line in text.split("\n"))


def _escaped(text: str) -> str:
    """Text that Markdown shows as it is."""
    return re.sub(r"([\\`*_\[\]<>|#~])", r"\\\1", text)
