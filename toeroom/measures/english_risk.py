"""Risk by the English scheme (NICE NG19), and its times. It is not the international category: never mix.

The same words stand for other people there: callus counts, deformity alone is moderate.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date

from dateutil.rrule import DAILY, FR, MO, TH, TU, WE, rrule

LOW, MODERATE, HIGH, ACTIVE = "low", "moderate", "high", "active problem"
ORDER = (LOW, MODERATE, HIGH, ACTIVE)
SOURCE = "NICE NG19, as restated by NHS pages and training; moderate and active problem from memory"

FIRST_SEEN_WEEKS = {MODERATE: (6, 8), HIGH: (2, 4)}
"""Weeks within which the foot protection service sees someone first. Source: NHS pages quoting NG19."""
SEEN_AGAIN_MONTHS = {LOW: (12, 12), MODERATE: (3, 6), HIGH: (1, 2)}
"""Months between looks; one to two weeks at high risk with an immediate concern. Source: as above."""


@dataclass(frozen=True, slots=True)
class Findings:
    """What the scheme looks at, on either foot; None where it is not known.

    history: past ulcer, amputation or renal replacement. active: ulcer, infection, dead tissue, or a hot,
    red, swollen foot.
    """

    neuropathy: bool | None = None
    arterial: bool | None = None
    deformity: bool | None = None
    callus: bool | None = None
    history: bool | None = None
    active: bool | None = None

    @property
    def missing(self) -> tuple[str, ...]:
        """The names of what is not known."""
        return tuple(field.name for field in fields(self) if getattr(self, field.name) is None)


def category(found: Findings) -> tuple[str, str]:
    """The lowest and the highest category that what is known allows; alike where it decides."""
    return _category(found, open_as=False), _category(found, open_as=True)


def _category(found: Findings, *, open_as: bool) -> str:
    # More findings never lower a category, so the two ends come of taking all open ones one way.
    def holds(value: bool | None) -> bool:
        return open_as if value is None else value

    neuropathy, arterial, deformity = holds(found.neuropathy), holds(found.arterial), holds(found.deformity)
    shape = deformity or holds(found.callus)
    if holds(found.active):
        return ACTIVE
    if holds(found.history) or (neuropathy and arterial) or ((neuropathy or arterial) and shape):
        return HIGH
    return MODERATE if neuropathy or arterial or deformity else LOW


def working_day(after: date, count: int = 1) -> date:
    """The day `count` working days after a day, Monday to Friday; public holidays are not known here."""
    days = rrule(DAILY, byweekday=(MO, TU, WE, TH, FR), dtstart=after, count=count + 1)
    later = [day.date() for day in days if day.date() > after]
    return later[count - 1]
