"""Case files out of a store and into it: each says which version it is, so that a later save knows."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from toeroom.case import CASE_ID, LARGEST_CASE
from toeroom.errors import BadInput, one_line
from toeroom.files import write_whole
from toeroom.records.store import Store
from toeroom.records.version import Version
from toeroom.yamltree import read_text

MARK = re.compile(
    rf"# ({CASE_ID}), version ([1-9][0-9]{{0,8}}) \(([0-9a-f]{{12}})\) of the record store\r?\n"
)
ENDINGS = (".yaml", ".yml")


@dataclass(frozen=True, slots=True)
class CaseFile:
    """A case file as it was read. began_from: case, version and beginning of its hash, where it says so."""

    name: str
    text: str
    began_from: tuple[str, int, str] | None

    def base_in(self, store: Store) -> int | None:
        """The version of `store` it began from; None where it does not say, or was of another store."""
        if self.began_from is None:
            return None
        case, number, mark = self.began_from
        try:
            return number if store.load(case, number).hash.startswith(mark) else None
        except BadInput:
            return None


def marked(version: Version) -> str:
    """The case file of a version, with a comment on top that says which it is."""
    mark = f"# {version.case}, version {version.number} ({version.hash[:12]}) of the record store"
    return f"{mark}\n{version.text}"


def read_case_file(path: str | Path) -> CaseFile:
    """The file at `path`; its mark is taken off. Raises `BadInput` where it cannot be read."""
    text = read_text(path, largest=LARGEST_CASE + 200)
    found = MARK.match(text)
    if found is None:
        return CaseFile(str(path), text, None)
    return CaseFile(str(path), text[found.end() :], (found[1], int(found[2]), found[3]))


def case_files(paths: Iterable[str | Path]) -> Iterator[Path]:
    """The files named, and those ending in .yaml in folders named, by name; not in folders below them."""
    for path in map(Path, paths):
        if not path.is_dir():
            yield path
            continue
        found = sorted(f for f in path.iterdir() if f.suffix.lower() in ENDINGS and f.is_file())
        if not found:
            raise BadInput("holds no case file", file=str(path), mend="name a folder with .yaml files")
        yield from found


def export_cases(store: Store, folder: Path, *, over: bool = False) -> int:
    """Writes the latest version of every case to `folder`, as ID.yaml, for its owner only. Returns how many.

    Raises `BadInput` before anything is written where a file there says something else and `over` does not
    allow that, and where a case id is none: it could lead out of the folder.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for version in store.documents():
            target = _target(folder, version.case)
            if not over and target.exists() and target.read_bytes() != marked(version).encode():
                what = "is there already, and says something else"
                raise BadInput(what, file=str(target), mend="--over writes over it")
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})", file=str(folder), mend="name another folder"
        ) from None
    count = 0
    for version in store.documents():
        write_whole(_target(folder, version.case), marked(version), mode=0o600)
        count += 1
    return count


def _target(folder: Path, case: str) -> Path:
    if not re.fullmatch(CASE_ID, case):
        raise BadInput(f"'{one_line(case)}' is no case id", mend="see 'toeroom store check'")
    return folder / f"{case}.yaml"
