"""Writing a file whole or not at all."""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path

from toeroom.errors import BadInput


def place_new(aside: Path, path: Path) -> None:
    """Gives the finished file `aside` the name `path` as well, or instead, where that name is free.

    Raises `FileExistsError` where it is not: unlike a rename this never writes over another's file.
    """
    try:
        os.link(aside, path)
    except FileExistsError:
        raise
    except OSError:
        # Some file systems know no second name for a file.
        if path.exists():
            raise FileExistsError(errno.EEXIST, "File exists", str(path)) from None
        aside.rename(path)


def write_whole(path: Path, text: str, *, mode: int = 0o644) -> None:
    """Writes `text` beside `path` and renames it there, so that no half-written file is ever seen.

    Raises `BadInput` where the place cannot be written; what stood there stays.
    """
    try:
        handle, aside = tempfile.mkstemp(dir=path.parent or Path("."), prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as stream:
                stream.write(text)
                stream.flush()
                os.fsync(stream.fileno())
            Path(aside).chmod(mode)
            Path(aside).replace(path)
        except BaseException:
            Path(aside).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})", file=str(path), mend="name another place"
        ) from None
