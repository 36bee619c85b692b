"""What a database says went wrong, said in one line to a person."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, IntegrityError

from toeroom.errors import BadInput
from toeroom.records.address import Address


class Beaten(BadInput):
    """Another process wrote the same row first: nothing was written, and looking again shows its work."""


SAID = (
    (("disk is full", "no space left"), "there is no room left on the disk", "make room, then do it again"),
    (("locked", "busy"), "others hold the store for too long", "try again"),
    (
        ("malformed", "not a database", "disk i/o error"),
        "the store is damaged",
        "see 'toeroom store check', then 'toeroom store restore' of a backup",
    ),
    (("readonly", "read-only", "unable to open"), "the store cannot be written", "check its rights"),
    (
        ("connection", "authentication", "does not exist"),
        "the database cannot be reached",
        "check the URL, and that the server runs",
    ),
)
"""Words of SQLite or PostgreSQL; what is wrong; how to mend it. The first that fits is said."""


@contextmanager
def said_plainly(address: Address) -> Iterator[None]:
    """Turns what the database raises into `BadInput` that names the store."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        raise fault_of(error, address) from None


def fault_of(error: DBAPIError | sqlite3.Error, address: Address) -> BadInput:
    """The one line for what a database raised."""
    if isinstance(error, IntegrityError):
        return Beaten("others saved the same at this moment", file=address.shown, mend="try again")
    text = str(error.orig if isinstance(error, DBAPIError) else error)
    low = text.lower()
    for words, what, mend in SAID:
        if any(word in low for word in words):
            return BadInput(what, file=address.shown, mend=mend)
    return BadInput(text.partition("\n")[0], file=address.shown, mend="see 'toeroom store check'")
