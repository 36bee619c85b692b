"""What falls due as iCalendar (RFC 5545), for whatever calendar a shop keeps.

All-day events, not to-dos: many calendar programs drop a VTODO on import, and a review nobody sees is a
review missed. They leave the day free (TRANSP), are CLASS:PRIVATE, and say no more than the case code and
what is to be done unless titles are asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from uuid import UUID, uuid5

from toeroom.due.entries import Due
from toeroom.errors import BadInput, one_line
from toeroom.vocabulary import PERSON

try:
    from icalendar import Calendar, Event
except ImportError:
    raise BadInput(
        "calendars need a library that is not installed", mend="pip install 'toeroom[exchange]'"
    ) from None

_UIDS = UUID("b8c5e3f4-6d2a-5f0b-9a57-3c1d8e4f7a60")
"""The name space of UIDs: the same thing due for the same case has the same UID, whatever its day, so that
importing a later file moves the event and does not double it."""


def calendar_text(
    entries: Iterable[Due], *, on: date, stamp: datetime, titles: Mapping[str, str] | None = None
) -> str:
    """The entries as the text of an .ics file, lines ending in CR LF.

    on: what is open or overdue by this day stands on it, since nobody looks at a day that is past.
    stamp: DTSTAMP, an aware UTC time. titles: of the cases by code; given, an event names the title and why
    it falls due, which may tell about a person.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//toeroom//what falls due//EN")
    calendar.add("version", "2.0")
    for due in entries:
        calendar.add_component(_event(due, on, stamp, titles))
    text: str = calendar.to_ical().decode("utf-8")
    return text


def _event(due: Due, on: date, stamp: datetime, titles: Mapping[str, str] | None) -> Event:
    day = max(due.first, on)
    event = Event()
    event.add("uid", str(uuid5(_UIDS, f"{due.case}|{due.id}|{due.side}")))
    event.add("dtstamp", stamp)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    side = "" if due.side == PERSON else f", {due.side}"
    title = one_line(titles.get(due.case, "")) if titles is not None else ""
    event.add("summary", f"{due.case}{f' ({title})' if title else ''}: {due.what}{side}")
    said = [_by_when(due), due.why if titles is not None else ""]
    if due.stopped:
        said.append("refer first: the plan of this case stops the fitting")
    said += [f"handbook page {due.page}", f"source: {due.source}"]
    event.add("description", "\n".join(line for line in said if line))
    event.add("categories", [due.category])
    event.add("class", "PRIVATE")
    event.add("transp", "TRANSPARENT")
    return event


def _by_when(due: Due) -> str:
    if due.standing == "overdue":
        return f"overdue since {due.last}"
    return f"until {due.last}" if due.last != due.first else ""
