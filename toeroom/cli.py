"""The command line: reads what was asked, hands it to the core, shows what comes back."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NoReturn

from toeroom import __version__
from toeroom.errors import BadInput, EnginesDiffer, one_line

DONE, DOES_NOT_HOLD, BAD_INPUT = 0, 1, 2


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, as all bad input is said."""

    def error(self, message: str) -> NoReturn:
        self.exit(BAD_INPUT, f"toeroom: {one_line(message)}; see 'toeroom --help'\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs a command; returns 0 (done), 1 (done, and it does not hold) or 2 (bad input)."""
    try:
        options = _parser().parse_args(arguments)
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


def _parser() -> _Parser:
    parser = _Parser(
        prog="toeroom", description="Footwear for diabetic feet: from a case to a safe plan, and why."
    )
    parser.add_argument("--version", action="version", version=f"toeroom {__version__}")
    parser.add_argument("--book", type=Path, metavar="DIR", help="a folder that holds kb/ and rules/")
    parser.set_defaults(run=_app, json=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    _add_plan(commands)
    _add_words(commands)
    _add_rules(commands)
    return parser


def _command(commands: Any, name: str, text: str, run: Callable[[argparse.Namespace], int]) -> _Parser:
    parser: _Parser = commands.add_parser(name, help=text, description=text)
    parser.add_argument("--json", action="store_true", help="one JSON document a line")
    parser.add_argument("--book", type=Path, metavar="DIR", default=argparse.SUPPRESS, help="another book")
    parser.set_defaults(run=run)
    return parser


def _add_plan(commands: Any) -> None:
    plan = _command(commands, "plan", "the plan for a case, or for several", _plan)
    plan.add_argument("cases", nargs="+", metavar="CASE.yaml")
    plan.add_argument("--full", action="store_true", help="open what is folded")
    plan.add_argument("--why", metavar="ITEM[@SIDE]", help="why an item is in the plan, or why it is not")
    plan.add_argument(
        "--what-if",
        action="append",
        default=[],
        metavar="FINDING[@SIDE]=VALUE",
        help="what would change, item by item; may be repeated",
    )


def _add_words(commands: Any) -> None:
    words = _command(commands, "words", "the findings, measures, choices and dates a case may state", _words)
    words.add_argument("part", nargs="?", default="", help="only words that hold this")


def _add_rules(commands: Any) -> None:
    rules = commands.add_parser(
        "rules", help="for who maintains the rules", description="For who maintains the rules."
    )
    verbs = rules.add_subparsers(title="verbs", metavar="VERB", required=True)
    _command(verbs, "check", "whether the rules hold together", _rules_check)
    _command(verbs, "test", "whether every rule's examples hold", _rules_test)
    show = _command(verbs, "show", "one rule in words", _rules_show)
    show.add_argument("id", metavar="ID")


def _show_json(value: object) -> None:
    print(json.dumps(value, ensure_ascii=False, separators=(",", ":")))


# --- commands ------------------------------------------------------------------------------------
def _app(options: argparse.Namespace) -> int:
    from tui.app import run_app

    run_app(options.book)
    return DONE


def _plan(options: argparse.Namespace) -> int:
    from toeroom.book import open_book
    from toeroom.case import read_case
    from toeroom.rules.whatif import supposed

    book = open_book(options.book)
    if options.why and options.what_if:
        raise BadInput("--why and --what-if do not go together", mend="ask one of the two")
    cases = [read_case(path, book.vocabulary) for path in options.cases]
    varied = [supposed(case, book.vocabulary, options.what_if) for case in cases]
    place = _item_and_side(options.why, book.vocabulary) if options.why else None
    for number, (case, other) in enumerate(zip(cases, varied, strict=True)):
        if number and not options.json:
            print()
        if place:
            _show_why(book, case, *place, as_json=options.json)
        elif options.what_if:
            _show_what_if(book, case, other, options)
        else:
            _show_plan(book, case, options)
    return DONE


def _show_plan(book: Any, case: Any, options: argparse.Namespace) -> None:
    from toeroom.rules.asking import with_questions

    plan = with_questions(book.planner, case, book.planner.plan(case))
    if options.json:
        _show_json(plan.as_json())
        return
    from toeroom.printing import console, print_sheet
    from toeroom.sheet import make_sheet

    print_sheet(console(), make_sheet(plan, book.vocabulary), full=options.full)


def _item_and_side(text: str, vocabulary: Any) -> tuple[str, str | None]:
    from toeroom.errors import nearest

    item, _, side = text.partition("@")
    if item not in vocabulary.plan_items:
        raise BadInput(
            f"'{item}' is not a plan item", file="--why", mend=nearest(item, vocabulary.plan_items)
        )
    if side not in ("", "left", "right", "person"):
        raise BadInput(f"'{side}' is not a side", file="--why", mend="use left, right or person")
    return item, side or None


def _show_why(book: Any, case: Any, item: str, side: str | None, *, as_json: bool) -> None:
    from toeroom.rules.whys import why

    planner = book.planner
    plan, outcome = planner.plan(case), planner.run(case)
    whys = why(planner, case, plan, outcome, item, side)
    if as_json:
        _show_json({"case": case.id, "why": [w.as_json() for w in whys], "deferral": plan.deferral})
        return
    from toeroom.printing import console, print_why

    print_why(console(), whys, book, plan.deferral)


def _show_what_if(book: Any, case: Any, other: Any, options: argparse.Namespace) -> None:
    from toeroom.rules.whatif import changes

    before, after = book.planner.plan(case), book.planner.plan(other)
    found = changes(before, after)
    if options.json:
        _show_json(
            {
                "case": case.id,
                "what_if": options.what_if,
                "stop": {"before": before.stop, "after": after.stop},
                "changes": [change.as_json() for change in found],
                "deferral": after.deferral,
            }
        )
        return
    from toeroom.printing import console, print_changes

    print_changes(console(), before, after, found, options.what_if)


def _words(options: argparse.Namespace) -> int:
    from toeroom.book import open_book

    vocabulary = open_book(options.book).vocabulary
    kinds: dict[str, dict[str, Any]] = {
        "finding": {**vocabulary.findings},
        "measure": {**vocabulary.measures},
        "choice": {**vocabulary.choices},
        "date": {**vocabulary.dates},
    }
    for kind, terms in kinds.items():
        for term in terms.values():
            text = f"{term.id} {term.label} {' '.join(term.words)}".lower()
            if options.part.lower() not in text:
                continue
            if options.json:
                _show_json(
                    {"kind": kind, "id": term.id, "scope": term.scope, "label": term.label, "page": term.page}
                )
            else:
                print(f"{term.id:24} {term.scope:7} {kind:8} {term.label}")
    return DONE


def _rules_check(options: argparse.Namespace) -> int:
    from toeroom.upkeep.checking import check_rules

    return _faults(check_rules(options.book), options.json, "the rules hold together")


def _rules_test(options: argparse.Namespace) -> int:
    from toeroom.book import open_book
    from toeroom.upkeep.examples import failing_examples

    book = open_book(options.book)
    return _faults(failing_examples(book), options.json, f"all examples of {len(book.rules)} rules hold")


def _faults(faults: Sequence[Any], as_json: bool, good: str) -> int:
    for fault in faults:
        if as_json:
            _show_json({"file": fault.file, "line": fault.line, "what": fault.what, "mend": fault.mend})
        else:
            print(fault)
    if not faults and not as_json:
        print(good)
    return DOES_NOT_HOLD if faults else DONE


def _rules_show(options: argparse.Namespace) -> int:
    from toeroom.book import open_book
    from toeroom.errors import nearest
    from toeroom.upkeep.showing import rule_as_json, rule_in_words

    book = open_book(options.book)
    rule = book.planner.by_id.get(options.id)
    if rule is None:
        raise BadInput(f"there is no rule '{options.id}'", mend=nearest(options.id, book.planner.by_id))
    if options.json:
        _show_json(rule_as_json(rule))
    else:
        print("\n".join(rule_in_words(rule, book.vocabulary)))
    return DONE


def _report(difference: EnginesDiffer) -> int:
    """Writes down how the engines differ, for the maintainer; there is no plan."""
    from platformdirs import user_state_path

    folder = user_state_path("toeroom", ensure_exists=True)
    path = folder / f"engines-differ-{datetime.now(UTC):%Y%m%dT%H%M%S%f}.json"
    path.write_text(json.dumps(difference.report, indent=1, sort_keys=True), encoding="utf-8")
    print(f"toeroom: no plan: {difference}; send {path} to who maintains the rules", file=sys.stderr)
    return DOES_NOT_HOLD
