"""A changed book looked at before it is taken: in a folder of its own, by every check there is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from toeroom.book import open_book
from toeroom.errors import BadInput
from toeroom.handbook.check import ERROR, check
from toeroom.upkeep.checking import check_rules
from toeroom.upkeep.merging import Files
from toeroom.upkeep.recording import broken_plans
from toeroom.upkeep.whole_change import lay

NOTHING_OVERDUE = date(1, 1, 1)
"""A review that is overdue is no reason to keep a book from being used: the text is what it was."""


@contextmanager
def on_trial(files: Files) -> Iterator[Path]:
    """A folder that holds these files, and is gone afterwards."""
    with TemporaryDirectory(prefix="toeroom-trial-") as aside:
        folder = Path(aside)
        lay(folder, files)
        yield folder


def faults_of(folder: Path) -> list[str]:
    """A line for each fault that keeps the book in `folder` from being used; files are named from it."""
    found = [str(fault) for fault in check_rules(folder, NOTHING_OVERDUE)]
    if not found:
        try:
            found = [str(fault) for fault in broken_plans(open_book(folder))]
        except BadInput as fault:
            found = [str(fault)]
    try:
        report = check(folder, NOTHING_OVERDUE)
        found += [str(f).removeprefix(f"{ERROR}: ") for f in report.faults if f.severity == ERROR]
    except BadInput as fault:
        found.append(str(fault))
    return list(dict.fromkeys(line.replace(f"{folder}/", "") for line in found))


def faults_in(files: Files) -> list[str]:
    """The same for a book that stands in no folder yet."""
    with on_trial(files) as folder:
        return faults_of(folder)
