"""The file of a session: one JSON line a step, on the disk before anything else happens.

Killed at any moment it loses at most the step being typed: a last line that is torn is left out, and
cut off when the session goes on. Lines are only ever added.
"""

from __future__ import annotations

import json
import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from toeroom.errors import BadInput
from toeroom.yamltree import read_text

FORMAT = 1
LARGEST_JOURNAL = 5_000_000
ENDING = ".session.jsonl"

Event = dict[str, Any]


def trainee_code(text: str) -> str:
    """`text` where it is a usable code; `BadInput` else. A digit in it keeps it from being a name."""
    if not re.fullmatch(r"(?=.*[0-9])[A-Za-z0-9]{1,16}", text):
        raise BadInput(
            "that is no trainee code",
            mend="letters and at least one digit, at most 16, as T07; never a name",
        )
    return text


def sessions_folder(folder: Path | None = None) -> Path:
    """Where sessions are kept: `folder`, or a place of the user's own. Made where it is not there."""
    if folder is None:
        from platformdirs import user_state_path

        folder = user_state_path("toeroom") / "training"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(
            f"cannot be made ({error.strerror})", file=str(folder), mend="name another folder"
        ) from None
    return folder


@dataclass(frozen=True, slots=True)
class Recorded:
    """A session as its file tells it. `whole` is the number of bytes that can be relied on."""

    path: Path
    head: Event
    events: tuple[Event, ...]
    whole: int

    @property
    def trainee(self) -> str:
        return str(self.head.get("trainee", ""))

    @property
    def of(self) -> str:
        """The id of the case, or of that which it is a variant of."""
        return str(self.head.get("of") or self.head.get("case", ""))

    @property
    def result(self) -> Event | None:
        """What the session came to; None where it was not closed."""
        return next((e["result"] for e in reversed(self.events) if "result" in e), None)


def read_journal(path: Path) -> Recorded:
    """The session in the file at `path`; `BadInput` where it is none, or a line within it is damaged."""
    text = read_text(path, largest=LARGEST_JOURNAL)
    whole = text.rfind("\n") + 1
    lines = [_event(line, path, number) for number, line in enumerate(text[:whole].splitlines(), 1)]
    if not lines or lines[0].get("toeroom_training") != FORMAT:
        raise BadInput("this is no session of training", file=str(path), mend=f"name a file *{ENDING}")
    return Recorded(path, lines[0], tuple(lines[1:]), len(text[:whole].encode()))


def _event(line: str, path: Path, number: int) -> Event:
    try:
        event = json.loads(line)
    except ValueError:
        event = None
    if not isinstance(event, dict):
        raise BadInput(
            "a line of the session is damaged", file=str(path), line=number, mend="begin the case anew"
        )
    return event


class Journal:
    """A session's file, open for adding lines."""

    def __init__(self, path: Path, *, whole: int | None = None) -> None:
        """Makes the file; with `whole` goes on with one that is there, cut to its whole lines."""
        self.path = path
        try:
            self._stream = path.open("xb" if whole is None else "ab", buffering=0)
            if whole is not None:
                self._stream.truncate(whole)
        except OSError as error:
            raise BadInput(
                f"cannot be written ({error.strerror})", file=str(path), mend="name another folder"
            ) from None

    def add(self, event: Event) -> None:
        """Writes one line and has it on the disk before it returns."""
        line = json.dumps(event, ensure_ascii=False, separators=(",", ":")) + "\n"
        try:
            left = line.encode()
            while left:
                left = left[self._stream.write(left) :]
            os.fsync(self._stream.fileno())
        except OSError as error:
            raise BadInput(
                f"cannot be written ({error.strerror})", file=str(self.path), mend="make room; then --resume"
            ) from None
