"""The handbook of a book, opened: its pages, and the search in them, always as the files now stand."""

from __future__ import annotations

import contextlib
import itertools
import os
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

from toeroom.errors import BadInput, BookFault, nearest
from toeroom.handbook.index import (
    BESIDE,
    Content,
    Opened,
    open_index,
    pages_of,
    read_content,
    synonyms_of,
)
from toeroom.handbook.leaning import leaning
from toeroom.handbook.pages import Page
from toeroom.handbook.search import SearchResult, ranking, search
from toeroom.handbook.words import Synonyms

LOOK_AGAIN = 0.25


class Handbook:
    """The pages of the book in `folder` and a search over them.

    Edited files are noticed a quarter of a second later at the latest. A page that cannot be read is
    left out and stands in `faults`. May be used from several threads. `cache` is where the index is
    kept; the user's cache folder where None.
    """

    def __init__(self, folder: Path, *, cache: Path | None = None) -> None:
        self.folder, self._cache = folder, cache
        self._lock = threading.RLock()
        self._seen, self._looked = _fingerprint(folder), time.monotonic()
        self._state = _State(read_content(folder), cache)

    @property
    def pages(self) -> Mapping[str, Page]:
        """The active pages by id, in the order of the shelves."""
        return MappingProxyType({i: p for i, p in self._now().read[0].items() if p.status == "active"})

    @property
    def faults(self) -> tuple[BookFault, ...]:
        """Why pages that are there could not be read."""
        return self._now().read[1]

    @property
    def version(self) -> str:
        """A short name of the content searched: the same content has the same version."""
        return self._now().content.key[:12]

    def page(self, page_id: str) -> Page:
        """The page `page_id`; `BadInput` names the nearest ids where there is none."""
        pages, faults = self._now().read
        if page_id in pages and pages[page_id].status == "active":
            return pages[page_id]
        if page_id in pages:
            page = pages[page_id]
            mend = f"see '{page.replaced_by}'" if page.replaced_by else ""
            raise BadInput(f"the page '{page_id}' is {page.status}", mend=mend)
        for fault in faults:
            if Path(fault.file).stem == page_id:
                raise fault
        raise BadInput(f"there is no page '{page_id[:80]}'", mend=_near(page_id, pages))

    def search(self, text: str, limit: int = 10) -> SearchResult:
        """The pages that answer `text`, best first, each once with its best sections."""
        with self._lock:
            state = self._now()
            return search(text, state.opened, state.synonyms, limit=limit)

    @property
    def synonyms(self) -> Synonyms:
        """How texts become words and meanings."""
        return self._now().synonyms

    def knows(self, stem: str) -> bool:
        """Whether any page holds a word with this stem."""
        with self._lock:
            return bool(self._now().opened.holding(stem))

    def leaning(self, text: str) -> float:
        """How far the words of `text` lean to other things (above 0) than the handbook's (below 0)."""
        with self._lock:
            state = self._now()
            return leaning(text, state.opened.leaning, state.synonyms)

    def _now(self) -> _State:
        """The state of the files as they stand."""
        with self._lock:
            if time.monotonic() - self._looked >= LOOK_AGAIN:
                seen = _fingerprint(self.folder)
                if seen != self._seen and (self.folder / "kb").is_dir():
                    content = read_content(self.folder)
                    if content.key != self._state.content.key:
                        self._state = _State(content, self._cache)
                self._seen, self._looked = seen, time.monotonic()
            return self._state


@dataclass
class _State:
    """One content and what was worked out from it so far."""

    content: Content
    cache: Path | None

    @cached_property
    def read(self) -> tuple[dict[str, Page], tuple[BookFault, ...]]:
        pages, faults = pages_of(self.content)
        return pages, tuple(faults)

    @cached_property
    def synonyms(self) -> Synonyms:
        return synonyms_of(self.content)

    @cached_property
    def opened(self) -> Opened:
        return Opened(open_index(self.content, self.synonyms, self.cache), ranking())


Stamp = tuple[str, int, int, int]


def _fingerprint(folder: Path) -> list[Stamp]:
    """What tells whether a file that the search rests on was edited; asked for every quarter of a second,
    so the shelves are read as the system lists them."""
    found: list[Stamp] = []
    with contextlib.suppress(OSError):
        shelves = [entry.path for entry in os.scandir(folder / "kb") if entry.is_dir()]
        for entry in itertools.chain.from_iterable(map(os.scandir, shelves)):
            if entry.name.endswith(".md"):
                _add_stamp(found, entry)
    for name in BESIDE:
        _add_stamp(found, folder / name)
    return sorted(found)


def _add_stamp(found: list[Stamp], file: os.DirEntry[str] | Path) -> None:
    with contextlib.suppress(OSError):
        told = file.stat()
        found.append((os.fspath(file), told.st_mtime_ns, told.st_size, told.st_ino))


def _near(page_id: str, pages: Mapping[str, Page]) -> str:
    """The mend for an unknown id: up to three near ones."""
    from difflib import get_close_matches

    wanted = page_id[:80].lower().replace("_", "-").replace(" ", "-")
    near = get_close_matches(wanted, list(pages), n=3, cutoff=0.5)
    near += [i for i in pages if len(wanted) > 2 and wanted in i and i not in near][: 3 - len(near)]
    if not near:
        return nearest(page_id, pages)
    return f"did you mean {' or '.join(repr(i) for i in near)}?"
