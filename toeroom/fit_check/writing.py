"""An answer of a fit check written into its case file: that answer changes, and nothing else of the file."""

from __future__ import annotations

import io
import os
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from toeroom.case import LARGEST_CASE, parse_case
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.fit_check.block import KEY
from toeroom.fit_check.points import FitCheck, Value
from toeroom.vocabulary import Vocabulary
from toeroom.yamltree import parse, read_text

At = tuple[str, ...]
"""Where in the block an answer stands: (`day`,) or (`left`, `room_mm`)."""


def write_answer(
    path: str | os.PathLike[str], vocabulary: Vocabulary, at: At, value: Value | date
) -> FitCheck:
    """Writes one answer into the case file at `path` as it now is on disk; the check as it then stands.

    Comments, order and spelling of the rest stay. Raises `BadInput`, the file untouched, where it
    cannot be written without changing something else.
    """
    # A link is followed, so that it stays a link.
    target = Path(path).resolve()
    before = read_text(target, largest=LARGEST_CASE)
    after = with_answer(before, at, value, name=str(path))
    old = parse_case(before, vocabulary, name=str(path), today=date.min)
    new = parse_case(after, vocabulary, name=str(path), today=date.min)
    if replace(new, fit_check=old.fit_check) != old or new.fit_check is None:
        raise _unsafe(str(path))
    write_whole(target, after)
    return new.fit_check


def with_answer(text: str, at: At, value: Value | date, *, name: str = "case") -> str:
    """The text of a case file with one answer set in its fit check."""
    ending = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines()
    start, end = _extent(text, lines, name)
    block = _with(("\n".join(lines[start:end])), at, value).splitlines()
    kept = [*lines[:start], *block, *lines[end:]]
    return ending.join(kept) + ending


def _extent(text: str, lines: list[str], name: str) -> tuple[int, int]:
    """From which line (from 0) up to which the block stands; the end of the file where it does not yet."""
    top = parse(text, name).value
    if not isinstance(top, dict):
        raise BadInput("is not a case", file=name, mend="begin with 'case: some-id'")
    starts = sorted(node.key_line - 1 for node in top.values())
    if len(set(starts)) < len(starts):
        raise _unsafe(name)
    if KEY not in top:
        return len(lines), len(lines)
    start = top[KEY].key_line - 1
    end = next((line for line in starts if line > start), len(lines))
    while end > start + 1 and (not lines[end - 1].strip() or lines[end - 1].startswith("#")):
        end -= 1
    return start, end


def _with(block: str, at: At, value: Value | date) -> str:
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 4096
    tree: Any = yaml.load(block) or {KEY: None}
    inner = tree
    for key in (KEY, *at[:-1]):
        if inner.get(key) is None:
            inner[key] = {}
        inner = inner[key]
    inner[at[-1]] = _plain(value)
    written = io.StringIO()
    yaml.dump(tree, written)
    return written.getvalue()


def _plain(value: Value | date) -> object:
    if isinstance(value, Decimal):
        return int(value) if value == int(value) else float(value)
    return value


def _unsafe(name: str) -> BadInput:
    return BadInput(
        "the fit check cannot be written into this file without changing the rest",
        file=name,
        mend="write each key on a line of its own, as in docs/cases.md",
    )
