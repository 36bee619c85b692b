"""What falls due: insert changes, reviews by risk, papers lapsing, the next pair, referrals not yet made.

`entries.due_entries` takes opened cases, from files or from a record store, and yields what falls due;
`report` shows one case, `weeks` many by calendar week, `calendar` writes iCalendar. Nothing here decides
whether a fitting may go on: that comes with the plan of the opened case.
"""

from __future__ import annotations

from toeroom.due.entries import Due, Opened, due_entries, in_order, opened, within
from toeroom.due.report import DueReport, due_lines, due_report

__all__ = [
    "Due",
    "DueReport",
    "Opened",
    "due_entries",
    "due_lines",
    "due_report",
    "in_order",
    "opened",
    "within",
]
