"""A whole store in one file that outlives the database: rows as JSON lines, packed, with a checksum.

The first line says what it is and its schema, the last how many rows there are and the SHA-256 of all lines
before it.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import os
import tempfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from toeroom.errors import BadInput
from toeroom.files import place_new
from toeroom.records.copying import contents
from toeroom.records.schema import COPIED, NEWEST, REVISIONS, misfit
from toeroom.records.store import Store
from toeroom.records.version import compact

KIND = "toeroom store archive"
GZIP_MAGIC = b"\x1f\x8b"
LONGEST_LINE = 64_000_000
PACKED = {"plans": "body"}
"""The columns that hold bytes, by table; in a line they are base64."""


def write_archive(store: Store, path: Path) -> int:
    """Writes all of a store to a new file at `path`, for its owner only. Returns the number of rows.

    Raises `BadInput` where there is a file already, or none can be written.
    """
    try:
        if path.exists():
            raise BadInput("is there already", file=str(path), mend="name another file")
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as raw:
                with gzip.GzipFile(fileobj=raw, mode="wb", filename="", mtime=0) as packed:
                    rows = _write_lines(store, packed)
                raw.flush()
                os.fsync(raw.fileno())
            place_new(Path(name), path)
        finally:
            Path(name).unlink(missing_ok=True)
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})", file=str(path), mend="name another place"
        ) from None
    return rows


def _write_lines(store: Store, packed: gzip.GzipFile) -> int:
    digest, count = hashlib.sha256(), 0

    def write(value: object) -> None:
        line = compact(value).encode() + b"\n"
        digest.update(line)
        packed.write(line)

    write({"kind": KIND, "schema": NEWEST})
    with store.reading() as connection:
        for name, row in contents(connection):
            count += 1
            write([name, _plain(name, row)])
    packed.write(compact({"rows": count, "sha256": digest.hexdigest()}).encode() + b"\n")
    return count


def _plain(name: str, row: dict[str, Any]) -> dict[str, Any]:
    key = PACKED.get(name)
    return row if key is None else {**row, key: base64.b64encode(row[key]).decode()}


def check_archive(path: Path) -> str:
    """Reads an archive to its end. Returns its schema; raises `BadInput` where a byte is wrong or missing."""
    digest, count, schema, end = hashlib.sha256(), -1, "", None
    for line in _lines(path):
        if end is not None:
            raise _damaged(path, "goes on after its end")
        value = _value(path, line)
        if isinstance(value, dict) and "sha256" in value:
            end = value
            continue
        if count < 0:
            schema = _schema(path, value)
        digest.update(line)
        count += 1
    if end is None:
        raise _damaged(path, "is cut off")
    if end != {"rows": count, "sha256": digest.hexdigest()}:
        raise _damaged(path, "its checksum does not fit")
    return schema


def _schema(path: Path, header: object) -> str:
    if not isinstance(header, dict) or header.get("kind") != KIND:
        raise BadInput("is not an archive of a store", file=str(path), mend="name one that 'archive' wrote")
    if header.get("schema") not in REVISIONS:
        what = f"was written by a newer toeroom (schema {header.get('schema')})"
        raise BadInput(what, file=str(path), mend="use that one")
    return str(header["schema"])


def archived(path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """The rows of an archive that `check_archive` has read."""
    tables = {one.name: one for one in COPIED}
    columns: dict[str, set[str]] = {}
    for number, line in enumerate(_lines(path)):
        value = _value(path, line)
        if number == 0 or isinstance(value, dict):
            continue
        try:
            name, row = value
            if (key := PACKED.get(name)) is not None:
                row[key] = base64.b64decode(row[key], validate=True)
            if misfit(tables[name], row) or columns.setdefault(name, set(row)) != set(row):
                raise ValueError
            yield name, row
        except (ValueError, TypeError, KeyError, AttributeError):
            raise _damaged(path, f"line {number + 1} is no row of a store") from None


def _lines(path: Path) -> Iterator[bytes]:
    try:
        with gzip.open(path, "rb") as packed:
            while line := packed.readline(LONGEST_LINE):
                yield line
    except (EOFError, zlib.error, gzip.BadGzipFile):
        raise _damaged(path, "is damaged or cut off") from None
    except OSError as error:
        raise BadInput(f"cannot be read ({error.strerror})", file=str(path), mend="check the file") from None


def _value(path: Path, line: bytes) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        raise _damaged(path, "holds a line that is no JSON") from None


def _damaged(path: Path, what: str) -> BadInput:
    return BadInput(what, file=str(path), mend="use another archive or backup")
