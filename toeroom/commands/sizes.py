"""`toeroom size`: the first shoe to try."""

from __future__ import annotations

import argparse
from fractions import Fraction
from pathlib import Path
from typing import Any

from toeroom.book import Book, open_book
from toeroom.case import Case, read_case
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.measured_feet import Feet, feet_from_case, feet_from_words
from toeroom.measures.entry import millimetres
from toeroom.pictures.size_rule import size_rule_lines, size_rule_svg
from toeroom.size_questions import (
    change_json,
    change_lines,
    change_of_shoe,
    last_json,
    last_lines,
    sizes_of_last,
)
from toeroom.size_text import size_lines
from toeroom.sizing import size_report
from toeroom.stock_chart import read_chart
from toeroom.vocabulary import SIDES

LASTS = (150, 400)
"""Millimetres between which a last is taken."""


def add(commands: Any) -> None:
    """Declares the commands."""
    size = add_command(commands, "size", "sizes, widths and depth, from a case or from measurements", _size)
    size.add_argument("case", nargs="?", metavar="CASE.yaml")
    for side in SIDES:
        text = f"of the {side} foot: 262mm, 'ball width=104mm', 'toe height=1in' …"
        size.add_argument(f"--{side}", nargs="+", default=[], metavar="MEASURE", help=text)
    size.add_argument("--last", choices=["men", "women"], help="whose lasts")
    size.add_argument("--system", choices=["eu", "uk", "us_men", "us_women", "mondopoint"])
    size.add_argument("--clearance", default="", metavar="2mm", help="room above the toes")
    size.add_argument("--sitting", action="store_true", help="measured sitting")
    size.add_argument("--morning", action="store_true", help="measured in the morning")
    size.add_argument("--swollen", nargs="+", choices=SIDES, default=[], help="a foot that swells")
    size.add_argument("--chart", metavar="FILE.csv", help="a stock chart: picks the shoe")
    size.add_argument("--inches", action="store_true", help="inches beside millimetres")
    size.add_argument("--of-last", metavar="280mm", help="instead: the size of a last, and its foot")
    text = "instead: what another shoe changes, '9 D' '10 E' (with --system)"
    size.add_argument("--change", nargs=2, metavar="MARK", help=text)
    size.add_argument("--picture", metavar="FILE.svg", help="draw it as well")


# --- size ----------------------------------------------------------------------------------------
def _size(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    if options.of_last or options.change:
        return _question(options, book)
    case = read_case(options.case, book.vocabulary) if options.case else None
    feet = _feet(options, book, case)
    report = size_report(feet, read_chart(options.chart, book.vocabulary) if options.chart else None)
    if options.picture:
        write_whole(Path(options.picture), size_rule_svg(report))
    stopped = _stopped(book, case)
    if options.json:
        show_json({**report.as_json(), "stopped": stopped, "deferral": book.vocabulary.deferral})
        return DONE
    for side in stopped:
        print(f"STOP  the {side} foot is not fitted today: its sizes wait (toeroom plan {options.case})")
    print("\n".join([*size_lines(report, inches=options.inches), "", *size_rule_lines(report)]))
    print(f"\n{book.vocabulary.deferral}")
    return DONE


def _question(options: argparse.Namespace, book: Book) -> int:
    """The size of a last, or what another shoe changes: no foot is looked at."""
    if options.case or options.left or options.right or (options.of_last and options.change):
        raise BadInput("--of-last and --change stand alone", mend="ask one thing at a time")
    if options.change:
        start, to = options.change
        change = change_of_shoe(start, to, options.system or "us_men")
        found, lines = change_json(change), change_lines(change)
    else:
        last = millimetres(options.of_last, "the last")
        if not LASTS[0] <= last <= LASTS[1]:
            raise BadInput("the length of the last is out of range", mend=f"{LASTS[0]} to {LASTS[1]} mm")
        sizes = sizes_of_last(last, options.system)
        found, lines = last_json(last, sizes), last_lines(last, sizes)
    deferral = book.vocabulary.deferral
    if options.json:
        show_json({**found, "deferral": deferral})
    else:
        print("\n".join([*lines, deferral]))
    return DONE


def _feet(options: argparse.Namespace, book: Book, case: Case | None) -> Feet:
    stated = {side: getattr(options, side) for side in SIDES if getattr(options, side)}
    if (case is None) == (not stated):
        raise BadInput(
            "name a case, or the measures of a foot", mend="toeroom size --left 262mm --right 258mm"
        )
    if case is None:
        return feet_from_words(
            stated,
            book.vocabulary,
            last=options.last,
            system=options.system,
            clearance=options.clearance,
            sitting=options.sitting,
            morning=options.morning,
            swelling=tuple(options.swollen),
        )
    if options.sitting or options.morning or options.swollen or options.system:
        raise BadInput("a case states its own system and how it was measured", mend="write it in the case")
    room_above = millimetres(options.clearance, "the clearance") if options.clearance else Fraction(0)
    return feet_from_case(case, last=options.last, clearance=room_above)


def _stopped(book: Book, case: Case | None) -> list[str]:
    if case is None:
        return []
    plan = book.planner.plan(case)
    return [side for side in SIDES if plan.state("no_fitting_today", side)]
