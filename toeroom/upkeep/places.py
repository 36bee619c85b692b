"""Which book is changed: the one named, or that of a checkout; never the one inside an installed toeroom."""

from __future__ import annotations

import os
from pathlib import Path

from toeroom.book import shipped_folder
from toeroom.errors import BadInput


def writable_book(named: Path | None) -> Path:
    """The folder of the book that may be changed; `BadInput` where there is none, or it is read-only."""
    folder = named or shipped_folder()
    if not (folder / "rules" / "vocabulary.yaml").is_file():
        raise BadInput(
            "there is no book here", file=str(folder), mend="name a folder that holds kb/ and rules/"
        )
    if is_read_only(folder):
        mend = "copy it with 'toeroom book new DIR' and say --book DIR"
        raise BadInput("the book that comes with toeroom is not changed", file=str(folder), mend=mend)
    return folder


def is_read_only(folder: Path) -> bool:
    """Whether the book in `folder` is the one inside an installed toeroom, or cannot be written."""
    return is_installed(folder) or not os.access(folder / "rules", os.W_OK)


def is_installed(folder: Path) -> bool:
    """Whether the book in `folder` is the one inside an installed toeroom, not that of a checkout."""
    shipped = shipped_folder()
    return shipped.name == "shipped" and folder.resolve() == shipped.resolve()
