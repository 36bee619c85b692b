"""Indexes, test counts, scores and skin temperature, against published figures.

Sources: 2016 AHA/ACC and 2024 ACC/AHA guidelines (ankle and toe index); Medicina 2024;60:1179, Table 2
(WIfI ischaemia, severe ischaemia); World J Diabetes 2022;13:1049 (SINBAD, Texas, Wagner); Ince et al.,
Diabetes Care 2008; infection grades of EFORT Open Rev 2018; IWGDF consensus addendum (filament);
Ipswich touch test summary; Rabe et al., Phlebology 2020 (compression); Lavery et al., Diabetes Care
2004, and Wijlens et al., Int Wound J (temperature). Urgent action at severe ischaemia, and the two days
in the international guideline, are from memory.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.measures import toe_pressures
from toeroom.measures.compression import CONTRAINDICATED, NOT_CLEARED, PRESCRIBER, compression
from toeroom.measures.pressures import ankle_arm_index, index_band
from toeroom.measures.sensation import feeling_lost, site_felt, sites_missed, touch_reduced
from toeroom.measures.temperature_watch import ALARM, QUIET, RECHECK, Reading, celsius, over, watch
from toeroom.measures.wound_scores import WAGNER, Sinbad, infection_grade, sinbad, texas_grades

# --- blood supply --------------------------------------------------------------------------------
INDEXES = [
    # ankle, arm, index, band, WIfI grade by index
    (92, 140, "0.66", "reduced", 1),
    (118, 128, "0.92", "borderline", 0),
    (130, 132, "0.98", "borderline", 0),
    (150, 128, "1.17", "normal", 0),
    (112, 124, "0.90", "reduced", 0),
    (45, 130, "0.35", "reduced", 3),
]


@pytest.mark.parametrize(("ankle", "arm", "index", "band", "grade"), INDEXES)
def test_worked_indexes(ankle: int, arm: int, index: str, band: str, grade: int) -> None:
    """Worked checks 1, 2, 4 and 5."""
    found = ankle_arm_index(Decimal(ankle), Decimal(arm))
    assert (found, index_band(found)) == (Decimal(index), band)
    assert toe_pressures.grade_by_index(found) == grade


def test_stiff_arteries_need_the_toe() -> None:
    """Worked check 3: 196/136; it is not called normal, and grades nothing."""
    index = ankle_arm_index(Decimal(196), Decimal(136))
    assert toe_pressures.needs_toe_pressure(index)
    assert toe_pressures.ischaemia_grade(index=index) is None
    assert toe_pressures.ischaemia_grade(index=index, ankle=Decimal(196)) is None
    assert toe_pressures.ischaemia_grade(index=index, toe=Decimal(45)) == 1


def test_severe_ischaemia() -> None:
    """Worked checks 1, 5 and 6: ankle 92 is grade 1; 45 over 130 and a toe of 28 are grade 3 and urgent."""
    assert toe_pressures.grade_by_ankle(Decimal(92)) == 1
    low = ankle_arm_index(Decimal(45), Decimal(130))
    assert toe_pressures.ischaemia_grade(index=low, ankle=Decimal(45)) == 3
    assert len(toe_pressures.severe_ischaemia(index=low, ankle=Decimal(45))) == 2
    assert toe_pressures.ischaemia_grade(index=Decimal("1.05"), toe=Decimal(28)) == 3
    assert toe_pressures.severe_ischaemia(index=Decimal("1.05"), toe=Decimal(28)) == (
        "toe pressure under 30 mmHg",
    )
    assert toe_pressures.severe_ischaemia(index=Decimal("0.40"), ankle=Decimal(50), toe=Decimal(30)) == ()


EDGES = [("101", 0), ("100", 1), ("71", 1), ("70", 2), ("50", 2), ("49.9", 3)]


@pytest.mark.parametrize(("ankle", "grade"), EDGES)
def test_ankle_grades_at_their_edges(ankle: str, grade: int) -> None:
    """70 stands in two printed ranges; the graver is taken."""
    assert toe_pressures.grade_by_ankle(Decimal(ankle)) == grade


@pytest.mark.parametrize(
    ("toe", "grade"), [("60", 0), ("59.9", 1), ("40", 1), ("39", 2), ("30", 2), ("29", 3)]
)
def test_toe_grades_at_their_edges(toe: str, grade: int) -> None:
    assert toe_pressures.grade_by_toe(Decimal(toe)) == grade


@pytest.mark.parametrize(("index", "band"), [("0.70", "reduced"), ("0.71", "normal")])
def test_toe_index(index: str, band: str) -> None:
    """2024 ACC/AHA: 0.70 or less is abnormal."""
    assert toe_pressures.toe_index_band(Decimal(index)) == band
    assert toe_pressures.toe_arm_index(Decimal(100), Decimal(142)) == Decimal("0.70")


@pytest.mark.parametrize(
    ("index", "open_"), [("0.70", False), ("0.71", True), ("0.74", True), ("0.75", False)]
)
def test_toe_indexes_on_which_the_texts_differ(index: str, open_: bool) -> None:
    """IWGDF 2015 and 2019 called supply good from 0.75, ACC/AHA 2024 over 0.70."""
    assert toe_pressures.toe_index_disputed(Decimal(index)) is open_


@pytest.mark.parametrize(
    ("index", "disputed"), [("1.30", False), ("1.31", True), ("1.40", True), ("1.41", False)]
)
def test_where_bodies_end_normal(index: str, disputed: bool) -> None:
    assert toe_pressures.normal_end_disputed(Decimal(index)) is disputed


@given(hundredths=st.integers(0, 300))
def test_index_bands_cover_every_value_once_and_in_order(hundredths: int) -> None:
    order = ["reduced", "borderline", "normal", "stiff"]
    this, next_one = (index_band(Decimal(n) / 100) for n in (hundredths, hundredths + 1))
    assert 0 <= order.index(next_one) - order.index(this) <= 1
    assert toe_pressures.grade_by_index(Decimal(hundredths) / 100) >= toe_pressures.grade_by_index(
        Decimal(hundredths + 1) / 100
    )


@given(tenths=st.integers(0, 3000))
def test_more_pressure_is_never_a_graver_grade(tenths: int) -> None:
    this, more = Decimal(tenths) / 10, Decimal(tenths + 1) / 10
    for grade in (toe_pressures.grade_by_ankle, toe_pressures.grade_by_toe):
        assert 0 <= grade(more) <= grade(this) <= 3


# --- compression ---------------------------------------------------------------------------------
COMPRESSION = [
    ({"index": "0.55"}, CONTRAINDICATED),
    ({"index": "0.72", "ankle": "58"}, CONTRAINDICATED),
    ({"index": "1.45"}, NOT_CLEARED),
    ({"index": "1.10", "toe": "27"}, CONTRAINDICATED),
    ({"index": "0.60", "ankle": "84", "toe": "45"}, PRESCRIBER),
    ({"index": "1.10", "toe": "80", "tcpo2": "19"}, CONTRAINDICATED),
    ({"tcpo2": "19"}, CONTRAINDICATED),
    ({}, NOT_CLEARED),
]


@pytest.mark.parametrize(("values", "outcome"), COMPRESSION)
def test_compression_by_pressures(values: dict[str, str], outcome: str) -> None:
    """Compression, worked checks 1 to 5 and 7; none ever clears a stocking."""
    assert compression(**{key: Decimal(value) for key, value in values.items()})[0] == outcome


def test_lost_feeling_waits_for_a_prescriber() -> None:
    """Compression, worked check 6."""
    outcome, reasons = compression(index=Decimal("1.10"), toe=Decimal(90), feeling_lost=True)
    assert outcome == CONTRAINDICATED
    assert "prescriber" in reasons[0]
    assert compression(index=Decimal("1.10"), toe=Decimal(90), feeling_lost=None)[0] == NOT_CLEARED


# --- feeling -------------------------------------------------------------------------------------
def test_filament_sites() -> None:
    """Worked check 10: wrong, right, wrong is not felt; wrong once is felt."""
    assert not site_felt([False, True, False])
    assert site_felt([True, False, True])
    assert sites_missed([[True] * 3, [False, True, False], [False] * 3]) == (2, 2)
    assert feeling_lost((1, 1), 3) is True
    for answers in ([True, True], [True] * 4):
        with pytest.raises(ValueError, match="3 answers"):
            site_felt(answers)


def test_toe_touch() -> None:
    """Worked check 10: 5 of 6 felt is normal, 4 of 6 is reduced; six are touched."""
    assert not touch_reduced([True] * 5 + [False])
    assert touch_reduced([True] * 4 + [False] * 2)
    with pytest.raises(ValueError, match="6 toe tips"):
        touch_reduced([True] * 5)


ANSWERS = st.sampled_from([True, False, None])


@given(
    sites=st.lists(st.lists(ANSWERS, min_size=3, max_size=3), max_size=4),
    tips=st.lists(ANSWERS, min_size=6, max_size=6),
)
def test_what_was_not_asked_is_decided_only_where_no_answer_could_change_it(
    sites: list[list[bool | None]], tips: list[bool | None]
) -> None:
    """Every open answer is tried both ways."""

    def either(answers: list[bool | None]) -> list[list[bool]]:
        ways: list[list[bool]] = [[]]
        for answer in answers:
            ways = [
                [*way, given] for way in ways for given in ((True, False) if answer is None else (answer,))
            ]
        return ways

    each = [{site_felt(way) for way in either(site)} for site in sites]
    counts = (sum(ways == {False} for ways in each), sum(False in ways for ways in each))
    assert sites_missed(sites) == counts
    outcomes = {touch_reduced(way) for way in either(tips)}
    assert touch_reduced(tips) is (outcomes.pop() if len(outcomes) == 1 else None)


def test_feeling_is_kept_only_on_three_sites_felt() -> None:
    assert feeling_lost((0, 0), 3) is False
    assert feeling_lost((0, 0), 2) is None
    assert feeling_lost((0, 1), 3) is None
    assert feeling_lost((1, 2), 1) is True


# --- scores of a letter --------------------------------------------------------------------------
def test_sinbad() -> None:
    """Worked check 7."""
    heel = sinbad(hindfoot_or_midfoot=True, pulse_felt=False, feeling_lost=True, infected=False,
                  area_cm2=Decimal("1.0"), deep=True)  # fmt: skip
    toe = sinbad(hindfoot_or_midfoot=False, pulse_felt=True, feeling_lost=True, infected=False,
                 area_cm2=Decimal("0.5"), deep=False)  # fmt: skip
    assert (heel.score, toe.score) == ((5, 5), (1, 1))
    assert heel.note() == (
        "SINBAD 5 of 6 (site: midfoot or hindfoot; ischaemia; neuropathy; area 1 cm² or more; "
        "depth to muscle, tendon or deeper); to communicate, not to decide"
    )


BOTH = (True, False)


@given(items=st.lists(st.sampled_from([True, False, None]), min_size=6, max_size=6))
def test_an_unknown_item_of_sinbad_leaves_a_range(items: list[bool | None]) -> None:
    """Least and most are those of all ways the unknown items could turn out."""
    found = Sinbad(*items)
    ways = [Sinbad(*way).score[0] for way in product(*(BOTH if item is None else (item,) for item in items))]
    assert found.score == (min(ways), max(ways))
    assert len(found.missing) == items.count(None)
    assert ("not known" in found.note()) is (None in items)


INFECTION = [
    ({"signs": 2, "redness_cm": Decimal("1.2")}, 2),
    ({"signs": 2, "redness_cm": Decimal(3)}, 3),
    ({"signs": 2, "redness_cm": Decimal(3), "systemic_signs": 2}, 4),
    ({"signs": 0, "redness_cm": Decimal("0.4")}, 1),
    ({"signs": 2, "redness_cm": Decimal(2)}, 3),
    ({"signs": 2, "redness_cm": Decimal(1), "deeper": True}, 3),
]


@pytest.mark.parametrize(("stated", "grade"), INFECTION)
def test_infection_grades_of_a_letter(stated: dict[str, int], grade: int) -> None:
    """Worked check 8; redness of exactly 2 cm takes the graver reading."""
    assert infection_grade(**stated) == (grade, grade)  # type: ignore[arg-type]


@given(
    signs=st.integers(0, 5),
    redness=st.sampled_from([None, Decimal("0.4"), Decimal("1.9"), Decimal(2)]),
    deeper=st.sampled_from([None, True, False]),
    systemic=st.sampled_from([None, 0, 1, 2, 4]),
)
def test_an_unknown_part_of_an_infection_leaves_a_range(
    signs: int, redness: Decimal | None, deeper: bool | None, systemic: int | None
) -> None:
    ways = [
        infection_grade(signs=signs, redness_cm=r, deeper=d, systemic_signs=s)[0]
        for r in ((Decimal(1), Decimal(3)) if redness is None else (redness,))
        for d in (BOTH if deeper is None else (deeper,))
        for s in ((0, 4) if systemic is None else (systemic,))
    ]
    found = infection_grade(signs=signs, redness_cm=redness, deeper=deeper, systemic_signs=systemic)
    assert found == (min(ways), max(ways))


def test_texas_and_wagner() -> None:
    """Worked check 9; what is not known leaves more than one."""
    assert texas_grades(reaches="bone", infected=True, ischaemic=True) == ("III-D",)
    assert texas_grades(reaches="superficial", infected=False, ischaemic=False) == ("I-A",)
    assert texas_grades(reaches="tendon", infected=True, ischaemic=False) == ("II-B",)
    assert texas_grades(reaches="tendon", infected=False, ischaemic=True) == ("II-C",)
    assert texas_grades(reaches="tendon", infected=None, ischaemic=True) == ("II-C", "II-D")
    assert WAGNER[4] == "gangrene of a part"


# --- skin temperature ----------------------------------------------------------------------------
DAY = date(2026, 11, 24)


def reading(left: str, right: str, days: int = 0) -> Reading:
    return Reading(DAY + timedelta(days=days), Fraction(left), Fraction(right))


def test_worked_temperatures() -> None:
    """Worked checks 1 to 4 and 6."""
    assert watch([reading("31.0", "28.9")]) == (QUIET, "")
    assert watch([reading("31.2", "28.9")]) == (RECHECK, "left")
    assert watch([reading("31.2", "28.9"), reading("31.4", "28.9", 1)]) == (ALARM, "left")
    assert watch([reading("31.3", "28.9")], usual=Decimal("0.8")) == (QUIET, "")
    assert watch([reading("29", "29")], hot_and_swollen=True)[0] == ALARM
    assert watch([]) == (QUIET, "")


def test_fahrenheit() -> None:
    """Worked check 5: 91.0 and 86.5 °F are 4.5 °F apart, over 4 °F."""
    difference = celsius(Decimal("91.0")) - celsius(Decimal("86.5"))
    assert difference == Fraction("2.5")
    assert over(difference) == "left"
    assert over(Fraction("2.2")) == over(Fraction("-2.2")) == ""


def test_only_the_same_foot_on_the_day_before_confirms() -> None:
    assert watch([reading("31.2", "28.9"), reading("28.9", "31.2", 1)]) == (RECHECK, "right")
    assert watch([reading("31.2", "28.9"), reading("31.2", "28.9", 2)]) == (RECHECK, "left")
    assert watch([reading("31.2", "28.9"), reading("29", "29", 1)]) == (QUIET, "")
    with pytest.raises(ValueError, match="two readings"):
        watch([reading("31", "31"), reading("32", "32")])


@given(
    rows=st.lists(st.tuples(st.integers(250, 380), st.integers(250, 380)), max_size=6),
    usual=st.integers(-10, 10),
)
def test_mirrored_feet_are_mirrored(rows: list[tuple[int, int]], usual: int) -> None:
    def days(swap: bool) -> list[Reading]:
        return [
            Reading(DAY + timedelta(days=n), Fraction(b if swap else a, 10), Fraction(a if swap else b, 10))
            for n, (a, b) in enumerate(rows)
        ]

    said, foot = watch(days(False), Fraction(usual, 10))
    mirrored, other = watch(days(True), Fraction(-usual, 10))
    assert said == mirrored
    assert {foot, other} in ({""}, {"left", "right"})
