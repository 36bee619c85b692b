"""Work that is not saved, kept aside after every change, so that a crash loses at most the last key.

Each running app has a folder of its own under the state folder, and holds a lock on it. The lock goes
with the process however it ends; a folder whose lock nobody holds was left behind. What is kept is a
case file, so that it can also be opened by hand.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO
from uuid import uuid4

from platformdirs import user_state_path

from toeroom.case import LARGEST_CASE, Case, case_as_yaml, parse_case
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.vocabulary import Vocabulary
from toeroom.yamltree import read_text

LOCK = "in-use"
FROM = "# not saved; from: "
"""Begins the line that names the file a case was opened from."""


def unsaved_folder() -> Path:
    """Where unsaved work is kept."""
    return user_state_path("toeroom") / "unsaved"


class Aside:
    """The unsaved work of one running app."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = (folder or unsaved_folder()) / uuid4().hex
        self._lock: IO[str] | None = None

    def keep(self, name: str, case: Case, path: Path | None, vocabulary: Vocabulary) -> None:
        """Keeps `case`, opened from `path`, under a name of the app's own, in place of what it kept there.

        Raises `BadInput` where it cannot be written.
        """
        self._open()
        origin = json.dumps(str(path.absolute()) if path else "")
        text = f"{FROM}{origin}\n{case_as_yaml(case, vocabulary)}"
        write_whole(self.folder / f"{name}.yaml", text, to_disk=False)

    def clear(self, name: str) -> None:
        """Forgets what was kept under `name`; the folder goes with the last."""
        (self.folder / f"{name}.yaml").unlink(missing_ok=True)
        if self._lock is not None and not any(self.folder.glob("*.yaml")):
            self._lock.close()
            self._lock = None
            _remove(self.folder)

    def _open(self) -> None:
        if self._lock is not None:
            return
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._lock = (self.folder / LOCK).open("w", encoding="utf-8")
            _locked(self._lock)
        except OSError as error:
            raise BadInput(
                f"cannot be written ({error.strerror})", file=str(self.folder), mend="save often"
            ) from None


@dataclass(frozen=True, slots=True)
class LeftBehind:
    """Work that an app could not save. `case` is None where it cannot be read; `fault` then says why."""

    file: Path
    when: datetime
    path: Path | None
    case: Case | None
    fault: str = ""

    def discard(self) -> None:
        """Throws it away."""
        self.file.unlink(missing_ok=True)
        if not any(self.file.parent.glob("*.yaml")):
            _remove(self.file.parent)


def left_behind(vocabulary: Vocabulary, folder: Path | None = None) -> tuple[LeftBehind, ...]:
    """What apps that are gone have left unsaved, the newest first."""
    found = [
        _read(file, vocabulary)
        for own in (folder or unsaved_folder()).glob("*")
        if not _in_use(own / LOCK)
        for file in own.glob("*.yaml")
    ]
    return tuple(sorted(found, key=lambda one: one.when, reverse=True))


def _read(file: Path, vocabulary: Vocabulary) -> LeftBehind:
    when = datetime.fromtimestamp(file.stat().st_mtime)
    try:
        text = read_text(file, largest=2 * LARGEST_CASE)
        first, _, rest = text.partition("\n")
        origin = json.loads(first.removeprefix(FROM)) if first.startswith(FROM) else ""
        case = parse_case(rest, vocabulary, name=str(file))
    except (BadInput, ValueError) as fault:
        return LeftBehind(file, when, None, None, str(fault))
    return LeftBehind(file, when, Path(origin) if origin else None, case)


def _remove(folder: Path) -> None:
    (folder / LOCK).unlink(missing_ok=True)
    try:
        folder.rmdir()
    except OSError:
        # Something else lies there; it is not ours to throw away.
        return


def _locked(stream: IO[str]) -> bool:
    """Takes the lock on an open file; False where another process holds it."""
    try:
        import fcntl
    except ImportError:
        # Where there are no such locks, an app that still runs is taken for one that is gone: its work
        # is then offered twice, which loses nothing.
        return True
    try:
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _in_use(lock: Path) -> bool:
    try:
        with lock.open(encoding="utf-8") as stream:
            return not _locked(stream)
    except OSError:
        return False
