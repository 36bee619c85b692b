"""Skin temperature day by day: one reading is no alarm, two days running are. Degrees Celsius.

Source: Lavery et al., Diabetes Care 2004 (over 2.2 °C between the same points); Wijlens et al., Int
Wound J (a single reading over it in 8.5 % of readings, confirmed next day 0.3 %). Two days running
in the international guideline: from memory. The 2 °C of the Charcot literature is another number.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

LIMIT = Decimal("2.2")
"""4 °F as the sources print it (2.22). Over it, not at it."""
QUIET, RECHECK, ALARM = "no alarm", "measure again tomorrow", "less walking; call the clinic"


@dataclass(frozen=True, slots=True)
class Reading:
    """Both feet at the same spot on one day."""

    day: date
    left: Fraction
    right: Fraction

    def difference(self, usual: Fraction) -> Fraction:
        """Left over right, less the person's usual difference."""
        return self.left - self.right - usual


def celsius(fahrenheit: Decimal | Fraction) -> Fraction:
    """Degrees Fahrenheit in Celsius, exact."""
    return (Fraction(fahrenheit) - 32) * Fraction(5, 9)


def over(difference: Fraction) -> str:
    """The foot that is more than 2.2 °C warmer: left, right or ""."""
    if abs(difference) <= Fraction(LIMIT):
        return ""
    return "left" if difference > 0 else "right"


def watch(
    readings: Iterable[Reading], usual: Decimal | Fraction = Decimal(0), *, hot_and_swollen: bool = False
) -> tuple[str, str]:
    """What the last reading says, and of which foot.

    `usual` is the person's own left-over-right difference, taken off first (Wijlens). An alarm takes
    the same foot over the limit on the last day and the day before it. Hot and swollen does not wait:
    it is an alarm whatever the thermometer says. Raises ValueError for two readings of one day.
    """
    if hot_and_swollen:
        return ALARM, ""
    days: dict[date, str] = {}
    for reading in readings:
        if reading.day in days:
            raise ValueError(f"two readings on {reading.day}")
        days[reading.day] = over(reading.difference(Fraction(usual)))
    if not days:
        return QUIET, ""
    last = max(days)
    warm = days[last]
    if not warm:
        return QUIET, ""
    return (ALARM if days.get(last - timedelta(days=1)) == warm else RECHECK), warm
