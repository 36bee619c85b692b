"""`toeroom lift` and `rocker`: what the repairer builds."""

from __future__ import annotations

import argparse
from fractions import Fraction
from pathlib import Path
from typing import Any

from toeroom.book import Book, open_book
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.lift_text import OtherSide, lift_json, lift_lines, lift_report, other_side_json, other_side_lines
from toeroom.measures import lift_profiles, rockers
from toeroom.measures.entry import millimetres
from toeroom.pictures.lift_profile import lift_profile_svg
from toeroom.vocabulary import SIDES
from toeroom.wording import number_in_words

OTHER = {"left": "right", "right": "left"}
TALLEST_SOLE = 150
"""Millimetres under the heel up to which a walker or shoe is taken."""


def add(commands: Any) -> None:
    """Declares the commands."""
    lift = add_command(commands, "lift", "heights of a lift at heel, ball and toe, with a drawing", _lift)
    lift.add_argument("difference", metavar="14mm", nargs="?", default="")
    lift.add_argument("side", choices=SIDES, nargs="?", help="the shorter leg")
    lift.add_argument("--functional", action="store_true", help="the difference is not in the bones")
    lift.add_argument("--numb", action="store_true", help="feeling is lost on that foot")
    lift.add_argument("--shallow", action="store_true", help="the shoe has no depth to spare")
    lift.add_argument("--walker", default="", metavar="45mm", help="height under the heel of a walker")
    lift.add_argument("--walker-on", choices=SIDES, help="the foot in the walker")
    lift.add_argument("--shoe", default="", metavar="25mm", help="height under the heel of the other shoe")
    lift.add_argument("--picture", metavar="FILE.svg", help="draw it as well")
    rocker = add_command(commands, "rocker", "where the apex of a rocker goes", _rocker)
    rocker.add_argument("length", metavar="290mm", help="length of the shoe's sole")
    rocker.add_argument("target", choices=rockers.TARGETS)
    rocker.add_argument("--angle", type=int, choices=rockers.ANGLES, default=20)
    text = "the apex asked for, in % of the length"
    rocker.add_argument("--percent", type=_percent, metavar="57", help=text)
    text = "where the big-toe joint lies, from the back of the sole"
    rocker.add_argument("--ball-at", default="", metavar="200mm", help=text)


def _percent(text: str) -> Fraction:
    value = Fraction(text)
    if not 0 < value < 100:
        raise argparse.ArgumentTypeError("a per cent lies between 0 and 100")
    return value


# --- lift ----------------------------------------------------------------------------------------
def _lift(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    if not options.difference and not options.walker:
        raise BadInput("no difference is stated", mend="toeroom lift 14mm left")
    difference = _difference(options, book)
    other = _other_side(options, difference)
    deferral = book.vocabulary.deferral
    if not difference:
        assert other is not None
        found, lines = {"other_side": other_side_json(other)}, other_side_lines(other)
    else:
        report = lift_report(
            difference,
            options.side,
            other=other,
            functional=options.functional,
            numb=options.numb,
            shallow=options.shallow,
        )
        found, lines = lift_json(report), lift_lines(report)
        if options.picture:
            profile, where = report.placement.profile, report.placement.where
            if where == "none":
                raise BadInput(
                    "without a lift there is nothing to draw", file="--picture", mend="leave it out"
                )
            write_whole(Path(options.picture), lift_profile_svg(profile, side=options.side, where=where))
    if options.json:
        show_json({**found, "deferral": deferral})
    else:
        print("\n".join([*lines, deferral]))
    return DONE


def _difference(options: argparse.Namespace, book: Book) -> Fraction:
    """The leg difference in mm; nothing where only a walker is asked about."""
    if not options.difference:
        if options.picture:
            raise BadInput("without a lift there is nothing to draw", file="--picture", mend="leave it out")
        return Fraction(0)
    difference = millimetres(options.difference, "the difference")
    measure = book.vocabulary.measures["leg_difference_mm"]
    if difference > Fraction(measure.high):
        raise BadInput("the difference is out of range", mend=f"more than 0 and at most {measure.high} mm")
    if options.side is None:
        raise BadInput("the shorter leg is not named", mend="toeroom lift 14mm left")
    return difference


def _other_side(options: argparse.Namespace, difference: Fraction) -> OtherSide | None:
    stated = (options.walker, options.walker_on, options.shoe)
    if not any(stated):
        return None
    if not all(stated):
        raise BadInput(
            "of a walker three things are needed", mend="--walker 45mm --walker-on left --shoe 25mm"
        )
    walker, shoe = millimetres(options.walker, "the walker"), millimetres(options.shoe, "the shoe")
    if max(walker, shoe) > TALLEST_SOLE:
        raise BadInput("a height under the heel is out of range", mend=f"at most {TALLEST_SOLE} mm")
    short = options.side == options.walker_on
    level = lift_profiles.other_side_raise(walker, shoe, difference, on_short_leg=short)
    return OtherSide(OTHER[options.walker_on], level)


# --- rocker --------------------------------------------------------------------------------------
def _rocker(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    length = millimetres(options.length, "the length of the sole")
    if not 150 <= length <= 400:
        raise BadInput("the length of the sole is out of range", mend="150 to 400 mm")
    head = millimetres(options.ball_at, "the joint") if options.ball_at else None
    if head is not None and head >= length:
        raise BadInput("the joint does not lie on the sole", mend="measure both from the back of the sole")
    advice = rockers.rocker_advice(length, options.target, options.angle, options.percent, head)
    if options.json:
        show_json({**_rocker_json(advice), "deferral": book.vocabulary.deferral})
    else:
        print("\n".join([*_rocker_lines(advice), book.vocabulary.deferral]))
    return DONE


def _rocker_json(advice: rockers.RockerAdvice) -> dict[str, Any]:
    return {
        "target": advice.target,
        "shoe_length_mm": float(advice.shoe_length),
        "angle": advice.angle,
        "percent": float(advice.percent),
        "apex_mm": round(float(advice.apex), 3),
        "pressure_fell_percent": advice.fell,
        "published": [
            {"percent": [p.least, p.most], "said": p.said, "source": p.source} for p in advice.published
        ],
        "warnings": advice.warnings,
    }


def _rocker_lines(advice: rockers.RockerAdvice) -> list[str]:
    share, apex = number_in_words(float(advice.percent)), number_in_words(float(advice.apex))
    target = rockers.TARGET_WORDS[advice.target]
    lines = [f"{target}, {advice.angle}°: apex {apex} mm from the heel ({share} %)"]
    for place in advice.published:
        span = f"{place.least} %" if place.least == place.most else f"{place.least} to {place.most} %"
        where = number_in_words(round(float(place.mm_most), 1))
        lines.append(f"  {span:>11}  to {where} mm  {place.said} [{place.source}]")
    if advice.fell:
        lines.append(f"pressure there fell by {advice.fell} % at {advice.angle}° [{rockers.PREECE}]")
    lines += [f"! {warning}" for warning in advice.warnings]
    return [*lines, "The sources do not agree and a percentage alone is no order: the prescriber decides."]
