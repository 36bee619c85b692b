"""Which version of a book that can be changed is used: the last that passed its checks.

The folder of such a book is where one works. What is planned by is a copy of it, kept in the user's
state folder, that was checked as a whole; a folder that fails its checks changes nothing of that.
"""

from __future__ import annotations

import hashlib
import shutil
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from platformdirs import user_state_path

from toeroom.book import BROKEN_OFF, Book, open_book, shipped_folder
from toeroom.errors import BadInput
from toeroom.upkeep.merging import Files, files_of
from toeroom.upkeep.places import is_installed
from toeroom.upkeep.whole_change import lay

KEPT_VERSIONS = 2


@dataclass(frozen=True, slots=True)
class InUse:
    """The book used, the folder it is worked on in, and what is to be said where that fails its checks."""

    book: Book
    working: Path
    banner: str = ""


def in_use(folder: Path | None) -> InUse:
    """The book to be used for the one in `folder`, or for the shipped one.

    The book inside an installed toeroom cannot be changed, and is used as it is. Raises `BadInput` where
    there is no book, or it fails its checks and none passed before.
    """
    folder = folder or shipped_folder()
    if is_installed(folder):
        return InUse(open_book(folder), folder)
    if not (folder / "rules" / "vocabulary.yaml").is_file():
        open_book(folder)
    kept = _kept_folder(folder)
    version = kept / _digest(files_of(folder))
    if not version.is_dir():
        faults = _faults(folder)
        if faults:
            return _last_good(folder, kept, faults)
        _keep(version, files_of(folder))
    version.touch()
    return InUse(open_book(version), folder)


def _faults(folder: Path) -> list[str]:
    # The checks bring the handbook along, for which an app that opens a known book should not wait.
    from toeroom.upkeep.trial import faults_of

    if (folder / BROKEN_OFF).is_file():
        return ["an update was broken off; 'toeroom book update' finishes it"]
    return faults_of(folder)


def _last_good(folder: Path, kept: Path, faults: list[str]) -> InUse:
    versions = _versions(kept)
    more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
    if not versions:
        raise BadInput(f"the book fails its checks: {faults[0]}{more}", file=str(folder))
    day = datetime.fromtimestamp(versions[-1].stat().st_mtime).strftime("%Y-%m-%d %H:%M")
    said = f"Your book fails its checks; in use stays that of {day}. {faults[0]}{more}"
    return InUse(open_book(versions[-1]), folder, said)


def _kept_folder(folder: Path) -> Path:
    name = hashlib.sha256(str(folder.resolve()).encode()).hexdigest()[:16]
    return user_state_path("toeroom") / "books" / name


def _versions(kept: Path) -> list[Path]:
    """The versions that passed, the one last used last."""
    found = [path for path in kept.glob("*") if path.is_dir() and not path.name.startswith(".")]
    return sorted(found, key=lambda path: path.stat().st_mtime)


def _digest(files: Files) -> str:
    digest = hashlib.sha256()
    for file, raw in sorted(files.items()):
        digest.update(f"{file}\0{len(raw)}\0".encode() + raw)
    return digest.hexdigest()[:24]


def _keep(version: Path, files: Files) -> None:
    """Keeps a version whole, and drops those before the last."""
    try:
        version.parent.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(dir=version.parent, prefix="."))
        lay(aside, files)
        aside.rename(version)
    except OSError as error:
        if not version.is_dir():
            mend = "make room, or set XDG_STATE_HOME"
            raise BadInput(f"cannot be written ({error.strerror})", file=str(version), mend=mend) from None
    for old in _versions(version.parent)[:-KEPT_VERSIONS]:
        shutil.rmtree(old, ignore_errors=True)
