"""Calendar windows of papers and inserts.

The payer's texts count in months and define none; a month here is a calendar month, clamped to
the last day where that month is shorter (31 August plus six months is the last of February).
"""

from __future__ import annotations

from datetime import date

from dateutil.relativedelta import relativedelta

VISIT_MONTHS = 6
CERTIFICATION_MONTHS = 3
EXAM_MONTHS = 6
INSERT_MONTHS = 4
"""Visit and exam within six months and certification within three before delivery: DME MAC
documentation lists. Inserts after four months: common practice, from three pairs a year (Medicare
Benefit Policy Manual ch. 15 §140)."""


def plus_months(day: date, months: int) -> date:
    """`day` plus calendar months, clamped to the end of the month."""
    return day + relativedelta(months=months)


def in_time(day: date | None, months: int, delivery: date) -> bool:
    """Whether a paper of `day` still counts on `delivery`: up to and including its day plus `months`.

    A missing day, and a day after delivery, do not count.
    """
    return day is not None and day <= delivery <= plus_months(day, months)


def first_of_next_year(day: date) -> date:
    """The first day of the calendar year after `day`: yearly quantities begin anew then."""
    return date(day.year + 1, 1, 1)
