"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from toeroom.errors import BadInput


def write_whole(path: Path, text: str, *, to_disk: bool = True) -> None:
    """Writes `text` beside `path` and renames it there, so that no half-written file is ever seen.

    Without `to_disk` it does not wait for the disk: it outlives the process, not a loss of power.
    Raises `BadInput` where the place cannot be written; what stood there stays.
    """
    try:
        handle, aside = tempfile.mkstemp(dir=path.parent or Path("."), prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as stream:
                stream.write(text)
                stream.flush()
                if to_disk:
                    os.fsync(stream.fileno())
            Path(aside).chmod(0o644)
            Path(aside).replace(path)
        except BaseException:
            Path(aside).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})", file=str(path), mend="name another place"
        ) from None
