"""Writing a file whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
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


def write_whole(path: Path, content: str | bytes, *, mode: int | None = None, to_disk: bool = True) -> None:
    """Writes `content` beside `path` and renames it there, so that no half-written file is ever seen.

    The file gets the rights `mode`, or those it had, or 0644. Without `to_disk` it does not wait for the
    disk: it outlives the process, not a loss of power. Raises `BadInput` where the place cannot be written;
    what stood there stays.
    """
    raw = content.encode("utf-8") if isinstance(content, str) else content
    try:
        if mode is None:
            mode = stat.S_IMODE(path.stat().st_mode) if path.exists() else 0o644
        handle, aside = tempfile.mkstemp(dir=path.parent or Path("."), prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(raw)
                stream.flush()
                if to_disk:
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
