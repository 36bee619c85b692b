"""What all commands share: how they are declared, and how they show JSON and faults."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any, NoReturn

from toeroom.errors import BadInput, one_line

DONE, DOES_NOT_HOLD, BAD_INPUT = 0, 1, 2

Run = Callable[[argparse.Namespace], int]


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, as all bad input is said."""

    def error(self, message: str) -> NoReturn:
        self.exit(BAD_INPUT, f"toeroom: {one_line(message)}; see 'toeroom --help'\n")


def add_command(commands: Any, name: str, text: str, run: Run) -> Parser:
    """A command with the options that every command takes."""
    parser: Parser = commands.add_parser(name, help=text, description=text)
    parser.add_argument("--json", action="store_true", help="one JSON document a line")
    parser.add_argument("--book", type=Path, metavar="DIR", default=argparse.SUPPRESS, help="another book")
    parser.set_defaults(run=run)
    return parser


def add_group(commands: Any, name: str, text: str) -> Any:
    """A command that only holds others."""
    parser = commands.add_parser(name, help=text, description=text)
    return parser.add_subparsers(title="verbs", metavar="VERB", required=True)


def day(text: str) -> date:
    """The day that an option names, as 2026-11-25. Raises `BadInput` for what is none."""
    from toeroom.case import day_from

    try:
        return day_from(text)
    except ValueError as error:
        what, _, mend = str(error).partition("; ")
        raise BadInput(what, mend=mend or "write it as 2026-11-25") from None


def add_progress(parser: argparse.ArgumentParser) -> None:
    """Declares `--progress`: for who waits and shows how far it is."""
    parser.add_argument("--progress", action="store_true", help="say on standard error how far it is")


def tell_progress(options: argparse.Namespace, done: int, of: int) -> None:
    """Says how far it is where that is asked for, and lets out what was found so far."""
    if options.progress:
        sys.stdout.flush()
        print(f"{done} of {of}", file=sys.stderr, flush=True)


def show_json(value: object) -> None:
    """One compact document on a line of standard output."""
    print(json.dumps(value, ensure_ascii=False, separators=(",", ":")))


def show_faults(faults: Sequence[BadInput], as_json: bool, good: str) -> int:
    """Each fault on a line; `good` where there is none. Returns the exit code."""
    for fault in faults:
        if as_json:
            show_json({"file": fault.file, "line": fault.line, "what": fault.what, "mend": fault.mend})
        else:
            print(fault)
    if not faults and not as_json:
        print(good)
    return DOES_NOT_HOLD if faults else DONE


def texts_of(text: str) -> Iterable[str]:
    """The text itself; every line of standard input where it is a dash."""
    if text != "-":
        return [text]
    lines = sys.stdin.buffer.read().decode("utf-8", errors="replace").splitlines()
    return [line for line in lines if line.strip()]
