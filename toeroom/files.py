"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import stat
import tempfile
from pathlib import Path

from toeroom.errors import BadInput


def write_whole(path: Path, content: str | bytes) -> None:
    """Writes `content` beside `path` and renames it there, so that no half-written file is ever seen.

    A file that stood there keeps its rights. Raises `BadInput` where the place cannot be written; what
    stood there stays.
    """
    raw = content.encode("utf-8") if isinstance(content, str) else content
    try:
        mode = stat.S_IMODE(path.stat().st_mode) if path.exists() else 0o644
        handle, aside = tempfile.mkstemp(dir=path.parent or Path("."), prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(raw)
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
