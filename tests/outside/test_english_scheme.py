"""Risk and times by the English scheme, beside the international category.

Sources: NICE NG19 as restated by NHS training (low, high), an NHS-linked improvement site and primary-care
references (times). Moderate, and what an active problem is, are from memory.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.english_scheme import CALLUS, DEFORMITIES, english_scheme
from toeroom.measures.english_risk import (
    FIRST_SEEN_WEEKS,
    ORDER,
    SEEN_AGAIN_MONTHS,
    Findings,
    category,
    working_day,
)

NONE = dict.fromkeys(("neuropathy", "arterial", "deformity", "callus", "history", "active"), False)

WORKED = [
    ({"neuropathy": True}, "moderate"),
    ({"neuropathy": True, "callus": True}, "high"),
    ({"deformity": True}, "moderate"),
    ({"history": True}, "high"),
    ({}, "low"),
    ({"callus": True}, "low"),
    ({"arterial": True, "deformity": True}, "high"),
    ({"neuropathy": True, "arterial": True}, "high"),
    ({"active": True, "history": True}, "active problem"),
]


@pytest.mark.parametrize(("holds", "word"), WORKED)
def test_worked_categories(holds: dict[str, bool], word: str) -> None:
    """Worked checks 1 to 5 (4: dialysis counts as history), and N1, N3."""
    assert category(Findings(**{**NONE, **holds})) == (word, word)


def test_times() -> None:
    """N7 and N8: 6 to 8 and 2 to 4 weeks; yearly, 3 to 6 and 1 to 2 months."""
    assert FIRST_SEEN_WEEKS == {"moderate": (6, 8), "high": (2, 4)}
    assert SEEN_AGAIN_MONTHS == {"low": (12, 12), "moderate": (3, 6), "high": (1, 2)}


def test_every_open_finding_is_taken_both_ways() -> None:
    for values in product((True, False, None), repeat=6):
        ways = [
            category(Findings(*way))[0]
            for way in product(*((True, False) if value is None else (value,) for value in values))
        ]
        ranked = sorted(ways, key=ORDER.index)
        assert category(Findings(*values)) == (ranked[0], ranked[-1])


def test_a_clean_ulcer_on_a_friday() -> None:
    """Worked check 5: referred by Monday, triaged by Tuesday."""
    friday = date(2026, 11, 27)
    assert (working_day(friday), working_day(friday, 2)) == (date(2026, 11, 30), date(2026, 12, 1))


@given(day=st.dates(date(2000, 1, 1), date(2100, 1, 1)), count=st.integers(1, 12))
def test_working_days_are_counted_one_by_one(day: date, count: int) -> None:
    walked, left = day, count
    while left:
        walked += timedelta(days=1)
        left -= walked.weekday() < 5
    assert working_day(day, count) == walked


ALL_NO = ", ".join(f"{term}: no" for term in (
    "sensation_lost", "pulses_absent", *DEFORMITIES, *CALLUS, "past_ulcer", "toe_amputated",
    "partial_foot_amputated", "leg_amputated", "open_wound", "infection_signs", "black_tissue",
    "hot_swollen_foot",
))  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "words", "international"),
    [
        ("", "low", "0"),
        ("sensation_lost: no", "low", "0"),
        ("sensation_lost: yes", "moderate", "1"),
        ("sensation_lost: yes, callus: yes", "high", "1"),
        ("bunion: yes", "moderate", "0"),
        ("open_wound: yes", "active problem", ""),
        ("bunion: unknown", "low to moderate", ""),
    ],
)
def test_a_case_by_both_schemes(changed: str, words: str, international: str, book: Book) -> None:
    """Worked checks 1 to 3: the schemes differ, and each keeps its own word."""
    left = ALL_NO
    for stated in changed.split(", ") if changed else ():
        left = left.replace(f"{stated.partition(':')[0]}: no", stated)
    text = f"case: a\nas_of: 2026-11-27\nperson: {{diabetes: yes, kidney_failure: no}}\nleft: {{{left}}}\n"
    case = parse_case(f"{text}right: {{{ALL_NO}}}\n", book.vocabulary)
    scheme = english_scheme(case)
    assert scheme.words == words
    if international:
        assert book.planner.plain_plan(case).state("ulcer_risk", "person") == international
    assert (scheme.refer_by == date(2026, 11, 30)) is (words == "active problem")
    assert "other people" in scheme.lines()[0]
    assert json.loads(json.dumps(scheme.as_json()))["category"] == list(scheme.possible)


def test_nothing_stated_decides_nothing(book: Book) -> None:
    scheme = english_scheme(parse_case("case: a\n", book.vocabulary))
    assert (scheme.least, scheme.most) == ("low", "active problem")
    assert len(scheme.missing) == 6
    measured = "measures: {left: {filament_sites_missed: 1}, person: {}}\n"
    assert english_scheme(parse_case(f"case: a\n{measured}", book.vocabulary)).least == "moderate"
    poor = "measures: {person: {arm_pressure_mmhg: 140}, left: {ankle_pressure_mmhg: 92}}\n"
    assert english_scheme(parse_case(f"case: a\n{poor}", book.vocabulary)).least == "moderate"
