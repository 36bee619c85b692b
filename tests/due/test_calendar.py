"""The calendar file, read back by the library that wrote it and by another."""

from __future__ import annotations

import builtins
import re
import sys
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from toeroom.case import Case
from toeroom.due import Due, Opened, due_entries
from toeroom.due.calendar import calendar_text
from toeroom.errors import BadInput

ON = date(2026, 11, 25)
STAMP = datetime(2026, 11, 25, tzinfo=UTC)
CASE = Case(
    "demo-01",
    ON,
    title="Mrs X, numb feet; wound",
    dates={"foot_exam": date(2026, 9, 1), "inserts_changed": date(2026, 8, 1), "delivered": date(2026, 8, 1)},
)
DUE = list(due_entries([Opened(CASE, "3", ("left",))], ON))


def text(entries: list[Due] = DUE, titles: dict[str, str] | None = None, stamp: datetime = STAMP) -> str:
    return calendar_text(entries, on=ON, stamp=stamp, titles=titles)


def test_two_parsers_read_the_same_whole_days() -> None:
    written = text()
    first = list(Calendar.from_ical(written).walk("VEVENT"))
    second = vobject.readOne(written).vevent_list
    one = {str(e["uid"]): (e["dtstart"].dt, e["dtend"].dt, str(e["summary"])) for e in first}
    other = {e.uid.value: (e.dtstart.value, e.dtend.value, e.summary.value) for e in second}
    assert one == other
    assert len(one) == len(DUE)
    assert all(end - start == timedelta(days=1) and type(start) is date for start, end, _ in one.values())
    assert {tuple(e["categories"].cats) for e in first} == {("stop",), ("inserts",), ("review",)}


def test_rfc_5545_lines() -> None:
    """RFC 5545 §3.1: lines end in CR LF and hold at most 75 octets; §3.6.1: UID and DTSTAMP, UTC."""
    lines = text(titles={"demo-01": "é" * 90}).split("\r\n")
    assert lines[-1] == ""
    assert all(len(line.encode()) <= 75 and "\n" not in line for line in lines)
    assert sum(line == "DTSTAMP:20261125T000000Z" for line in lines) == len(DUE)


def test_nothing_about_the_person_unless_asked() -> None:
    plain, told = text(), text(titles={"demo-01": CASE.title})
    unfolded = told.replace("\r\n ", "")
    for words in ("Mrs X", "category 3", "numb"):
        assert words not in plain.replace("\r\n ", "")
    assert "Mrs X" in unfolded
    assert "category 3" in unfolded


def test_what_is_past_stands_on_the_day_asked() -> None:
    late = list(due_entries([Opened(Case("a", ON, dates={"inserts_changed": date(2025, 1, 1)}))], ON))
    event = next(iter(Calendar.from_ical(text(late)).walk("VEVENT")))
    assert event["dtstart"].dt == ON
    assert "overdue since 2025-05-01" in event["description"]


def test_a_later_file_moves_the_event_and_does_not_double_it() -> None:
    def uids(changed: date) -> list[str]:
        case = Case("demo-01", ON, dates={"inserts_changed": changed})
        return re.findall(r"UID:(\S+)", text(list(due_entries([Opened(case)], ON))))

    assert uids(date(2026, 8, 1)) == uids(date(2026, 12, 1)) != []
    assert len({*re.findall(r"UID:(\S+)", text())}) == len(DUE)


hostile = st.text(
    alphabet=st.one_of(st.sampled_from('\r\n;:,\\"\x00\x1b'), st.characters(codec="utf-8")), max_size=60
)


@settings(max_examples=80, deadline=None)
@given(hostile)
def test_a_title_cannot_add_lines_or_components(title: str) -> None:
    written = text(titles={"demo-01": f"x\r\nEND:VEVENT\r\n{title}"})
    assert len(Calendar.from_ical(written).walk("VEVENT")) == len(DUE)
    assert written.count("\r\nEND:VEVENT\r\n") == len(DUE)
    assert "\x1b" not in written


def test_the_missing_extra_is_said_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any) -> Any:
        if name.partition(".")[0] == "icalendar":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.delitem(sys.modules, "toeroom.due.calendar")
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(BadInput, match=r"pip install 'toeroom\[exchange\]'"):
        import toeroom.due.calendar  # noqa: F401
