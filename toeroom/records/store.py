"""The store as others use it: open it, list, load and save cases, go through them all.

with open_store() as store:
    began = store.load("demo-01")
    result = store.save(changed_text, "KL", began.number)
    if isinstance(result, Conflict): ...  # offer result.offer
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from types import TracebackType
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Engine, Select, func, select

from toeroom.book import Book
from toeroom.due import Due
from toeroom.errors import BadInput, nearest
from toeroom.measures.reviews import Window
from toeroom.records.address import Address, address_of
from toeroom.records.connecting import WRITING, connect
from toeroom.records.faults import Beaten, said_plainly
from toeroom.records.planning import BookPlanning, Planned, Planning
from toeroom.records.saving import (
    Conflict,
    Saved,
    follow_on,
    initials,
    moved_to,
    refuse_unusable,
    save_in,
    version_row,
)
from toeroom.records.schema import cases, due, plans, versions
from toeroom.records.version import Version, hash_of, unpacked, version_of

__all__ = ["Conflict", "Document", "DueCase", "Listed", "Saved", "Store", "Version", "open_store"]

AT_ONCE = 500
ORDERS: dict[str, tuple[Any, ...]] = {
    "saved": (cases.c.saved_at.desc(), cases.c.code.desc()),
    "case": (cases.c.code,),
    "title": (cases.c.title, cases.c.code),
    "as_of": (cases.c.as_of.desc(), cases.c.code.desc()),
    "due": (cases.c.next_due, cases.c.code),
}
"""How a list may be ordered: newest first for days of saving and of the case, soonest first for due."""

# In the order of the fields of `Listed` and `DueCase`.
LISTED = (
    *(cases.c.code, cases.c.latest, cases.c.title, cases.c.as_of, cases.c.saved_at),
    *(cases.c.who, cases.c.stop, cases.c.next_due, cases.c.book),
)
DUE = (
    *(due.c.case_code, cases.c.title, cases.c.stop, due.c.item, due.c.side, due.c.what, due.c.why),
    *(due.c.first, due.c.last, due.c.source, due.c.page, due.c.category),
)


@dataclass(frozen=True, slots=True)
class Listed:
    """What a list shows of a case's latest version.

    saved_at: UTC. next_due: the first day by which something falls due, ISO, or None. book: rules' version.
    """

    case: str
    version: int
    title: str
    as_of: str
    saved_at: str
    who: str
    stop: bool
    next_due: str | None
    book: str


class DueCase(NamedTuple):
    """A thing that falls due, and for which case; fields as in `toeroom.due.Due`, days as ISO dates.

    A week may hold thousands.
    """

    case: str
    title: str
    stop: bool
    item: str
    side: str
    what: str
    why: str
    first: str
    last: str
    source: str
    page: str
    category: str

    def entry(self, on: date) -> Due:
        """The same as it stands on the day `on`."""
        first, last = date.fromisoformat(self.first), date.fromisoformat(self.last)
        return Due(
            case=self.case,
            id=self.item,
            what=self.what,
            side=self.side,
            first=first,
            last=last,
            standing=Window(first, last).standing(on),
            why=self.why,
            source=self.source,
            page=self.page,
            category=self.category,
            stopped=self.stop,
        )


class Document(NamedTuple):
    """A case file to save. name: as faults call it. base: the version it began from, where that is known."""

    name: str
    text: str
    base: int | None


def open_store(
    url: str | None = None, book: Book | None = None, *, make: bool = True, planning: Planning | None = None
) -> Store:
    """The store at `url` (see `address_of`), made where there is none and `make` says so.

    `book` plans what is saved; without one, the shipped book, opened with the first save. `planning` stands
    in its place, for who knows the plans already. Raises `BadInput`.
    """
    address = address_of(url)
    return Store(connect(address, make=make), address, planning or BookPlanning(book))


class Store:
    """An open store. Every method raises `BadInput`.

    Processes open their own. Threads may share one, but only one at a time may save: saving plans.
    """

    def __init__(self, engine: Engine, address: Address, planning: Planning) -> None:
        self.engine, self.address, self.planning = engine, address, planning

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Lets go of the database."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A transaction that sees one state of the store throughout."""
        with said_plainly(self.address), self.engine.connect() as connection:
            if self.address.file is None:
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that is on the disk once it is left, or leaves no trace."""
        with said_plainly(self.address), self.engine.connect() as connection:
            connection = connection.execution_options(**{WRITING: True})
            with connection.begin():
                yield connection

    def moved_to(self) -> str | None:
        """Where all of this store was moved to, or None. A moved store can be read and saves no more."""
        with self.reading() as connection:
            return moved_to(connection)

    # --- listing -----------------------------------------------------------------------------------
    def count(self, find: str = "") -> int:
        """How many cases there are, or are found."""
        with self.reading() as connection:
            wanted = _found(select(func.count()).select_from(cases), find)
            return int(connection.execute(wanted).scalar() or 0)

    def cases(self, find: str = "", order: str = "saved", limit: int | None = None) -> list[Listed]:
        """Cases whose id or title holds every word of `find`; at most `limit`. `order`: one of ORDERS.

        Ordered by `due`, cases of which nothing falls due are left out.
        """
        wanted = _found(select(*LISTED), find).order_by(*ORDERS[order]).limit(limit)
        if order == "due":
            wanted = wanted.where(cases.c.next_due.is_not(None))
        with self.reading() as connection:
            return [Listed(*row) for row in connection.execute(wanted)]

    def due_between(self, first: date, last: date, limit: int | None = None) -> list[DueCase]:
        """What is to be done by a day from `first` to `last`, soonest first; papers by the day they lapse.

        At most `limit`. Worked out when a case was saved, by the rules and dates of then.
        """
        return self._due(due.c.last.between(first.isoformat(), last.isoformat()), limit)

    def due_by(self, day: date, limit: int | None = None) -> list[DueCase]:
        """What is overdue, open or comes by `day`, by its last day; otherwise as `due_between`."""
        return self._due(due.c.first <= day.isoformat(), limit)

    def _due(self, when: ColumnElement[bool], limit: int | None) -> list[DueCase]:
        wanted = (
            select(*DUE)
            .join(cases, cases.c.code == due.c.case_code)
            .where(when)
            .order_by(due.c.last, due.c.case_code, due.c.item, due.c.side)
            .limit(limit)
        )
        with self.reading() as connection:
            return [DueCase._make(row) for row in connection.execute(wanted)]

    # --- one case ----------------------------------------------------------------------------------
    def load(self, case_id: str, version: int | None = None) -> Version:
        """A version of a case; the latest where none is named. One that was tampered with is a fault."""
        with self.reading() as connection:
            number = self._latest(connection, case_id)
            row = version_row(connection, case_id, number if version is None else version)
            if row is None:
                raise BadInput(f"'{case_id}' has no version {version}", mend=f"its latest is {number}")
            if hash_of(row) != row["hash"]:
                raise self._damaged(f"'{case_id}', version {row['number']}, was changed since it was saved")
            return version_of(row)

    def plan(self, case_id: str, version: int | None = None) -> dict[str, Any]:
        """The plan of a version as it was worked out when it was saved: JSON of the contract."""
        with self.reading() as connection:
            number = version if version is not None else self._latest(connection, case_id)
            wanted = (
                select(plans.c.body, versions.c.plan_hash)
                .join(
                    versions,
                    (versions.c.case_code == plans.c.case_code) & (versions.c.number == plans.c.number),
                )
                .where(plans.c.case_code == case_id, plans.c.number == number)
            )
            row = connection.execute(wanted).first()
        if row is None:
            raise BadInput(f"'{case_id}' has no version {number}", mend="see 'toeroom store history'")
        try:
            text, mark = unpacked(row.body)
        except ValueError:
            text, mark = "", ""
        if mark != row.plan_hash:
            raise self._damaged(f"the plan of '{case_id}', version {number}, was changed since it was saved")
        found: dict[str, Any] = json.loads(text)
        return found

    def _damaged(self, what: str) -> BadInput:
        return BadInput(what, file=self.address.shown, mend="see 'toeroom store check'; restore a backup")

    def history(self, case_id: str) -> list[Version]:
        """Every version of a case, oldest first."""
        with self.reading() as connection:
            self._latest(connection, case_id)
            wanted = select(versions).where(versions.c.case_code == case_id).order_by(versions.c.number)
            return [version_of(dict(row)) for row in connection.execute(wanted).mappings()]

    def _latest(self, connection: Connection, case_id: str) -> int:
        number = connection.execute(select(cases.c.latest).where(cases.c.code == case_id)).scalar()
        if number is None:
            near = connection.execute(
                select(cases.c.code).where(cases.c.code.startswith(case_id[:2], autoescape=True)).limit(1000)
            ).scalars()
            raise BadInput(
                f"the store has no case '{case_id}'",
                mend=nearest(case_id, near) or "see 'toeroom store list'",
            )
        return int(number)

    # --- all cases ---------------------------------------------------------------------------------
    def documents(self) -> Iterator[Version]:
        """The latest version of every case, by case id, read as they are asked for.

        Each few hundred are read at once, and none of the plans; so 100,000 hold nobody up.
        """
        after: str | None = None
        while True:
            wanted = (
                select(versions)
                .join(cases, (cases.c.code == versions.c.case_code) & (cases.c.latest == versions.c.number))
                .order_by(cases.c.code)
                .limit(AT_ONCE)
            )
            if after is not None:
                wanted = wanted.where(cases.c.code > after)
            with self.reading() as connection:
                found = [version_of(dict(row)) for row in connection.execute(wanted).mappings()]
            if not found:
                return
            yield from found
            after = found[-1].case

    # --- saving ------------------------------------------------------------------------------------
    def save(
        self,
        document: str,
        who: str,
        base_version: int | None = None,
        *,
        name: str = "case",
        take: Mapping[str, str] | None = None,
    ) -> Saved | Conflict:
        """Saves a case file's text as the next version; it is on the disk when this returns `Saved`.

        who: initials. base_version: the version it began from, None for a new case. Where others saved since,
        nothing is written and `Conflict` offers what the two come to; `take` settles what both changed.
        name: the file as faults call it. Raises `EnginesDiffer` where there is no plan.
        """
        letters = initials(who)
        refuse_unusable(document, name)
        planned = self.planning(document, name)
        for _ in range(3):
            try:
                with self.writing() as connection:
                    return save_in(connection, document, planned, letters, base_version, take)
            except Beaten as fault:
                # PostgreSQL lets two begin a case at once and turns the second away: it looks again.
                beaten = fault
        raise beaten

    def save_all(
        self, documents: Sequence[Document], who: str, *, over: bool = False
    ) -> list[Saved | Conflict]:
        """Saves case files all or none: with a conflict among them nothing is saved.

        A file the store has just so is passed over. `over`: a file follows on whatever version is the latest.
        """
        letters = initials(who)
        planned: dict[str, tuple[str, Planned, int | None]] = {}
        for name, text, base in documents:
            refuse_unusable(text, name)
            plan = self.planning(text, name)
            if plan.case.id in planned:
                raise BadInput(f"is a second file of the case '{plan.case.id}'", file=name, mend="keep one")
            planned[plan.case.id] = text, plan, base
        results: dict[str, Saved | Conflict] = {}
        with self.writing() as connection:
            # In one order everywhere, so that two who do this at once cannot block one another.
            for code in sorted(planned):
                text, plan, base = planned[code]
                results[code] = follow_on(connection, text, plan, letters, base, over=over)
            if any(isinstance(result, Conflict) for result in results.values()):
                connection.rollback()
        return [results[code] for code in planned]


def _found(wanted: Select[Any], find: str) -> Select[Any]:
    for word in find.casefold().split():
        wanted = wanted.where(cases.c.sought.contains(word, autoescape=True))
    return wanted
