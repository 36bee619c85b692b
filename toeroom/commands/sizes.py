"""`toeroom size`, `lift` and `rocker`: the arithmetic of a fitting."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path
from typing import Any

from toeroom.book import Book, open_book
from toeroom.case import Case, read_case
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.measured_feet import Feet, feet_from_case, feet_from_words
from toeroom.measures import lift_profiles, rockers
from toeroom.measures.entry import millimetres
from toeroom.pictures.lift_profile import lift_profile_lines, lift_profile_svg
from toeroom.pictures.size_rule import size_rule_lines, size_rule_svg
from toeroom.size_text import size_lines
from toeroom.sizing import size_report
from toeroom.stock_chart import read_chart
from toeroom.vocabulary import SIDES
from toeroom.wording import number_in_words


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
    size.add_argument("--chart", metavar="FILE.csv", help="a stock chart: picks the shoe")
    size.add_argument("--inches", action="store_true", help="inches beside millimetres")
    lift = add_command(commands, "lift", "heights of a lift at heel, ball and toe, with a drawing", _lift)
    lift.add_argument("difference", metavar="14mm")
    lift.add_argument("side", choices=SIDES, help="the shorter leg")
    rocker = add_command(commands, "rocker", "where the apex of a rocker goes", _rocker)
    rocker.add_argument("length", metavar="290mm", help="length of the shoe's sole")
    rocker.add_argument("target", choices=rockers.TARGETS)
    rocker.add_argument("--angle", type=int, choices=rockers.ANGLES, default=20)
    rocker.add_argument(
        "--percent", type=_percent, metavar="57", help="the apex asked for, in % of the length"
    )
    for parser in (size, lift):
        parser.add_argument("--picture", metavar="FILE.svg", help="draw it as well")


def _percent(text: str) -> Fraction:
    value = Fraction(text)
    if not 0 < value < 100:
        raise argparse.ArgumentTypeError("a per cent lies between 0 and 100")
    return value


# --- size ----------------------------------------------------------------------------------------
def _size(options: argparse.Namespace) -> int:
    book = open_book(options.book)
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


def _feet(options: argparse.Namespace, book: Book, case: Case | None) -> Feet:
    stated = {side: getattr(options, side) for side in SIDES if getattr(options, side)}
    if (case is None) == (not stated):
        raise BadInput(
            "name a case, or the measures of a foot", mend="toeroom size --left 262mm --right 258mm"
        )
    if case is None:
        last, system, room = options.last, options.system, options.clearance
        return feet_from_words(stated, book.vocabulary, last=last, system=system, clearance=room)
    room_above = millimetres(options.clearance, "the clearance") if options.clearance else Fraction(0)
    return feet_from_case(case, last=options.last, clearance=room_above)


def _stopped(book: Book, case: Case | None) -> list[str]:
    if case is None:
        return []
    plan = book.planner.plan(case)
    return [side for side in SIDES if plan.state("no_fitting_today", side)]


# --- lift and rocker -----------------------------------------------------------------------------
def _lift(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    difference = millimetres(options.difference, "the difference")
    measure = book.vocabulary.measures["leg_difference_mm"]
    if not 0 < difference <= Fraction(measure.high):
        raise BadInput("the difference is out of range", mend=f"more than 0 and at most {measure.high} mm")
    placement, staging = lift_profiles.place(difference), lift_profiles.staging(difference)
    profile = placement.profile
    if options.picture:
        drawn = lift_profile_svg(profile, side=options.side, where=placement.where)
        write_whole(Path(options.picture), drawn)
    if options.json:
        heights = {f"{name}_mm": float(value) for name, value in asdict(profile).items()}
        show_json(
            {
                "side": options.side,
                "where": placement.where,
                **heights,
                "first_step_mm": [float(v) for v in (staging.at_half, staging.at_60, staging.at_70)],
                "cautions": placement.cautions,
                "source": placement.source,
                "deferral": book.vocabulary.deferral,
            }
        )
        return DONE
    print("\n".join(lift_profile_lines(profile, side=options.side, where=placement.where)))
    first = [number_in_words(float(v)) for v in (staging.at_half, staging.at_60, staging.at_70)]
    print(f"by steps: begin at {first[0]} mm (half) or {first[1]} to {first[2]} mm; the prescriber decides")
    for caution in placement.cautions:
        print(f"! {caution}")
    print(f"source: {placement.source}\n{book.vocabulary.deferral}")
    return DONE


def _rocker(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    length = millimetres(options.length, "the length of the sole")
    if not 150 <= length <= 400:
        raise BadInput("the length of the sole is out of range", mend="150 to 400 mm")
    advice = rockers.rocker_advice(length, options.target, options.angle, options.percent)
    if options.json:
        show_json(
            {
                "target": advice.target,
                "shoe_length_mm": float(advice.shoe_length),
                "angle": advice.angle,
                "percent": float(advice.percent),
                "apex_mm": round(float(advice.apex), 3),
                "published": [
                    {"percent": [p.least, p.most], "said": p.said, "source": p.source}
                    for p in advice.published
                ],
                "warnings": advice.warnings,
                "deferral": book.vocabulary.deferral,
            }
        )
        return DONE
    share, apex = number_in_words(float(advice.percent)), number_in_words(float(advice.apex))
    print(f"{rockers.TARGET_WORDS[advice.target]}, {advice.angle}°: apex {apex} mm from the heel ({share} %)")
    for place in advice.published:
        span = f"{place.least} %" if place.least == place.most else f"{place.least} to {place.most} %"
        where = number_in_words(round(float(place.mm_most), 1))
        print(f"  {span:>11}  to {where} mm  {place.said} [{place.source}]")
    for warning in advice.warnings:
        print(f"! {warning}")
    print("The sources do not agree and a percentage alone is no order: the prescriber decides.")
    print(book.vocabulary.deferral)
    return DONE
