"""`toeroom reviews`: all that is due to be looked at again: rules, guarantees and pages."""

from __future__ import annotations

import argparse
import csv
import sys
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from toeroom.book import shipped_folder
from toeroom.commands.common import DOES_NOT_HOLD, DONE, add_command, day, show_json
from toeroom.errors import BadInput
from toeroom.wording import printable


def add(commands: Any) -> None:
    """Declares the command."""
    reviews = add_command(commands, "reviews", "rules, guarantees and pages due for review", _reviews)
    reviews.add_argument("--until", type=day, metavar="DATE", help="what is due by then; today if left out")
    reviews.add_argument("--csv", action="store_true", help="comma-separated values, with a heading")


def _reviews(options: argparse.Namespace) -> int:
    from toeroom.upkeep.reviews import KINDS

    return show_due(options.book, KINDS, options.until, as_json=options.json, as_csv=options.csv)


def show_due(
    book: Path | None, kinds: tuple[str, ...], until: date | None, *, as_json: bool, as_csv: bool = False
) -> int:
    """Shows what of these kinds is due; returns the exit code: 1 where something is."""
    from toeroom.upkeep.reviews import all_reviews, due

    if as_json and as_csv:
        raise BadInput("--json and --csv do not go together", mend="use one of the two")
    reviews = [review for review in all_reviews(book or shipped_folder()) if review.kind in kinds]
    found = due(reviews, until or date.today())
    if as_csv:
        writer = csv.writer(sys.stdout, lineterminator="\n")
        writer.writerow(("kind", "id", "title", "place", "reviewed", "by", "next", "file", "line"))
        writer.writerows(asdict(review).values() for review in found)
    for review in found if not as_csv else ():
        if as_json:
            show_json(asdict(review))
        else:
            looked = (
                f"reviewed {review.reviewed} by {review.by or 'nobody named'}" if review.reviewed else "never"
            )
            print(
                f"{review.next or 'now':10}  {review.kind:9} {review.id} ({review.place}), {looked}: "
                f"{printable(review.title)}"
            )
    if not (as_json or as_csv):
        later = [review for review in reviews if review not in found]
        following = f"; the next is due on {later[0].next}" if later else ""
        print(f"{len(found)} of {len(reviews)} are due{following}")
    return DOES_NOT_HOLD if found else DONE
