"""Pressures at which compression hosiery is out of the question. Systolic, mmHg.

Source: 2020 consensus (Rabe et al., Phlebology 2020;35:447). Other texts stop at an index of 0.5; the
stricter 0.6 is taken. Nothing here allows a stocking: that is the prescriber's.
"""

from __future__ import annotations

from decimal import Decimal

from toeroom.measures.pressures import index_band

CONTRAINDICATED, NOT_CLEARED, PRESCRIBER = "contraindicated", "not cleared", "prescriber decides"
_LIMITS = (
    ("index", Decimal("0.60"), "ankle/arm index under 0.60"),
    ("ankle", Decimal(60), "ankle pressure under 60 mmHg"),
    ("toe", Decimal(30), "toe pressure under 30 mmHg"),
    ("tcpo2", Decimal(20), "oxygen at the skin under 20 mmHg"),
)


def compression(
    *,
    index: Decimal | None = None,
    ankle: Decimal | None = None,
    toe: Decimal | None = None,
    tcpo2: Decimal | None = None,
    feeling_lost: bool | None = False,
) -> tuple[str, tuple[str, ...]]:
    """What the pressures say of compression, and why: contraindicated, not cleared, prescriber decides.

    A stiff artery (index over 1.40) without a toe pressure clears nothing, nor does a missing index, nor
    feeling of which nothing is known (None).
    """
    values = {"index": index, "ankle": ankle, "toe": toe, "tcpo2": tcpo2}
    reasons = []
    for key, limit, words in _LIMITS:
        value = values[key]
        if value is not None and value < limit:
            reasons.append(words)
    if feeling_lost:
        reasons.append("feeling is lost: no compression unless a prescriber orders it")
    if reasons:
        return CONTRAINDICATED, tuple(reasons)
    if toe is None and index is not None and index_band(index) == "stiff":
        return NOT_CLEARED, ("the arteries are stiff: a toe pressure is needed",)
    if toe is None and index is None:
        return NOT_CLEARED, ("no index and no toe pressure",)
    if feeling_lost is None:
        return NOT_CLEARED, ("whether feeling is lost is not known",)
    return PRESCRIBER, ()
