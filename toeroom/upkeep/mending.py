"""`rules check --fix`: mends what is mechanical, and touches nothing else of a file.

A writer that dumps the whole file anew changes lines that nobody asked about (brackets, folds); here
a few characters are replaced where they stand, so comments and layout stay byte for byte.
"""

from __future__ import annotations

import re
from pathlib import Path

from toeroom.errors import BookFault
from toeroom.files import write_whole
from toeroom.upkeep.traps import Edit, Trap, traps_in
from toeroom.yamltree import parse, read_text

MOST_ROUNDS = 20
_SPACES = re.compile(r"[ \t\r]+(?=\n)|[ \t\r]+\Z")


def mend_rules(folder: Path) -> list[str]:
    """Mends the rules of the book in `folder`; returns a line for each thing mended.

    A file that would not be valid YAML afterwards is left as it was.
    """
    done: list[str] = []
    for path in sorted((folder / "rules").glob("*.yaml")):
        done += _mend_file(path)
    return done


def _mend_file(path: Path) -> list[str]:
    before = text = read_text(path, fault=BookFault)
    done: list[str] = []
    for _ in range(MOST_ROUNDS):
        # One edit can uncover the next: a file with an odd character is looked at no further.
        found = [trap for trap in traps_in(path) if trap.edit is not None]
        if not found:
            break
        text = _mended(text, found)
        done += [str(trap.fault) for trap in found]
        if not _safe(path, text):
            write_whole(path, before)
            return []
        write_whole(path, text)
    trimmed = _SPACES.sub("", text)
    if trimmed != text and _safe(path, trimmed):
        write_whole(path, trimmed)
        done.append(f"{path}: spaces at the ends of lines removed")
    return done


def _mended(text: str, traps: list[Trap]) -> str:
    """The text with the edits made, the last first; where two overlap only the later is."""
    reached = len(text)
    edits = sorted({trap.edit for trap in traps if trap.edit is not None}, key=lambda e: -e.start)
    for edit in edits:
        if edit.end > reached:
            continue
        text = _replaced(text, edit)
        reached = edit.start
    return text


def _replaced(text: str, edit: Edit) -> str:
    if edit.text.endswith("\x00"):
        end = text.find("\n", edit.end)
        return text[: edit.start] + edit.text[:-1] + text[end if end >= 0 else len(text) :]
    return text[: edit.start] + edit.text + text[edit.end :]


def _safe(path: Path, text: str) -> bool:
    """Whether the text is no worse than what it replaces: valid, or not valid before either."""
    try:
        parse(text, str(path), fault=BookFault)
    except BookFault:
        try:
            parse(read_text(path), str(path), fault=BookFault)
        except BookFault:
            return True
        return False
    return True
