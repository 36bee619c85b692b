"""Saving a version, in a transaction: after what it began from, or not at all."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select, update

from toeroom import __version__
from toeroom.case import LARGEST_CASE
from toeroom.errors import BadInput, one_line
from toeroom.records.document import changes_between, fields_of
from toeroom.records.merging import Clash, Merge, merge
from toeroom.records.planning import Planned
from toeroom.records.schema import about, cases, due, plans, versions
from toeroom.records.version import Version, compact, hash_of, packed, version_of

LONGEST_TITLE = 200


@dataclass(frozen=True, slots=True)
class Saved:
    """It is on the disk. new: False where the store had just this already, and nothing was written."""

    version: Version
    new: bool


@dataclass(frozen=True, slots=True)
class Conflict:
    """It is not saved: others saved since the version it began from.

    base: that version, None where it was meant as a new case. latest: what stands now. offer: what the
    two come to; its `text` is None while both changed the same field.
    """

    case: str
    base: int | None
    latest: Version
    offer: Merge

    @property
    def clashes(self) -> tuple[Clash, ...]:
        """The fields that both changed, not to the same."""
        return self.offer.clashes


def initials(text: str) -> str:
    """Who saved, as it is kept. Raises `BadInput` for what is not two to four letters."""
    letters = unicodedata.normalize("NFC", text).upper()
    if not re.fullmatch(r"[^\W\d_]{2,4}", letters):
        raise BadInput(f"'{text}' are not initials", file="--who", mend="two to four letters, such as KL")
    return letters


def refuse_unusable(text: str, name: str) -> None:
    """Raises `BadInput` for a text that could not be a case file, however it came here."""
    try:
        size = len(text.encode())
    except UnicodeEncodeError:
        raise BadInput("holds half a character", file=name, mend="save it as UTF-8") from None
    if size > LARGEST_CASE:
        raise BadInput(f"is larger than {LARGEST_CASE:,} bytes", file=name, mend="a case is a few kilobytes")


def save_in(
    connection: Connection,
    text: str,
    planned: Planned,
    who: str,
    base: int | None,
    take: Mapping[str, str] | None = None,
) -> Saved | Conflict:
    """Saves a case file as the next version, in the transaction open on `connection`.

    `base`: the version it began from, None for a new case. Raises `BadInput` where there is no such version.
    """
    code = planned.case.id
    refuse_moved(connection)
    row = _latest_row(connection, code)
    latest = version_of(row) if row else None
    if latest is None:
        if base is not None:
            raise BadInput(f"the store has no case '{code}'", mend="save it as a new one: leave --from out")
        _refuse_twin(connection, code)
    elif latest.text == text and latest.book == planned.book:
        return Saved(latest, new=False)
    elif base != latest.number:
        return _conflict(connection, text, latest, base, take)
    _write(connection, text, planned, who, row)
    refuse_moved(connection)
    return Saved(version_of(_latest_row(connection, code) or {}), new=True)


def follow_on(
    connection: Connection, text: str, planned: Planned, who: str, base: int | None, *, over: bool
) -> Saved | Conflict:
    """Saves one of many case files: after its `base` or as a new case, or `over` whatever is the latest.

    Passed over where the store has just this text, whichever rules planned it.
    """
    row = _latest_row(connection, planned.case.id)
    if row is not None and row["document"] == text:
        return Saved(version_of(row), new=False)
    if over:
        base = None if row is None else row["number"]
    return save_in(connection, text, planned, who, base)


def _latest_row(connection: Connection, code: str) -> Mapping[str, Any] | None:
    """The latest version, held against other writers until the transaction ends."""
    held = select(cases.c.latest).where(cases.c.code == code).with_for_update()
    number = connection.execute(held).scalar()
    if number is None:
        return None
    return version_row(connection, code, number)


def version_row(connection: Connection, code: str, number: int) -> Mapping[str, Any] | None:
    """A row of `versions`, or None."""
    wanted = select(versions).where(versions.c.case_code == code, versions.c.number == number)
    found = connection.execute(wanted).mappings().first()
    return None if found is None else dict(found)


def _refuse_twin(connection: Connection, code: str) -> None:
    """Two people whose codes differ in capitals alone would be taken for one another."""
    same = select(cases.c.code).where(func.lower(cases.c.code) == code.lower(), cases.c.code != code)
    twin = connection.execute(same).scalar()
    if twin is not None:
        raise BadInput(f"'{code}' differs from the case '{twin}' in capitals alone", mend="use another id")


def moved_to(connection: Connection) -> str | None:
    """Where the store was moved to, or None."""
    found: str | None = connection.execute(select(about.c.moved_to)).scalar()
    return found


def refuse_moved(connection: Connection) -> None:
    """Raises `BadInput` where all went to another store.

    Asked last by who writes: whoever moves a store holds it, and has let go of it only now.
    """
    moved = moved_to(connection)
    if moved:
        raise BadInput("this store was moved: nothing is saved here", mend=f"use --store {moved}")


def _conflict(
    connection: Connection, text: str, latest: Version, base: int | None, take: Mapping[str, str] | None
) -> Conflict:
    began = f"case: {latest.case}\n"
    if base is not None:
        row = version_row(connection, latest.case, base)
        if row is None:
            raise BadInput(f"'{latest.case}' has no version {base}", mend=f"its latest is {latest.number}")
        began = row["document"]
    return Conflict(latest.case, base, latest, merge(began, text, latest.text, take))


def _write(
    connection: Connection, text: str, planned: Planned, who: str, before: Mapping[str, Any] | None
) -> None:
    code, case = planned.case.id, planned.case
    now = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    body, plan_hash = packed(planned.plan)
    changes = changes_between(fields_of(before["document"]), fields_of(text)) if before else ()
    number: int = before["number"] + 1 if before else 1
    row = {
        "case_code": code,
        "number": number,
        "at": now,
        "who": who,
        "changes": compact([change.as_json() for change in changes]),
        "as_of": case.as_of.isoformat(),
        "book": planned.book,
        "program": __version__,
        "document": text,
        "plan_hash": plan_hash,
        "parent": before["hash"] if before else "",
    }
    row["hash"] = hash_of(row)
    listed = listing(planned, now, who, number)
    if before:
        connection.execute(update(cases).where(cases.c.code == code).values(listed))
    else:
        connection.execute(insert(cases).values(code=code, **listed))
    connection.execute(insert(versions).values(row))
    connection.execute(insert(plans).values(case_code=code, number=number, body=body))
    _write_due(connection, planned)


def listing(planned: Planned, at: str, who: str, number: int) -> dict[str, Any]:
    """What the table `cases` says of a version. `next_due`: the first day by which something is due."""
    case = planned.case
    title = one_line(case.title)[:LONGEST_TITLE]
    return {
        "latest": number,
        "title": title,
        "as_of": case.as_of.isoformat(),
        "saved_at": at,
        "who": who,
        "stop": planned.stop,
        "next_due": min((row.last.isoformat() for row in planned.due), default=None),
        "book": planned.book,
        "sought": f"{case.id} {title}".casefold(),
    }


def _write_due(connection: Connection, planned: Planned) -> None:
    code = planned.case.id
    connection.execute(delete(due).where(due.c.case_code == code))
    rows = [
        {
            "case_code": code,
            "item": row.id,
            "side": row.side,
            "what": row.what,
            "why": row.why,
            "first": row.first.isoformat(),
            "last": row.last.isoformat(),
            "source": row.source,
            "page": row.page,
            "category": row.category,
        }
        for row in planned.due
    ]
    if rows:
        connection.execute(insert(due), rows)
