"""`toeroom fit-check`: walks through the fit check at hand-over and writes it into the case file."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import date
from typing import Any

from toeroom.book import Book, open_book
from toeroom.case import Case, day_from, read_case
from toeroom.commands.common import DOES_NOT_HOLD, DONE, add_command, show_json
from toeroom.fit_check.block import TEXTS, answer
from toeroom.fit_check.judging import Judged, judge
from toeroom.fit_check.points import SKIN, FitCheck, Point, Value, asked_of
from toeroom.fit_check.report import judgement_json, judgement_lines
from toeroom.fit_check.writing import At, write_answer
from toeroom.vocabulary import PERSON, SIDES

SHORT = {"y": "yes", "n": "no", "u": "unknown"}
INTRO = """\
Shoes and inserts on both feet, the socks of every day, standing on both feet unless it says else.
First both feet bare: a wound, blister, heat or swelling that is new goes into the case and stops this.
Answer yes, no, a number, or unknown; Enter leaves a point open, ? says how to look, q stops.
Every answer is in the file as soon as it is given."""
BROKEN = "STOP  broken skin: a clinician sees this foot, no pair is handed over. Put it into the case."


def add(commands: Any) -> None:
    """Declares the command."""
    check = add_command(commands, "fit-check", "the fit check at hand-over, written into the case", _run)
    check.add_argument("case", metavar="CASE.yaml")
    check.add_argument("--show", action="store_true", help="show what was found, ask nothing")
    check.add_argument("--again", action="store_true", help="ask also what was answered")


class _Enough(Exception):
    """The person stops here."""


def _run(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    case = read_case(options.case, book.vocabulary)
    stopped = _stopped(book, case)
    for side in stopped:
        print(
            f"STOP  the {side} foot is not fitted, and no pair is handed over (toeroom plan {options.case})"
        )
    if not (options.show or options.json or stopped):
        _walk(options, book, case)
        case = read_case(options.case, book.vocabulary)
    judgement = judge(case)
    if options.json:
        show_json(judgement_json(case, judgement, book.vocabulary.deferral))
    else:
        print("\n".join(judgement_lines(case, judgement)))
        print(f"\n{book.vocabulary.deferral}")
    return DONE if judgement.done and not stopped else DOES_NOT_HOLD


def _stopped(book: Book, case: Case) -> list[str]:
    plan = book.planner.plan(case)
    return [side for side in SIDES if plan.state("no_fitting_today", side)]


def _walk(options: argparse.Namespace, book: Book, case: Case) -> None:
    """Asks point after point until all are answered, or the person or the input ends."""
    print(INTRO)
    try:
        for key in ("day", *TEXTS):
            _head(options, book, case.fit_check or FitCheck(), key)
        points = list(_open_points(case, again=options.again))
        for number, one in enumerate(points, 1):
            value = _ask(one, f"{number}/{len(points)} ")
            if value is not None:
                write_answer(options.case, book.vocabulary, (one.side, one.point.id), value)
            if one.point.id == SKIN and value == "no":
                print(BROKEN)
    except (_Enough, EOFError):
        print("stopped here; the same command goes on from this point")
    print()


def _open_points(case: Case, *, again: bool) -> Iterator[Judged]:
    """The points to ask, one foot after the other, the walk before the skin."""
    points = sorted(judge(case).judged, key=lambda one: one.point.id == SKIN or one.point.unit == "min")
    before = [one for one in points if one.point.unit != "min" and one.point.id != SKIN]
    walked = [one for one in points if one.side == PERSON]
    after = [one for one in points if one not in before and one not in walked]
    yield from (one for one in (*before, *walked, *after) if again or not one.found)


def _head(options: argparse.Namespace, book: Book, check: FitCheck, key: str) -> None:
    known = {"day": check.day, "by": check.by, "socks": check.socks}[key]
    if known and not options.again:
        return
    words = {
        "day": f"Day of the check (Enter: {date.today()})",
        "by": "Initials of who checks",
        "socks": "Socks worn",
    }
    at: At = (key,)
    while True:
        text = _typed(f"{words[key]}: ")
        if key != "day":
            if text:
                write_answer(options.case, book.vocabulary, at, " ".join(text.split())[: TEXTS[key]])
            return
        try:
            day = day_from(text) if text else date.today()
        except ValueError as error:
            print(f"  {error}")
            continue
        write_answer(options.case, book.vocabulary, at, day)
        return


def _ask(one: Judged, place: str) -> Value | None:
    """The answer to a point; None where it is left open. `place`: how far the check has come."""
    known = f" [{one.found}]" if one.found else ""
    while True:
        text = _typed(f"{place}{asked_of(one.point, one.side)} ({_wanted(one.point)}){known} ")
        if not text:
            return None
        if text == "?":
            print(f"  {one.point.look}")
            continue
        try:
            return answer(one.point, SHORT.get(text.lower(), text))
        except ValueError as error:
            print(f"  {error}")


def _wanted(point: Point) -> str:
    return f"{point.unit}, or unknown" if point.unit else "yes, no, unknown"


def _typed(prompt: str) -> str:
    text = input(prompt).strip()
    if text.lower() in ("q", "quit"):
        raise _Enough
    return text
