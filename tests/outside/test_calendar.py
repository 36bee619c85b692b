"""Calendar months, clamped to the end of a shorter month.

The payer's texts count in months and define none; clamping is our reading. The sums are checked
against a loop that walks the calendar one month at a time.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.measures.dates import first_of_next_year, in_time, plus_months

days = st.dates(date(1990, 1, 1), date(2100, 12, 31))


def walked(day: date, months: int) -> date:
    """`day` plus months, by stepping from the first of one month to the first of the next."""
    first = day.replace(day=1)
    for _ in range(months):
        first += timedelta(days=1)
        while first.day != 1:
            first += timedelta(days=1)
    last = first
    while (last + timedelta(days=1)).month == first.month:
        last += timedelta(days=1)
    return first.replace(day=min(day.day, last.day))


CLAMPED = [
    (date(2025, 8, 31), 6, date(2026, 2, 28)),
    (date(2027, 8, 31), 6, date(2028, 2, 29)),
    (date(2025, 8, 28), 6, date(2026, 2, 28)),
    (date(2025, 11, 30), 3, date(2026, 2, 28)),
    (date(2025, 12, 30), 6, date(2026, 6, 30)),
    (date(2025, 12, 31), 6, date(2026, 6, 30)),
    (date(2026, 10, 31), 4, date(2027, 2, 28)),
    (date(2026, 1, 31), 1, date(2026, 2, 28)),
    (date(2028, 2, 29), 12, date(2029, 2, 28)),
    (date(2026, 3, 30), 3, date(2026, 6, 30)),
]


@pytest.mark.parametrize(("day", "months", "then"), CLAMPED)
def test_months_are_clamped(day: date, months: int, then: date) -> None:
    assert plus_months(day, months) == then == walked(day, months)


@given(day=days, months=st.integers(0, 24))
def test_months_agree_with_a_walk_through_the_calendar(day: date, months: int) -> None:
    assert plus_months(day, months) == walked(day, months)


@given(day=days, months=st.integers(1, 12))
def test_a_later_day_never_ends_earlier(day: date, months: int) -> None:
    assert plus_months(day, months) <= plus_months(day + timedelta(days=1), months)


@given(day=days, months=st.sampled_from([3, 4, 6, 12]), after=st.integers(-40, 420))
def test_a_paper_counts_from_its_day_to_its_last(day: date, months: int, after: int) -> None:
    delivery = day + timedelta(days=after)
    assert in_time(day, months, delivery) is (day <= delivery <= walked(day, months))


def test_a_missing_paper_is_never_in_time() -> None:
    assert not in_time(None, 6, date(2026, 6, 30))


@given(day=days)
def test_yearly_quantities_begin_on_the_first_of_january(day: date) -> None:
    """Medicare Benefit Policy Manual ch. 15 §140.B.1: per calendar year."""
    fresh = first_of_next_year(day)
    assert (fresh.month, fresh.day) == (1, 1)
    assert fresh > day
    assert (fresh - timedelta(days=1)).year == day.year
