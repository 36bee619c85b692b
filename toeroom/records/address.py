"""Where a store is: a file of SQLite, or a database of PostgreSQL."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from toeroom.errors import BadInput

VARIABLE = "TOEROOM_STORE"
"""The environment variable that names the store where no URL is given."""


@dataclass(frozen=True, slots=True)
class Address:
    """Where a store is. file: None for PostgreSQL. shown: as a person may read it, without a password."""

    url: URL
    file: Path | None
    shown: str


def address_of(url: str | None = None) -> Address:
    """The address that `url` names: `postgresql://…`, `sqlite:///FILE`, or just a file.

    Without one: that of the environment variable TOEROOM_STORE, else `store.db` in the user's data folder.
    Raises `BadInput` for any other kind of URL.
    """
    text = url or os.environ.get(VARIABLE) or ""
    if not text:
        from platformdirs import user_data_path

        return _file(user_data_path("toeroom") / "store.db")
    if "://" not in text:
        return _file(Path(text))
    try:
        parsed = make_url(text)
        kind = parsed.get_backend_name()
    except (ArgumentError, ValueError):
        raise _unusable(text.partition("://")[0] + "://…") from None
    if kind == "sqlite" and parsed.database and not parsed.query and parsed.database != ":memory:":
        return _file(Path(parsed.database))
    if kind in ("postgresql", "postgres"):
        parsed = parsed.set(drivername="postgresql+psycopg")
        shown = parsed.set(drivername="postgresql", query={}).render_as_string(hide_password=True)
        return Address(parsed, None, shown)
    raise _unusable(parsed.render_as_string(hide_password=True))


def _file(path: Path) -> Address:
    path = path.expanduser().absolute()
    return Address(URL.create("sqlite", database=str(path)), path, str(path))


def _unusable(shown: str) -> BadInput:
    return BadInput(
        "this does not name a store", file=shown, mend="name a file, or postgresql://HOST/DATABASE"
    )
