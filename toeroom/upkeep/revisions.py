"""A book named by its folder, or by a revision of the git repository it is kept in."""

from __future__ import annotations

import io
import subprocess
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from toeroom.errors import BadInput

LARGEST = 50_000_000


@contextmanager
def folder_of(name: str, beside: Path) -> Iterator[Path]:
    """The folder of the book called `name`; a revision is unpacked aside and removed afterwards.

    `beside` is a folder in the repository of which `name` may be a revision. The repository is only
    read. Raises `BadInput` where `name` is neither.
    """
    folder = Path(name)
    if name.strip() and folder.is_dir():
        if not (folder / "rules" / "vocabulary.yaml").is_file():
            raise BadInput("there is no book here", file=name, mend="name a folder that holds kb/ and rules/")
        yield folder
        return
    archive = _archive(name, beside)
    with TemporaryDirectory(prefix="toeroom-book-") as aside:
        with tarfile.open(fileobj=io.BytesIO(archive)) as tar:
            tar.extractall(aside, filter="data")
        yield Path(aside)


def _archive(name: str, beside: Path) -> bytes:
    wrong = BadInput(
        f"'{name[:80]}' is neither a folder nor a revision of the book in git",
        mend="name a folder, or a branch, tag or commit that holds rules/",
    )
    if name.startswith("-") or not name.strip():
        raise wrong
    try:
        found = subprocess.run(
            ["git", "-C", str(beside), "archive", "--format=tar", name, "rules"],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=60,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        raise wrong from None
    if found.returncode or len(found.stdout) > LARGEST:
        raise wrong
    return found.stdout
