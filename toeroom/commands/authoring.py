"""`toeroom rules new`, `review`, `gaps`, `table` and `kb new`, `kb review`: for who writes the book."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from toeroom.book import open_book
from toeroom.commands.common import DOES_NOT_HOLD, DONE, add_command, day, show_json
from toeroom.errors import BadInput
from toeroom.wording import printable

if TYPE_CHECKING:
    from toeroom.upkeep.gaps import Gaps

MOST_CASES = 5


def add_writing(verbs: Any) -> None:
    """Declares `rules new`, `review`, `gaps` and `table`."""
    new = add_command(verbs, "new", "appends a draft of a rule to a topic", _new_rule)
    new.add_argument("id", metavar="ID")
    new.add_argument("--topic", required=True, metavar="FILE", help="the file of rules, as 'fit'")
    new.add_argument("--like", default="", metavar="RULE", help="begin from this rule")
    new.add_argument("--by", default="", metavar="INITIALS", help="who writes it")
    review = add_command(verbs, "review", "what is due for review; with ids: notes a review", _review_rules)
    _add_review(review, "a rule, a guarantee, or topic:fit for all of a topic")
    gaps = add_command(verbs, "gaps", "questions without a page, findings without a consequence", _gaps)
    gaps.add_argument(
        "paths", type=Path, nargs="+", metavar="FILE", help="questions.txt or .jsonl, cases, folders"
    )
    table = add_command(verbs, "table", "a topic as a table to read and sign", _table)
    table.add_argument("topic", metavar="TOPIC")
    table.add_argument("--format", choices=("csv", "md"), help="md where it is not said")
    table.add_argument("--to", type=Path, metavar="FILE", help="write it there")


def add_page_writing(verbs: Any) -> None:
    """Declares `kb new` and `kb review`."""
    new = add_command(verbs, "new", "writes a draft of a page", _new_page)
    new.add_argument("id", metavar="ID")
    new.add_argument("--shelf", required=True, metavar="SHELF")
    new.add_argument("--title", required=True, metavar="TEXT")
    new.add_argument("--by", default="", metavar="INITIALS", help="who writes it")
    review = add_command(verbs, "review", "what is due for review; with ids: notes a review", _review_pages)
    _add_review(review, "a page, or shelf:feet for all of a shelf")


def _add_review(parser: argparse.ArgumentParser, what: str) -> None:
    parser.add_argument("ids", nargs="*", metavar="ID", help=what)
    parser.add_argument("--by", default="", metavar="INITIALS", help="who reviewed it")
    parser.add_argument("--on", type=day, metavar="DATE", help="when; today if left out")
    parser.add_argument("--next", type=day, metavar="DATE", help="when again; a year later if left out")
    parser.add_argument("--until", type=day, metavar="DATE", help="list what is due by then")


# --- new ------------------------------------------------------------------------------------------
def _new_rule(options: argparse.Namespace) -> int:
    from toeroom.upkeep.beginning import new_rule
    from toeroom.upkeep.places import writable_book

    folder = writable_book(options.book)
    path, line = new_rule(
        folder, options.id, options.topic, today=date.today(), like=options.like, by=options.by
    )
    return _begun(path, line, "rules", options.json)


def _new_page(options: argparse.Namespace) -> int:
    from toeroom.upkeep.beginning import new_page
    from toeroom.upkeep.places import writable_book

    folder = writable_book(options.book)
    path, line = new_page(folder, options.id, options.shelf, options.title, today=date.today(), by=options.by)
    return _begun(path, line, "kb", options.json)


def _begun(path: Path, line: int, group: str, as_json: bool) -> int:
    if as_json:
        show_json({"file": str(path), "line": line})
    else:
        print(f"{path}, line {line}: a draft; fill in every … and run 'toeroom {group} check'")
    return DONE


# --- review ---------------------------------------------------------------------------------------
def _review_rules(options: argparse.Namespace) -> int:
    return _review(options, ("rule", "guarantee"))


def _review_pages(options: argparse.Namespace) -> int:
    return _review(options, ("page",))


def _review(options: argparse.Namespace, kinds: tuple[str, ...]) -> int:
    from toeroom.commands.reviews import show_due
    from toeroom.upkeep.places import writable_book
    from toeroom.upkeep.reviews import note_review

    if not options.ids:
        if options.by or options.on or options.next:
            raise BadInput(
                "nothing is named that was reviewed", mend="name ids, or leave --by, --on and --next out"
            )
        return show_due(options.book, kinds, options.until, as_json=options.json)
    if not options.by or options.until:
        raise BadInput("who reviewed it is not said", mend="write --by INITIALS; --until goes without ids")
    folder = writable_book(options.book)
    on = options.on or date.today()
    done = note_review(folder, options.ids, kinds, options.by, on, options.next)
    if options.json:
        show_json({"reviewed": [review.id for review in done], "by": options.by, "on": on.isoformat()})
    else:
        for review in done:
            print(f"{review.file}: {review.kind} '{review.id}' reviewed {on} by {options.by}")
    return DONE


# --- gaps -----------------------------------------------------------------------------------------
def _gaps(options: argparse.Namespace) -> int:
    from toeroom.upkeep.gaps import gaps

    found = gaps(open_book(options.book), options.paths)
    if options.json:
        show_json(_gaps_json(found))
    else:
        print("\n".join(gaps_in_words(found)))
    return DOES_NOT_HOLD if found.asked or found.findings else DONE


def gaps_in_words(found: Gaps) -> list[str]:
    """The gaps, a line each, and what was looked at."""
    lines = []
    for gap in found.asked:
        said = f"hardly about it: {gap.page}, {gap.share:.0%} of its words" if gap.page else "no page"
        lines.append(f"{said}: {printable(gap.question)}")
    for one in found.findings:
        lines.append(f"{one.id}: {one.what}, in {_some(one.cases)}")
    looked = []
    if found.questions:
        none = sum(not gap.page for gap in found.asked)
        weak = len(found.asked) - none
        looked.append(
            f"{found.questions} questions: {none} found no page, {weak} hardly one, "
            f"{found.refused} are not for a fitter"
        )
    if found.cases:
        looked.append(f"{found.cases} cases: {len(found.findings)} findings without a consequence")
    return [*lines, *looked]


def _some(ids: Sequence[str]) -> str:
    more = f" and {len(ids) - MOST_CASES} more" if len(ids) > MOST_CASES else ""
    return ", ".join(ids[:MOST_CASES]) + more


def _gaps_json(found: Gaps) -> dict[str, Any]:
    return {
        "questions": found.questions,
        "refused": found.refused,
        "cases": found.cases,
        "asked": [
            {"question": g.question, "page": g.page or None, "share": round(g.share, 3)} for g in found.asked
        ],
        "findings": [{"id": g.id, "what": g.what, "cases": list(g.cases)} for g in found.findings],
    }


# --- table ----------------------------------------------------------------------------------------
def _table(options: argparse.Namespace) -> int:
    from toeroom.files import write_whole
    from toeroom.upkeep.decision_table import COLUMNS, as_csv, as_markdown, decision_table

    table = decision_table(open_book(options.book), options.topic)
    if options.json:
        show_json({"topic": table.topic, "columns": COLUMNS, "rows": table.rows})
        return DONE
    form = options.format or ("csv" if options.to and options.to.suffix == ".csv" else "md")
    text = as_csv(table) if form == "csv" else as_markdown(table)
    if options.to:
        write_whole(options.to, text)
        print(f"{len(table.rows)} rules written to {options.to}")
    else:
        print(text, end="")
    return DONE
