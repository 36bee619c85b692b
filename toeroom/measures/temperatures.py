"""Skin temperature side against side, in degrees Celsius."""

from __future__ import annotations

from decimal import Decimal


def warmer_by(this: Decimal, other: Decimal) -> Decimal:
    """By how much this foot is warmer than the other at the same spot; negative where it is cooler.

    More than 2.2 on one day is a reason to measure again, not an alarm.
    Source: Lavery et al. 2004; Wijlens et al. (single readings).
    """
    return this - other
