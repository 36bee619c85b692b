"""`toeroom due`: what falls due, for one case or for a whole folder, as text, JSON or a calendar."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any

from toeroom.book import Book, open_book
from toeroom.case import Case, day_from, read_case
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.due import Opened, due_entries, due_lines, due_report, in_order, opened, within
from toeroom.due.gathering import files_inside
from toeroom.due.weeks import by_week, week_lines
from toeroom.english_scheme import english_scheme
from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.pictures.paper_timeline import paper_timeline_svg

MOST_WEEKS = 520


def add(commands: Any) -> None:
    """Declares the command."""
    due = add_command(commands, "due", "what falls due, and whether papers are in time", _due)
    due.add_argument("cases", nargs="+", metavar="CASE.yaml|DIR", help="case files, or folders of them")
    due.add_argument("--by-week", action="store_true", help="all cases together, by calendar week")
    due.add_argument("--weeks", type=_weeks, metavar="N", help="this week and the next N - 1; by week")
    due.add_argument("--on", metavar="DATE", help="the day asked about; today, or that of a case by itself")
    due.add_argument("--ics", metavar="FILE.ics", help="a calendar file as well (extra 'exchange')")
    due.add_argument("--with-titles", action="store_true", help="titles and reasons in the calendar file")
    due.add_argument("--english", action="store_true", help="risk and times by the English scheme as well")
    due.add_argument("--picture", metavar="FILE.svg", help="draw the papers of one case as well")


def _weeks(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:4]) <= MOST_WEEKS:
        raise argparse.ArgumentTypeError(f"a number of weeks lies between 1 and {MOST_WEEKS}")
    return int(text[:4])


def _due(options: argparse.Namespace) -> int:
    book = open_book(options.book)
    on = _day(options.on) if options.on else None
    cases = [read_case(path, book.vocabulary) for path in _files(options.cases)]
    if options.with_titles and not options.ics:
        raise BadInput("titles are for a calendar file", file="--with-titles", mend="add --ics FILE.ics")
    if options.picture:
        _draw(cases, options.picture)
    found = [opened(case, book.planner.plan(case)) for case in cases]
    if options.ics:
        _write_calendar(found, on, options)
    if options.json:
        for one in found:
            scheme = english_scheme(one.case) if options.english else None
            english = {} if scheme is None else {"english_scheme": scheme.as_json()}
            show_json({**due_report(one, on).as_json(), **english, "deferral": book.vocabulary.deferral})
    elif options.by_week or options.weeks:
        _show_weeks(found, on or date.today(), options.weeks, book)
    else:
        _show_cases(found, on, book, english=options.english)
    return DONE


def _day(text: str) -> date:
    try:
        return day_from(text)
    except ValueError as error:
        what, _, mend = str(error).partition("; ")
        raise BadInput(what, file="--on", mend=mend) from None


def _files(named: Sequence[str]) -> list[Path]:
    """The case files named, and those of folders named, by name."""
    found: list[Path] = []
    for path in map(Path, named):
        inside = files_inside(path)  # None is read as a file, which says what is wrong.
        if inside is not None and not inside:
            raise BadInput("there is no case file here", file=str(path), mend="a case file ends in .yaml")
        found += [path] if inside is None else inside
    return found


def _draw(cases: Sequence[Case], picture: str) -> None:
    if len(cases) > 1:
        raise BadInput("a picture shows one case", file="--picture", mend="name one case")
    report = due_report(Opened(cases[0]))
    if report.papers is None:
        raise BadInput("this case has no papers to draw", file=picture, mend="leave --picture out")
    write_whole(Path(picture), paper_timeline_svg(report.papers))


def _write_calendar(found: Sequence[Opened], on: date | None, options: argparse.Namespace) -> None:
    # Only now: it needs the library of the extra.
    from toeroom.due.calendar import calendar_text

    titles: dict[str, str] = {}
    for one in found:
        if one.case.id in titles:
            raise BadInput(
                f"two files hold the case {one.case.id}", file=options.ics, mend="name one of them"
            )
        titles[one.case.id] = one.case.title
    day = on or date.today()
    entries = in_order(due_entries(found, day))
    if options.weeks:
        entries = list(within(entries, day, options.weeks))
    # The day of the latest case, so that the same cases give the same bytes.
    stamp = datetime.combine(max(one.case.as_of for one in found), time(), UTC)
    text = calendar_text(entries, on=day, stamp=stamp, titles=titles if options.with_titles else None)
    write_whole(Path(options.ics), text)


def _show_weeks(found: Sequence[Opened], on: date, weeks: int | None, book: Book) -> None:
    entries = list(due_entries(found, on))
    shown = list(within(entries, on, weeks)) if weeks else entries
    print(f"{len(found)} cases · {on}\n")
    print("\n".join([*week_lines(by_week(shown, on)), "", book.vocabulary.deferral]))


def _show_cases(found: Sequence[Opened], on: date | None, book: Book, *, english: bool) -> None:
    for number, one in enumerate(found):
        print(("\n" if number else "") + f"case {one.case.id} · {on or one.case.as_of}")
        scheme = ["", *english_scheme(one.case).lines()] if english else []
        print("\n".join([*due_lines(due_report(one, on)), *scheme, "", book.vocabulary.deferral]))
