"""Names, for whoever must keep one: sealed with a passphrase, and nowhere else in the store.

scrypt (RFC 7914) makes the key; AES-GCM seals, bound to the case, so that a sealed name moved to another
case does not open. A name has no versions: changed or taken out, it is gone.
"""

from __future__ import annotations

import base64
import os
from collections.abc import Mapping
from typing import Any

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt
from sqlalchemy import Connection, delete, insert, select, update

from toeroom.errors import BadInput
from toeroom.records.saving import refuse_moved
from toeroom.records.schema import cases, name_lock, names
from toeroom.records.store import Store

N, R, P = 2**16, 8, 1
MOST_N = 2**20
"""64 MB and some tenths of a second for each guess; a store from elsewhere may not ask for more than 1 GB."""
SALT_BYTES, NONCE_BYTES, KEY_BYTES = 16, 12, 32
SHORTEST_PASSPHRASE, LONGEST_NAME = 12, 200
PROOF = "the passphrase fits"


class Names:
    """The names of a store, opened with its passphrase; the first name kept sets it."""

    def __init__(self, store: Store, passphrase: str) -> None:
        self.store, self._passphrase = store, passphrase

    def keep(self, case_id: str, name: str) -> None:
        """Keeps `name` for a case, in place of what was kept. Raises `BadInput`."""
        if not name.strip() or len(name) > LONGEST_NAME or not name.isprintable():
            raise BadInput("this is no name", mend=f"one line, at most {LONGEST_NAME} letters")
        with self.store.writing() as connection:
            _known(connection, case_id)
            key = self._key(connection, first=True)
            connection.execute(delete(names).where(names.c.case_code == case_id))
            sealed = _seal(key, name.strip(), case_id)
            connection.execute(insert(names).values(case_code=case_id, sealed=sealed))
            refuse_moved(connection)

    def name(self, case_id: str) -> str | None:
        """The name kept for a case, or None. Raises `BadInput` where the passphrase does not open it."""
        with self.store.reading() as connection:
            _known(connection, case_id)
            sealed = connection.execute(select(names.c.sealed).where(names.c.case_code == case_id)).scalar()
            return None if sealed is None else _open(self._key(connection), sealed, case_id)

    def change_passphrase(self, new: str) -> int:
        """Seals every name anew. Returns how many. Raises `BadInput`; then all is as it was."""
        with self.store.writing() as connection:
            old = self._key(connection)
            connection.execute(delete(name_lock))
            key = _set_lock(connection, new)
            kept = connection.execute(select(names.c.case_code, names.c.sealed)).all()
            for code, sealed in kept:
                again = _seal(key, _open(old, sealed, code), code)
                connection.execute(update(names).where(names.c.case_code == code).values(sealed=again))
            refuse_moved(connection)
        self._passphrase = new
        return len(kept)

    def _key(self, connection: Connection, *, first: bool = False) -> bytes:
        lock = connection.execute(select(name_lock)).mappings().first()
        if lock is None:
            if not first:
                raise BadInput(
                    "no name is kept in this store", mend="'toeroom store name CASE --set' keeps one"
                )
            return _set_lock(connection, self._passphrase)
        key = _derive(self._passphrase, dict(lock))
        try:
            _open(key, lock["proof"], "")
        except BadInput:
            raise BadInput(
                "the passphrase does not fit", mend="try again; nobody can open it without"
            ) from None
        return key


def has_passphrase(store: Store) -> bool:
    """Whether a passphrase was set, with the first name."""
    with store.reading() as connection:
        return connection.execute(select(name_lock.c.n)).first() is not None


def forget(store: Store, case_id: str) -> bool:
    """Takes out the name of a case; needs no passphrase. Returns whether there was one."""
    with store.writing() as connection:
        _known(connection, case_id)
        return connection.execute(delete(names).where(names.c.case_code == case_id)).rowcount > 0


def _known(connection: Connection, case_id: str) -> None:
    if connection.execute(select(cases.c.code).where(cases.c.code == case_id)).first() is None:
        raise BadInput(f"the store has no case '{case_id}'", mend="see 'toeroom store list'")


def _set_lock(connection: Connection, passphrase: str) -> bytes:
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise BadInput(
            "the passphrase is too short", mend=f"{SHORTEST_PASSPHRASE} letters or more, best several words"
        )
    lock: dict[str, Any] = {"id": 1, "salt": _text(os.urandom(SALT_BYTES)), "n": N, "r": R, "p": P}
    key = _derive(passphrase, lock)
    connection.execute(insert(name_lock).values(**lock, proof=_seal(key, PROOF, "")))
    return key


def _derive(passphrase: str, lock: Mapping[str, Any]) -> bytes:
    n, r, p = lock["n"], lock["r"], lock["p"]
    if not (N <= n <= MOST_N and n & (n - 1) == 0 and r == R and p == P):
        raise BadInput("the lock of the names is not one of ours", mend="restore a backup")
    salt = base64.b64decode(lock["salt"])
    return Scrypt(salt=salt, length=KEY_BYTES, n=n, r=r, p=p).derive(passphrase.encode())


def _seal(key: bytes, text: str, bound_to: str) -> str:
    nonce = os.urandom(NONCE_BYTES)
    return _text(nonce + AESGCM(key).encrypt(nonce, text.encode(), bound_to.encode()))


def _open(key: bytes, sealed: str, bound_to: str) -> str:
    try:
        raw = base64.b64decode(sealed, validate=True)
        return AESGCM(key).decrypt(raw[:NONCE_BYTES], raw[NONCE_BYTES:], bound_to.encode()).decode()
    except (InvalidTag, ValueError):
        what = f"the name of '{bound_to}' does not open: it was changed"
        raise BadInput(what, mend="restore a backup") from None


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode()
