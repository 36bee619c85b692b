"""One version of a case: what it holds, and the hash that shows it is whole."""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from toeroom.case import Case, day_from, parse_case
from toeroom.errors import BadInput
from toeroom.vocabulary import Vocabulary

LARGEST_PLAN = 20_000_000
HASHED = ("parent", "case_code", "number", "at", "who", "changes", "as_of", "book", "program", "document")


@dataclass(frozen=True, slots=True)
class Version:
    """A case as it was saved once.

    number: from 1. at: UTC, ISO. who: initials. changes: field, from and to, since the version before.
    as_of: the day its plan is for. book: the version of the rules that planned it. text: the case file,
    letter by letter.
    """

    case: str
    number: int
    at: str
    who: str
    changes: tuple[dict[str, str | None], ...]
    as_of: str
    book: str
    program: str
    text: str
    hash: str

    def read(self, vocabulary: Vocabulary) -> Case:
        """The case it states. Raises `BadInput` where today's words are no longer those."""
        name = f"{self.case}, version {self.number}"
        return parse_case(self.text, vocabulary, name=name, today=day_from(self.as_of))

    def as_json(self) -> dict[str, Any]:
        """All but the case file."""
        return {
            "case": self.case,
            "version": self.number,
            "at": self.at,
            "who": self.who,
            "changes": list(self.changes),
            "as_of": self.as_of,
            "book": self.book,
            "program": self.program,
            "hash": self.hash,
        }


def version_of(row: Mapping[str, Any]) -> Version:
    """The version in a row of the table `versions`. Raises `BadInput` where it is no row of ours."""
    try:
        changes = tuple(json.loads(row["changes"]))
    except (TypeError, ValueError):
        what = f"'{row['case_code']}', version {row['number']}: what changed cannot be read"
        raise BadInput(what, mend="see 'toeroom store check'") from None
    return Version(
        row["case_code"],
        row["number"],
        row["at"],
        row["who"],
        changes,
        row["as_of"],
        row["book"],
        row["program"],
        row["document"],
        row["hash"],
    )


def hash_of(row: Mapping[str, Any]) -> str:
    """What the hash of a row of `versions` must be: over all of it, its plan and the version before."""
    parts = [*(row[name] for name in HASHED), row["plan_hash"]]
    return _sha256(compact(parts))


def compact(value: object) -> str:
    """`value` as JSON in one way only."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def packed(plan: str) -> tuple[bytes, str]:
    """A plan's JSON as it is kept, and its hash."""
    return zlib.compress(plan.encode(), 6), _sha256(plan)


def unpacked(body: bytes) -> tuple[str, str]:
    """The JSON of a kept plan, and its hash. Raises `ValueError` where it is damaged."""
    try:
        opener = zlib.decompressobj()
        plan = opener.decompress(body, LARGEST_PLAN)
        if not opener.eof:
            raise ValueError("it is cut off, or far too large")
        text = plan.decode()
    except zlib.error as error:
        raise ValueError(str(error)) from None
    return text, _sha256(text)


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
