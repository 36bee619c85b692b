"""Room in front of the longest toe, judged by the two published bands. Millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from toeroom.measures.sizes import Length


@dataclass(frozen=True, slots=True)
class Band:
    """From `least` to `most` mm, both included."""

    least: Fraction
    most: Fraction
    source: str

    def verdict(self, room: Fraction) -> str:
        """`too short`, `fits` or `too long`."""
        if room < self.least:
            return "too short"
        return "fits" if room <= self.most else "too long"


GUIDELINE = Band(Fraction(10), Fraction(20), "van Netten et al. 2018, Table 3; IWGDF 2019")
NARROWER = Band(Fraction(10), Fraction(15), "studies in Jones et al. 2020, Table 2; McInnes et al. 2012")
BANDS = (GUIDELINE, NARROWER)
"""Also in use: 3/8 to 1/2 in (9.5 to 12.7 mm), advice to the public of three US bodies."""


@dataclass(frozen=True, slots=True)
class RoomVerdict:
    """Room in mm and what each band says of it, in the order of `BANDS`."""

    room: Fraction
    verdicts: tuple[str, ...]

    @property
    def disagree(self) -> bool:
        """Whether one band passes what another fails."""
        return len(set(self.verdicts)) > 1


def judge(inner_length: Length, foot_length: Length) -> RoomVerdict:
    """Room of a shoe in hand: *inside* length minus foot length, standing.

    The length of the last is not the inside length: correctly fitted lasts were 23.6 mm longer than
    the foot (56 older people with foot pain, device-based fitting), which these bands would call too long.
    """
    room = Fraction(inner_length) - Fraction(foot_length)
    return RoomVerdict(room, tuple(band.verdict(room) for band in BANDS))


def inner_lengths(foot_length: Length, band: Band = GUIDELINE) -> tuple[Fraction, Fraction]:
    """Shortest and longest inside length in mm that `band` accepts for a foot."""
    return Fraction(foot_length) + band.least, Fraction(foot_length) + band.most
