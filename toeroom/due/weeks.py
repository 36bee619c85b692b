"""What falls due for many cases, by calendar week: stops, then what is overdue, then week by week."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from toeroom.due.entries import STOP, Due, in_order, monday_of
from toeroom.vocabulary import PERSON


@dataclass(frozen=True, slots=True)
class Group:
    """Entries of one heading. week: its ISO name such as 2026-W48, '' for stops and what is overdue."""

    title: str
    week: str
    entries: tuple[Due, ...]


def week_name(day: date) -> str:
    """The ISO 8601 calendar week of a day, as 2026-W48."""
    year, week, _ = day.isocalendar()
    return f"{year}-W{week:02}"


def by_week(entries: Iterable[Due], on: date) -> tuple[Group, ...]:
    """The entries in groups, in order. What is open on the day `on` stands in the week of `on`."""
    groups = groupby(in_order(entries), key=lambda due: _heading(due, on))
    return tuple(Group(title, week, tuple(found)) for (title, week), found in groups)


def _heading(due: Due, on: date) -> tuple[str, str]:
    if due.id == STOP:
        return "STOP: refer before anything else", ""
    if due.standing == "overdue":
        return "Overdue", ""
    day = max(due.first, on)
    monday = monday_of(day)
    name = week_name(day)
    return f"Week {name[6:]}, {monday} to {monday + timedelta(days=6)}", name


def week_lines(groups: Iterable[Group]) -> list[str]:
    """The groups in plain text: day, case, what and why."""
    groups = tuple(groups)
    entries = [due for group in groups for due in group.entries]
    wide = max((len(due.case) for due in entries), default=0)
    lines: list[str] = []
    for group in groups:
        lines += ["", group.title] if lines else [group.title]
        lines += [f"  {day_of(due)}  {due.case:{wide}}  {words_of(due)}" for due in group.entries]
    return lines or ["nothing falls due"]


def day_of(due: Due) -> date:
    """The day that counts: the last one of what is overdue, else the earliest."""
    return due.last if due.standing == "overdue" else due.first


def words_of(due: Due) -> str:
    """What is to be done, by when and why; whether to refer first."""
    flag = "refer first · " if due.stopped and due.id != STOP else ""
    side = "" if due.side == PERSON or due.id == STOP else f" ({due.side})"
    until = f", until {due.last}" if due.last != due.first and due.standing != "overdue" else ""
    why = f": {due.why}" if due.why else ""
    return f"{flag}{due.what}{side}{until}{why}"
