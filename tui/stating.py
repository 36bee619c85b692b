"""Stating something of a case, or taking it back: what a line of the form does to the case."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from toeroom.case import Case, day_from, number_in_range
from toeroom.vocabulary import Choice, DateTerm, Finding, Measure, Term

Value = str | Decimal | date | None
"""What can be stated; None takes it back."""


def stated(case: Case, term: Term, side: str) -> str:
    """What the case states of `term` on `side`, as text; '' where it states nothing."""
    if isinstance(term, Finding):
        return case.findings.get((term.id, side), "")
    if isinstance(term, Measure):
        number = case.measures.get((term.id, side))
        return "" if number is None else str(number)
    if isinstance(term, Choice):
        return case.choices.get(term.id, "")
    day = case.dates.get(term.id)
    return "" if day is None else day.isoformat()


def with_stated(case: Case, term: Term, side: str, value: Value) -> Case:
    """The same case with `value` stated of `term` on `side`, or nothing where it is None."""
    if isinstance(term, Finding):
        return replace(case, findings=_with(case.findings, (term.id, side), value))
    if isinstance(term, Measure):
        return replace(case, measures=_with(case.measures, (term.id, side), value))
    if isinstance(term, Choice):
        return replace(case, choices=_with(case.choices, term.id, value))
    return replace(case, dates=_with(case.dates, term.id, value))


def _with(values: dict[Any, Any], key: object, value: Value) -> dict[Any, Any]:
    kept = {k: v for k, v in values.items() if k != key}
    return kept if value is None else {**kept, key: value}


def read_value(term: Term, text: str) -> Value:
    """`text` as a value of a measure or a date; None where it is empty.

    Raises `ValueError` ("what; mend") where it is no number in range or no day.
    """
    text = text.strip()
    if not text:
        return None
    if isinstance(term, Measure):
        return number_in_range(term, text)
    if isinstance(term, DateTerm):
        return day_from(text)
    raise ValueError(f"'{term.id}' is not typed; choose a value")
