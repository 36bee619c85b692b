"""`toeroom benefit`: the figures the US benefit asks of shoe and insert, and the units of a year."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from typing import Any

from toeroom.bedside.entry import amount
from toeroom.benefit import (
    HEAT_F,
    Verdict,
    base_from_words,
    custom,
    depth_shoe,
    prefabricated,
    units_from_words,
    year,
)
from toeroom.book import open_book
from toeroom.commands.common import DOES_NOT_HOLD, DONE, add_command, show_json
from toeroom.errors import BadInput
from toeroom.measures.entry import millimetres

DATED = "Policy as read in November 2026; the current text counts, and the certifying papers beside it."


def add(commands: Any) -> None:
    """Declares the command."""
    text = "whether shoe, insert and units meet the figures of the US benefit; exit code 1 where not"
    benefit = add_command(commands, "benefit", text, _benefit)
    benefit.add_argument("--filler", default="", metavar="4.8mm", help="thickness of the removable filler")
    benefit.add_argument("--widths", default="", metavar="3", help="widths the shoe comes in")
    benefit.add_argument("--prefabricated", default="", metavar="6.35mm@35", help="base layer @ Shore A")
    benefit.add_argument("--heat", default="", metavar="230F", help="heat it is formed at")
    benefit.add_argument("--custom", default="", metavar="4.8mm@35", help="base layer @ Shore A")
    benefit.add_argument(
        "--finished-heel", default="", metavar="1.6mm", help="base left in the middle of the heel"
    )
    text = "units of the year, claimed and asked for: A5500=2 A5512=4"
    benefit.add_argument("--units", nargs="+", default=[], metavar="CODE=N", help=text)


def _benefit(options: argparse.Namespace) -> int:
    verdicts = list(_verdicts(options))
    if not verdicts:
        raise BadInput("nothing is stated to judge", mend="toeroom benefit --filler 4.8mm --widths 3")
    deferral = open_book(options.book).vocabulary.deferral
    if options.json:
        found = [verdict.as_json() for verdict in verdicts]
        show_json({"verdicts": found, "dated": DATED, "deferral": deferral})
    else:
        print("\n".join([*(verdict.line for verdict in verdicts), DATED, deferral]))
    return DONE if all(verdict.holds for verdict in verdicts) else DOES_NOT_HOLD


def _verdicts(options: argparse.Namespace) -> Iterable[Verdict]:
    if bool(options.filler) != bool(options.widths):
        raise BadInput("a depth shoe is judged by filler and widths", mend="--filler 4.8mm --widths 3")
    if options.filler:
        widths = int(amount(options.widths, "widths", "the number of widths", 1, 30))
        yield depth_shoe(millimetres(options.filler, "the filler"), widths)
    if options.heat and not options.prefabricated:
        raise BadInput("heat belongs to a prefabricated insert", mend="name --prefabricated as well")
    if options.prefabricated:
        heat = int(amount(options.heat, "F", "the heat", *HEAT_F)) if options.heat else None
        yield prefabricated(base_from_words(options.prefabricated), heat)
    if options.finished_heel and not options.custom:
        raise BadInput("the finished heel belongs to a custom insert", mend="name --custom as well")
    if options.custom:
        heel = millimetres(options.finished_heel, "the finished heel") if options.finished_heel else None
        yield custom(base_from_words(options.custom), heel)
    if options.units:
        yield year(units_from_words(options.units))
