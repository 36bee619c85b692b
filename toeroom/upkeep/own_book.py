"""A clinic's own book: copied from the one that comes with toeroom, and brought up to date with it.

`.toeroom-base/` in the book's folder keeps what it was copied from, so that a newer book can be merged
in: `copy/` the shipped book as it was, `record.json` its version, `before/` the clinic's book before the
last update.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from toeroom import __version__
from toeroom.book import KEPT_IN, shipped_folder
from toeroom.errors import BadInput
from toeroom.upkeep.merging import PARTS, Files, files_of, merge_books
from toeroom.upkeep.three_ways import Conflict
from toeroom.upkeep.trial import faults_in
from toeroom.upkeep.whole_change import change_whole, finish, lay

COPY, BEFORE, CONFLICTS, RECORD = "copy", "before", "conflicts", "record.json"
NOT_KEPT_IN_GIT = f"{BEFORE}/\n{CONFLICTS}/\nready/\nchange.json\n"


@dataclass(frozen=True, slots=True)
class Update:
    """What bringing in a newer book did, or would do.

    changed, added, removed: files of the clinic's book. both: what holds changes of both sides.
    faults: why the merged book was not taken. conflicts: what is to be settled first, and `aside` the
    folder in which the newer texts were laid. taken: whether the book was changed. finished: whether an
    update that was broken off had to be finished first.
    """

    changed: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    both: tuple[str, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    faults: tuple[str, ...] = ()
    aside: Path | None = None
    taken: bool = False
    finished: bool = False

    @property
    def nothing_new(self) -> bool:
        """Whether the newer book says nothing that the own one does not."""
        return not (self.changed or self.added or self.removed or self.conflicts or self.faults)


def new_book(folder: Path, shipped: Path | None = None) -> int:
    """Copies the shipped book into `folder`; returns the number of files. Overwrites nothing.

    Other files may stand in the folder, as in a checkout. Raises `BadInput` where a book is there already.
    """
    for part in (*PARTS, KEPT_IN):
        if (folder / part).exists() or (folder / part).is_symlink():
            what = f"there is '{part}' here already, and nothing is overwritten"
            raise BadInput(what, file=str(folder), mend="name another folder")
    files = files_of(shipped or shipped_folder())
    try:
        folder.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(dir=folder, prefix=".toeroom-new-"))
    except OSError as error:
        raise BadInput(
            f"cannot be made ({error.strerror})", file=str(folder), mend="name another folder"
        ) from None
    moved: list[Path] = []
    try:
        lay(aside, files)
        lay(aside / KEPT_IN, _kept(files))
        for part in (*PARTS, KEPT_IN):
            if (aside / part).is_dir():
                (aside / part).rename(folder / part)
                moved.append(folder / part)
    except OSError as error:
        for path in moved:
            shutil.rmtree(path, ignore_errors=True)
        raise BadInput(f"cannot be written ({error.strerror})", file=str(folder), mend="make room") from None
    finally:
        shutil.rmtree(aside, ignore_errors=True)
    return len(files)


def update_book(
    folder: Path,
    *,
    newer: Path | None = None,
    base: Path | None = None,
    take: Mapping[str, str] | None = None,
    dry_run: bool = False,
) -> Update:
    """Merges the book in `newer` (the shipped one) into the clinic's own in `folder`.

    `base`: the shipped book that the own one came from, where no record of it was kept. `take` settles
    conflicts (see `merge_books`). The book is changed as a whole, or where something is to be settled or
    the merged book fails its checks, not at all. Raises `BadInput` for folders that hold no such book.
    """
    finished = finish(folder)
    ours, was = files_of(folder), _base(folder, base)
    theirs = files_of(newer or shipped_folder())
    merged = merge_books(was, ours, theirs, take)
    if merged.unused:
        known = ", ".join(conflict.name for conflict in merged.conflicts[:5])
        what = f"nothing is to be settled about '{merged.unused[0]}'"
        raise BadInput(what, file="--take", mend=f"open are: {known}" if known else "leave it out")
    found = Update(
        changed=tuple(f for f, raw in merged.files.items() if f in ours and ours[f] != raw),
        added=tuple(f for f in merged.files if f not in ours),
        removed=tuple(f for f in ours if f not in merged.files),
        both=merged.both,
        conflicts=merged.conflicts,
        finished=finished,
    )
    if found.conflicts:
        aside = None if dry_run else _lay_aside(folder, found.conflicts)
        return replace(found, aside=aside)
    faults = () if found.nothing_new else tuple(faults_in(merged.files))
    up_to_date = found.nothing_new and files_of(folder / KEPT_IN / COPY) == theirs
    if faults or dry_run or up_to_date:
        return replace(found, faults=faults)
    _take(folder, ours, merged.files, theirs)
    return replace(found, taken=True)


def _base(folder: Path, named: Path | None) -> Files:
    if not (folder / "rules").is_dir():
        raise BadInput("there is no book here", file=str(folder), mend="make one with 'toeroom book new DIR'")
    kept = named or folder / KEPT_IN / COPY
    files = files_of(kept)
    if not any(file.startswith("rules/") for file in files):
        mend = "name the shipped book it was copied from with --base DIR"
        raise BadInput("no record is kept of what this book came from", file=str(folder), mend=mend)
    return files


def _take(folder: Path, ours: Files, merged: Files, theirs: Files) -> None:
    before = folder / KEPT_IN / BEFORE
    shutil.rmtree(before, ignore_errors=True)
    try:
        lay(before, ours)
    except OSError as error:
        raise BadInput(f"cannot be written ({error.strerror})", file=str(before), mend="make room") from None
    if files_of(folder) != ours:
        raise BadInput("was changed meanwhile", file=str(folder), mend="nothing was changed; run it again")
    kept = {f"{KEPT_IN}/{file}": raw for file, raw in _kept(theirs).items()}
    stood = {f"{KEPT_IN}/{COPY}/{file}" for file in files_of(folder / KEPT_IN / COPY)}
    write = {file: raw for file, raw in merged.items() if ours.get(file) != raw} | kept
    change_whole(folder, write, [*(ours.keys() - merged.keys()), *(stood - kept.keys())])
    shutil.rmtree(folder / KEPT_IN / CONFLICTS, ignore_errors=True)


def _kept(files: Files) -> Files:
    """What is kept of the shipped book: a copy, its version, and a hash of every file."""
    digest = hashlib.sha256()
    for file, raw in sorted(files.items()):
        digest.update(file.encode() + b"\0" + raw + b"\0")
    record = {
        "toeroom": __version__,
        "book": digest.hexdigest()[:12],
        "on": date.today().isoformat(),
        "files": {file: hashlib.sha256(raw).hexdigest() for file, raw in sorted(files.items())},
    }
    return {
        **{f"{COPY}/{file}": raw for file, raw in files.items()},
        RECORD: (json.dumps(record, indent=1) + "\n").encode(),
        ".gitignore": NOT_KEPT_IN_GIT.encode(),
    }


def _lay_aside(folder: Path, conflicts: tuple[Conflict, ...]) -> Path:
    """Writes both texts of every conflict beside the book, to be looked at and copied from."""
    aside = folder / KEPT_IN / CONFLICTS
    shutil.rmtree(aside, ignore_errors=True)
    files: Files = {}
    for conflict in conflicts:
        name = conflict.name.replace(":", "-").replace("/", "-")
        suffix = Path(conflict.file).suffix
        for whose, text in (("was", conflict.base), ("yours", conflict.ours), ("newer", conflict.theirs)):
            if text:
                files[f"{name}.{whose}{suffix}"] = text.encode(errors="surrogateescape")
    try:
        lay(aside, files)
    except OSError as error:
        raise BadInput(f"cannot be written ({error.strerror})", file=str(aside), mend="make room") from None
    return aside
