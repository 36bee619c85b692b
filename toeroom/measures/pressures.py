"""Blood pressures at ankle, toe and arm. Pressures are systolic, in mmHg."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal


def ankle_arm_index(ankle: Decimal, arm: Decimal) -> Decimal:
    """Ankle pressure over arm pressure, rounded half up to two decimals before it is judged.

    `ankle` is the higher of the two foot arteries of that leg, `arm` the higher of both arms.
    Source: 2016 AHA/ACC guideline on peripheral artery disease, resting index; that the rounded
    value is the one judged follows from its two-decimal cut-offs. Raises ValueError where `arm` is
    not above zero.
    """
    if arm <= 0:
        raise ValueError("the arm pressure must be above zero")
    return (ankle / arm).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def index_band(index: Decimal) -> str:
    """The band of an ankle/arm index: reduced, borderline, normal or stiff.

    Reduced up to 0.90, borderline to 0.99, normal to 1.40, above it the artery does not compress.
    Source: 2016 AHA/ACC and 2024 ACC/AHA guidelines. (The international diabetic-foot texts set the
    upper end of normal at 1.3.)
    """
    if index <= Decimal("0.90"):
        return "reduced"
    if index < Decimal("1.00"):
        return "borderline"
    return "normal" if index <= Decimal("1.40") else "stiff"
