"""JSON from elsewhere, read strictly: bounded in size, depth and numbers, every key once, no NaN."""

from __future__ import annotations

import json
import os
from decimal import Decimal
from typing import Any, NoReturn

from toeroom.errors import BadInput
from toeroom.yamltree import read_text

LARGEST = 5_000_000
DEEPEST = 40
LONGEST_NUMBER = 30


def read_json(path: str | os.PathLike[str]) -> Any:
    """The value in the JSON file at `path`, numbers with a point as exact decimals; `BadInput` otherwise."""
    text = read_text(path, largest=LARGEST)
    try:
        value = json.loads(
            text,
            parse_float=_decimal,
            parse_int=_integer,
            parse_constant=_no_constant,
            object_pairs_hook=_each_once,
        )
    except json.JSONDecodeError as error:
        raise BadInput(
            f"is not valid JSON ({error.msg})", file=str(path), line=error.lineno, mend="export it again"
        ) from None
    except _Refused as refused:
        raise BadInput(str(refused), file=str(path), mend="export it again") from None
    except RecursionError:
        raise _too_deep(path) from None
    if _deeper_than(value, DEEPEST):
        raise _too_deep(path)
    try:
        json.dumps(value, ensure_ascii=False, default=str).encode("utf-8")
    except UnicodeEncodeError:
        raise BadInput("holds half a character", file=str(path), mend="export it again") from None
    return value


class _Refused(Exception):
    """A value that JSON of this kind does not hold."""


def _too_deep(path: str | os.PathLike[str]) -> BadInput:
    return BadInput(f"is nested deeper than {DEEPEST} levels", file=str(path), mend="flatten it")


def _decimal(text: str) -> Decimal:
    value = Decimal(text)
    # 1e999999999 is a short text and a number that fills the memory.
    if len(text) > LONGEST_NUMBER or (value and abs(value.adjusted()) > LONGEST_NUMBER):
        raise _Refused("holds a number out of all range")
    return value


def _integer(text: str) -> int:
    if len(text) > LONGEST_NUMBER:
        raise _Refused("holds a number out of all range")
    return int(text)


def _no_constant(text: str) -> NoReturn:
    raise _Refused(f"holds {text}, which is no number")


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise _Refused(f"holds '{twice[:40]}' twice in one place")
    return found


def _deeper_than(value: Any, most: int) -> bool:
    level = [value]
    for _ in range(most):
        inner = [v for v in level if isinstance(v, (dict, list))]
        level = [w for v in inner for w in (v.values() if isinstance(v, dict) else v)]
        if not level:
            return False
    return True
