"""`toeroom feet`: both feet drawn, with numbers where the findings lie."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from toeroom.book import open_book
from toeroom.case import read_case
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.files import write_whole
from toeroom.foot_places import marked_feet
from toeroom.pictures.two_feet import feet_lines
from toeroom.pictures.two_feet_svg import two_feet_svg
from toeroom.wording import printable


def add(commands: Any) -> None:
    """Declares the command."""
    feet = add_command(commands, "feet", "both feet drawn, with what lies where, worst first", _feet)
    feet.add_argument("case", metavar="CASE.yaml")
    feet.add_argument("--svg", metavar="FILE.svg", help="draw it for print as well")


def _feet(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    case = read_case(options.case, book.vocabulary)
    plan, findings = book.planner.plan(case), book.planner.run(case).findings
    feet = marked_feet(case, findings, plan, book.places, book.vocabulary)
    if options.svg:
        write_whole(Path(options.svg), two_feet_svg(feet, printable(case.title) or case.id))
    if options.json:
        marks = [mark.as_json() for mark in feet.marks]
        show_json({"case": case.id, "feet": list(feet.sides), "marks": marks, "deferral": plan.deferral})
        return DONE
    print(printable(case.title) or case.id)
    print("\n".join(["", *feet_lines(feet), "", plan.deferral]))
    return DONE
