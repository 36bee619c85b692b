"""What falls due, gathered from the record store or from a folder of case files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from toeroom.book import Book
from toeroom.case import Case, read_case
from toeroom.due.entries import Due, due_entries, monday_of, opened, within
from toeroom.due.weeks import Group, by_week
from toeroom.errors import BadInput, EnginesDiffer

ENDINGS = (".yaml", ".yml")
"""What the name of a case file ends in."""
WEEKS = (8, 26, 52)
"""How far one looks ahead, in calendar weeks, this one included; the first unless asked."""
NOT_LISTED = (
    "What has no date, or needs a risk category nobody can tell yet, is not listed:"
    " an empty list is no 'all well'."
)


@dataclass(frozen=True, slots=True)
class Gathered:
    """What came of looking at a source on the day `on`.

    source: where the cases are, in words. cases: how many were read. entries: all up to the last of `WEEKS`.
    faults: a line for each file, or the store, that could not be looked at; what falls due there is not
    known. said: why there is no store, where there is none. files: of a folder, those that hold each case.
    """

    on: date
    source: str
    cases: int = 0
    entries: tuple[Due, ...] = ()
    faults: tuple[str, ...] = ()
    said: str = ""
    files: Mapping[str, tuple[Path, ...]] = field(default_factory=dict)

    def groups(self, weeks: int) -> tuple[Group, ...]:
        """What is open within so many weeks: stops, what is overdue, then week by week."""
        return by_week(within(self.entries, self.on, weeks), self.on)

    def last_day(self, weeks: int) -> date:
        """The Sunday that ends so many weeks."""
        return _last_day(self.on, weeks)

    def case_of(self, due: Due, book: Book) -> tuple[Case, Path | None]:
        """The case of an entry as it is now, and its file; no file where it comes from the store.

        Raises `BadInput` where it cannot be read, or two files hold it.
        """
        paths = self.files.get(due.case, ())
        if not paths:
            from toeroom.records.store import open_store

            with open_store(book=book, make=False) as store:
                return store.load(due.case).read(book.vocabulary), None
        if len(paths) > 1:
            names = " and ".join(path.name for path in paths)
            raise BadInput(f"{names} both hold the case '{due.case}'", mend="open the one meant by its path")
        return read_case(paths[0], book.vocabulary), paths[0]


def _last_day(on: date, weeks: int) -> date:
    return monday_of(on) + timedelta(weeks=weeks, days=-1)


def files_inside(path: Path) -> list[Path] | None:
    """The case files of a folder, by name; None where `path` is no folder that can be looked into."""
    try:
        if not path.is_dir():
            return None
        return sorted(file for file in path.iterdir() if file.suffix in ENDINGS and file.is_file())
    except (OSError, ValueError):
        return None


def from_store(book: Book, on: date) -> Gathered:
    """What falls due for the latest version of every case in the store; as worked out when it was saved.

    No store yet, or no library for one, is said and no fault. `book` reads a case that is opened.
    """
    source = "record store"
    try:
        from toeroom.records.address import address_of
        from toeroom.records.store import open_store
    except ImportError:
        return Gathered(on, source, said="A record store needs a library: pip install 'toeroom[records]'.")
    try:
        file = address_of().file
        if file is not None and not file.exists():
            return Gathered(on, source, said="There is no record store yet.")
        with open_store(book=book, make=False) as store:
            found = store.due_by(_last_day(on, WEEKS[-1]))
            return Gathered(on, source, store.count(), tuple(one.entry(on) for one in found))
    except BadInput as fault:
        return Gathered(on, source, faults=(str(fault),))
    except OSError as error:
        return Gathered(on, source, faults=(f"the record store cannot be looked for ({error.strerror})",))


def from_folder(folder: Path, book: Book, on: date) -> Gathered:
    """What falls due for the case files of a folder, planned by both engines.

    A file that cannot be read, or has no plan, is a fault and the others count. Two files that hold the
    same case both count and are a fault too.
    """
    inside = files_inside(folder)
    if inside is None:
        return Gathered(on, str(folder), faults=(f"{folder}: this is no folder that can be read",))
    entries: list[Due] = []
    faults: list[str] = []
    files: dict[str, tuple[Path, ...]] = {}
    count = 0
    for path in inside:
        try:
            case = read_case(path, book.vocabulary)
            found = tuple(due_entries([opened(case, book.planner.plan(case))], on))
        except BadInput as fault:
            faults.append(str(fault))
            continue
        except EnginesDiffer as fault:
            faults.append(f"{path}: no plan, {fault}")
            continue
        count += 1
        files[case.id] = (*files.get(case.id, ()), path)
        if len(files[case.id]) > 1:
            faults.append(f"{path}: holds the case '{case.id}' as {files[case.id][0].name} does; keep one")
        entries += within(found, on, WEEKS[-1])
    return Gathered(on, str(folder), count, tuple(entries), tuple(faults), files=files)
