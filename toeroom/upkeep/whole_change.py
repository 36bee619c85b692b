"""Changing many files of a book at once: all of them or none.

What is to be written is laid ready beside the book, then a list of it is written whole. From that moment
on the change is made; where it is broken off it is finished before anything else is done with the book.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterable
from pathlib import Path

from toeroom.book import BROKEN_OFF, KEPT_IN
from toeroom.errors import BadInput
from toeroom.files import write_whole

READY = "ready"


def change_whole(folder: Path, write: dict[str, bytes], remove: Iterable[str]) -> None:
    """Writes and removes files of `folder`, named from it. `BadInput` where nothing could be changed."""
    ready = folder / KEPT_IN / READY
    try:
        shutil.rmtree(ready, ignore_errors=True)
        lay(ready, write)
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})", file=str(ready), mend="nothing was changed"
        ) from None
    write_whole(folder / BROKEN_OFF, json.dumps({"write": sorted(write), "remove": sorted(remove)}))
    finish(folder)


def finish(folder: Path) -> bool:
    """Finishes a change that was broken off. Returns whether there was one."""
    listed = folder / BROKEN_OFF
    if not listed.is_file():
        return False
    ready = folder / KEPT_IN / READY
    told = json.loads(listed.read_text(encoding="utf-8"))
    try:
        for file in told["write"]:
            # What was moved before the change was broken off is there no more.
            if (ready / file).is_file():
                (folder / file).parent.mkdir(parents=True, exist_ok=True)
                (ready / file).replace(folder / file)
        for file in told["remove"]:
            (folder / file).unlink(missing_ok=True)
            _drop_empty(folder, folder / file)
    except OSError as error:
        mend = "mend that and run 'toeroom book update' again: it goes on from here"
        raise BadInput(f"cannot be written ({error.strerror})", file=str(error.filename), mend=mend) from None
    listed.unlink()
    shutil.rmtree(ready, ignore_errors=True)
    _drop_empty(folder, ready)
    return True


def lay(folder: Path, files: dict[str, bytes]) -> None:
    """Writes files, named from `folder`, where nothing depends on all being there."""
    for file, raw in files.items():
        (folder / file).parent.mkdir(parents=True, exist_ok=True)
        (folder / file).write_bytes(raw)


def _drop_empty(folder: Path, file: Path) -> None:
    """Removes the folders above a removed file that hold nothing more."""
    above = file.parent
    while above != folder and above.is_dir() and not any(above.iterdir()):
        above.rmdir()
        above = above.parent
