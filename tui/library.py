"""The handbook and who answers from it, opened when first wanted and then kept."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.errors import BadInput
from toeroom.foot_places import FootPlaces
from toeroom.unsaved import Aside
from tui.citations import Citations
from tui.log import write_down

if TYPE_CHECKING:
    from toeroom.answers.answering import Answerer
    from toeroom.answers.cues import Cues
    from toeroom.handbook.handbook import Handbook


class Library:
    """What the places share. Threads may ask it; nothing is opened twice, nothing before it is wanted."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.citations = Citations(book)
        self.aside = Aside()
        self._lock = threading.RLock()
        self._handbook: Handbook | None = None
        self._answerer: Answerer | None = None
        self._cues: Cues | None = None
        self._places: FootPlaces | None = None
        self._cases: tuple[tuple[str, Case], ...] | None = None

    def turn_to(self, book: Book) -> None:
        """Another version of the book from now on; what was opened of the one before is let go."""
        with self._lock:
            self.book, self.citations = book, Citations(book)
            self._handbook, self._answerer, self._cases = None, None, None

    @property
    def handbook(self) -> Handbook:
        """The handbook of the book. Opening it reads every page: not for the thread that draws."""
        # The handbook brings its index along, which the first screen should not wait for.
        from toeroom.handbook.handbook import Handbook

        with self._lock:
            if self._handbook is None:
                self._handbook = Handbook(self.book.folder)
            return self._handbook

    @property
    def answerer(self) -> Answerer:
        """Answers from the book. Opening it takes as long as the handbook and more."""
        from toeroom.answers.answering import Answerer

        with self._lock:
            if self._answerer is None:
                self._answerer = Answerer(self.book, self.handbook)
            return self._answerer

    @property
    def cues(self) -> Cues:
        """What a text is read by. Reading it takes a while: not for the thread that draws."""
        from toeroom.answers.cues import read_cues

        with self._lock:
            if self._cues is None:
                self._cues = read_cues(self.book.folder / "kb")
            return self._cues

    @property
    def places(self) -> FootPlaces:
        """Where on a foot each finding lies; where that cannot be read, no finding has a place."""
        with self._lock:
            if self._places is None:
                try:
                    self._places = self.book.places
                except BadInput as fault:
                    write_down("no places on the feet", fault)
                    self._places = FootPlaces()
            return self._places

    @property
    def cases(self) -> tuple[tuple[str, Case], ...]:
        """The demo cases that can be read, each with the name of its file."""
        with self._lock:
            if self._cases is None:
                found = []
                for path in sorted(self.book.cases_demo.glob("*.yaml")):
                    try:
                        found.append((path.name, read_case(path, self.book.vocabulary)))
                    except BadInput:
                        continue
                self._cases = tuple(found)
            return self._cases
