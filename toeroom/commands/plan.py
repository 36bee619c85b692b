"""`toeroom plan`: the plan for a case or several, why an item stands in it, what would change."""

from __future__ import annotations

import argparse
from typing import Any

from toeroom.book import Book, open_book
from toeroom.case import Case, read_case
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.errors import BadInput, nearest
from toeroom.rules.asking import with_questions
from toeroom.rules.whatif import changes, supposed
from toeroom.rules.whys import why
from toeroom.vocabulary import Vocabulary


def add(commands: Any) -> None:
    """Declares the command."""
    plan = add_command(commands, "plan", "the plan for a case, or for several", _plan)
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


def _plan(options: argparse.Namespace) -> int:
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


def _show_plan(book: Book, case: Case, options: argparse.Namespace) -> None:
    plan = with_questions(book.planner, case, book.planner.plan(case))
    if options.json:
        show_json(plan.as_json())
        return
    from toeroom.printing import console, print_sheet
    from toeroom.sheet import make_sheet

    print_sheet(console(), make_sheet(plan, book.vocabulary), full=options.full)


def _item_and_side(text: str, vocabulary: Vocabulary) -> tuple[str, str | None]:
    item, _, side = text.partition("@")
    if item not in vocabulary.plan_items:
        raise BadInput(
            f"'{item}' is not a plan item", file="--why", mend=nearest(item, vocabulary.plan_items)
        )
    if side not in ("", "left", "right", "person"):
        raise BadInput(f"'{side}' is not a side", file="--why", mend="use left, right or person")
    return item, side or None


def _show_why(book: Book, case: Case, item: str, side: str | None, *, as_json: bool) -> None:
    planner = book.planner
    plan, outcome = planner.plan(case), planner.run(case)
    whys = why(planner, case, plan, outcome, item, side)
    if as_json:
        show_json({"case": case.id, "why": [w.as_json() for w in whys], "deferral": plan.deferral})
        return
    from toeroom.printing import console, print_why

    print_why(console(), whys, book, plan.deferral)


def _show_what_if(book: Book, case: Case, other: Case, options: argparse.Namespace) -> None:
    before, after = book.planner.plan(case), book.planner.plan(other)
    found = changes(before, after)
    if options.json:
        show_json(
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
