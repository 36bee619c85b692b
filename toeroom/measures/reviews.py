"""When a foot, a shoe or an insert is looked at again. Calendar months, clamped."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from toeroom.measures.dates import INSERT_MONTHS, plus_months

REVIEW_MONTHS = {"0": (12, 12), "1": (6, 12), "2": (3, 6), "3": (1, 3)}
"""Months between screenings by risk category: expert opinion. Source: IWGDF 2019, Table 1; 2023 summary."""
FOOTWEAR_MONTHS = 3
"""Prescribed footwear is reviewed every three months. Source: van Netten et al. 2018, rec. 9."""


@dataclass(frozen=True, slots=True)
class Window:
    """From the first to the last day something is to be done."""

    first: date
    last: date

    def standing(self, on: date) -> str:
        """`coming`, `due` or `overdue` on a day."""
        if on < self.first:
            return "coming"
        return "due" if on <= self.last else "overdue"


def screening_window(last_seen: date, category: str) -> Window | None:
    """When the feet are screened again, by risk category; None where it is not known."""
    months = REVIEW_MONTHS.get(category)
    return None if months is None else Window(*(plus_months(last_seen, count) for count in months))


def footwear_review(delivered: date) -> date:
    """The day by which prescribed footwear is reviewed."""
    return plus_months(delivered, FOOTWEAR_MONTHS)


def insert_change(changed: date) -> date:
    """The day from which inserts are due (four months: common practice, from three pairs a year)."""
    return plus_months(changed, INSERT_MONTHS)
