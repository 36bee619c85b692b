"""Toe index, toe and ankle pressures in the grades a vascular report uses. Systolic, mmHg.

For reading a report and writing a referral: nothing here clears a foot.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from toeroom.measures.pressures import index_band

REDUCED_TOE_INDEX = Decimal("0.70")
FORMER_TOE_INDEX = Decimal("0.75")
"""From here on the IWGDF texts of 2015 and 2019 called supply good; that of 2023 has 0.70 (from memory)."""
NORMAL_ENDS = {"AHA/ACC 2016, ACC/AHA 2024": Decimal("1.40"), "IWGDF": Decimal("1.3")}
"""The upper end of a normal ankle/arm index, which the bodies set differently."""


def toe_arm_index(toe: Decimal, arm: Decimal) -> Decimal:
    """Toe pressure over arm pressure, rounded half up to two decimals before it is judged.

    Raises ValueError where `arm` is not above zero.
    """
    if arm <= 0:
        raise ValueError("the arm pressure must be above zero")
    return (toe / arm).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def toe_index_band(index: Decimal) -> str:
    """`reduced` up to 0.70, else `normal`. Source: 2024 ACC/AHA guideline, rec. 5; 2016 algorithm."""
    return "reduced" if index <= REDUCED_TOE_INDEX else "normal"


def toe_index_disputed(index: Decimal) -> bool:
    """Whether one text calls this toe index normal and another does not: over 0.70, under 0.75."""
    return REDUCED_TOE_INDEX < index < FORMER_TOE_INDEX


def normal_end_disputed(index: Decimal) -> bool:
    """Whether one body calls this ankle/arm index normal and the other not: over 1.3, up to 1.40."""
    low, high = sorted(NORMAL_ENDS.values())
    return low < index <= high


def needs_toe_pressure(index: Decimal) -> bool:
    """Stiff arteries: an index over 1.40 says nothing about flow. Source: ACC/AHA 2024, rec. 5."""
    return index_band(index) == "stiff"


def grade_by_index(index: Decimal) -> int:
    """WIfI ischaemia grade 0 to 3 of an ankle/arm index. Source: Medicina 2024;60:1179, Table 2."""
    return sum(index < limit for limit in (Decimal("0.80"), Decimal("0.60"), Decimal("0.40")))


def grade_by_ankle(ankle: Decimal) -> int:
    """WIfI ischaemia grade of an ankle pressure; 70 stands in two printed ranges and gets the graver, 2."""
    return (ankle <= 100) + (ankle <= 70) + (ankle < 50)


def grade_by_toe(toe: Decimal) -> int:
    """WIfI ischaemia grade of a toe pressure. Source: as `grade_by_index`."""
    return sum(toe < limit for limit in (60, 40, 30))


def ischaemia_grade(
    index: Decimal | None = None, ankle: Decimal | None = None, toe: Decimal | None = None
) -> int | None:
    """WIfI ischaemia grade; the toe pressure goes before the others, which diabetes makes falsely high.

    Without one the graver of index and ankle counts; a stiff artery's index says nothing (None).
    Source: WIfI notes (2014).
    """
    if toe is not None:
        return grade_by_toe(toe)
    grades = [grade_by_ankle(ankle)] if ankle is not None else []
    if index is not None and not needs_toe_pressure(index):
        grades.append(grade_by_index(index))
    elif index is not None:
        return max((g for g in grades if g), default=None)
    return max(grades, default=None)


def severe_ischaemia(
    index: Decimal | None = None, ankle: Decimal | None = None, toe: Decimal | None = None
) -> tuple[str, ...]:
    """Which pressures lie under the limits for severe ischaemia; each sends the wearer on at once.

    Ankle under 50, index under 0.40, toe under 30. Source: 2023 intersocietal guideline, in Medicina
    2024;60:1179, Table 2. That it is urgent is from memory.
    """
    limits = (
        ("ankle/arm index under 0.40", index, Decimal("0.40")),
        ("ankle pressure under 50 mmHg", ankle, Decimal(50)),
        ("toe pressure under 30 mmHg", toe, Decimal(30)),
    )
    return tuple(words for words, value, limit in limits if value is not None and value < limit)
