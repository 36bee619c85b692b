"""The sources of a book in words, for who asks why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from toeroom.book import Book
from toeroom.errors import BadInput

if TYPE_CHECKING:
    from toeroom.handbook.sources import Source


class Citations:
    """Reads the list of sources when first asked; where it cannot be read, the key stands for the source."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._sources: dict[str, Source] | None = None

    def of_rule(self, rule_id: str) -> list[str]:
        """What the rule cites: title, body, year, and the place in it."""
        return [self.words(s.key, s.at) for s in self.book.planner.by_id[rule_id].sources]

    def words(self, key: str, at: str) -> str:
        """The source `key` and the place `at` in it, in words."""
        if self._sources is None:
            # The handbook brings its index along, which the first screen should not wait for.
            from toeroom.handbook.sources import read_sources

            try:
                self._sources = read_sources(self.book.folder / "kb" / "sources.yaml")
            except BadInput:
                self._sources = {}
        source = self._sources.get(key)
        if source is None:
            return f"{key.replace('-', ' ')}{f', {at}' if at else ''}"
        published = " ".join(part for part in (source.body, source.year) if part not in ("", "n.d."))
        memory = "from memory" if source.seen == "memory" else ""
        return ", ".join(part for part in (source.title, published, at, memory) if part)
