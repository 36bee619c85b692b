"""The command line: reads what was asked, runs the command, says in one line what went wrong."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

from toeroom import __version__
from toeroom.commands.common import BAD_INPUT, DOES_NOT_HOLD, DONE, Parser
from toeroom.errors import BadInput, EnginesDiffer

COMMANDS = {
    "plan": "plan",
    "words": "words",
    "rules": "rules",
    "search": "handbook",
    "page": "handbook",
    "kb": "handbook",
    "ask": "ask",
    "size": "sizes",
    "due": "due",
    "trace": "tracing",
    "cds-hooks": "exchange",
    "fhir": "exchange",
    "store": "store",
    "benefit": "benefit",
    "lift": "lifts",
    "rocker": "lifts",
    **dict.fromkeys(
        ("tests", "circulation", "filament", "temperature", "wound-score", "joints", "relief"), "foot_tests"
    ),
    "paper": "papers",
    "fit-check": "fit_check",
    "train": "train",
    "book": "own_book",
    "reviews": "reviews",
    "serve": "serve",
    "tour": "tour",
    "feet": "feet",
}
"""Each command and the module of `toeroom.commands` that holds it: only that one is imported."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs a command; returns 0 (done), 1 (done, and it does not hold) or 2 (bad input)."""
    arguments = sys.argv[1:] if arguments is None else arguments
    try:
        options = _parser(arguments).parse_args(arguments)
        run: Callable[[argparse.Namespace], int] = options.run
        return run(options)
    except BadInput as fault:
        print(f"toeroom: {fault}", file=sys.stderr)
        return BAD_INPUT
    except EnginesDiffer as difference:
        return _report(difference)
    except BrokenPipeError:
        # The reader has gone; what it did not want is not an error.
        sys.stdout = open(os.devnull, "w")  # noqa: SIM115
        return DONE
    except KeyboardInterrupt:
        return DOES_NOT_HOLD


def _parser(arguments: Sequence[str]) -> Parser:
    from importlib import import_module

    parser = Parser(
        prog="toeroom", description="Footwear for diabetic feet: from a case to a safe plan, and why."
    )
    parser.add_argument("--version", action="version", version=f"toeroom {__version__}")
    parser.add_argument("--book", type=Path, metavar="DIR", help="a folder that holds kb/ and rules/")
    parser.set_defaults(run=_app, json=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    # A folder may be called as a command is: the word after --book is none.
    words = [w for before, w in zip(["", *arguments], arguments, strict=False) if before != "--book"]
    named = [COMMANDS[word] for word in words if word in COMMANDS][:1]
    for module in named or (sorted(set(COMMANDS.values())) if _needs_all(words) else []):
        import_module(f"toeroom.commands.{module}").add(commands)
    return parser


def _needs_all(words: Sequence[str]) -> bool:
    """Whether all commands are to be known: for help, or to say which there are instead of a wrong word.

    The app, which is opened by no word at all, should not wait for them.
    """
    return any(word != "--version" and not word.startswith("--book") for word in words if word)


def _app(options: argparse.Namespace) -> int:
    from tui.app import run_app

    run_app(options.book)
    return DONE


def _report(difference: EnginesDiffer) -> int:
    """Writes down how the engines differ, for the maintainer; there is no plan."""
    from platformdirs import user_state_path

    folder = user_state_path("toeroom", ensure_exists=True)
    path = folder / f"engines-differ-{datetime.now(UTC):%Y%m%dT%H%M%S%f}.json"
    path.write_text(json.dumps(difference.report, indent=1, sort_keys=True), encoding="utf-8")
    print(f"toeroom: no plan: {difference}; send {path} to who maintains the rules", file=sys.stderr)
    return DOES_NOT_HOLD
