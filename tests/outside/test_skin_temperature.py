"""Skin temperature, side against side.

Sources: Lavery et al., Diabetes Care 2004 (more than 2.2 °C between the same points); Wijlens et
al., Int Wound J (a single reading is no alarm). Two consecutive days: from memory. The 2 °C of the
Charcot literature is another number and no cut-off of the guideline.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.case import parse_case

Look = Callable[[str], Any]

READINGS = [
    ("31.0", "28.9", None, "worked check 1: 2.1"),
    ("31.1", "28.9", None, "exactly 2.2: not more"),
    ("31.2", "28.9", "left", "worked check 2: 2.3"),
    ("28.9", "31.2", "right", "the warmer foot, whichever it is"),
    ("32.78", "30.28", "left", "worked check 5: 91.0 and 86.5 °F"),
    ("30", "30", None, "alike"),
]


@pytest.mark.parametrize(("left", "right", "warmer", "check"), READINGS)
def test_worked_readings(left: str, right: str, warmer: str | None, check: str, plan: Look) -> None:
    seen = plan(f"measures: {{left: {{skin_temp_c: {left}}}, right: {{skin_temp_c: {right}}}}}\n")
    for side in ("left", "right"):
        wanted = side == warmer
        assert (f"recheck_skin_temperature@{side}" in seen.advised) is wanted
        assert (f"limit_walking@{side}" in seen.advised) is wanted
    assert not seen.stop


def test_one_foot_alone_says_nothing(plan: Look) -> None:
    assert not plan("measures: {left: {skin_temp_c: 36}}\n").mentions("recheck_skin_temperature@left")


def test_hot_and_swollen_does_not_wait_for_a_second_day(plan: Look) -> None:
    """Worked check 6."""
    seen = plan(
        "person: {diabetes: yes}\nleft: {hot_swollen_foot: yes, sensation_lost: yes}\n"
        "measures: {left: {skin_temp_c: 33}, right: {skin_temp_c: 30}}\n"
    )
    assert seen.stop
    assert seen.advises("refer_suspected_charcot@left")


@given(left=st.integers(150, 450), right=st.integers(150, 450))
def test_the_limit_holds_at_every_tenth_of_a_degree(left: int, right: int, book: Book) -> None:
    readings = {side: Decimal(tenths) / 10 for side, tenths in (("left", left), ("right", right))}
    lines = "".join(f"  {side}: {{skin_temp_c: {reading}}}\n" for side, reading in readings.items())
    text = f"case: check\nmeasures:\n{lines}"
    found = book.planner.plain_plan(parse_case(text, book.vocabulary))
    warned = {side for side in ("left", "right") if found.line("recheck_skin_temperature", side)}
    assert warned == ({"left"} if left - right > 22 else {"right"} if right - left > 22 else set())
