"""Published measurements of groups of feet: a net for slips of the tape, never a norm for a patient.

ANSUR II: 2012 survey of the US Army (NATICK/TR-15/007, public domain), worked out here from its
public rows (4,082 men, 1,986 women), percentiles by linear interpolation, millimetres. Serving
soldiers, standing, screened fit: the wrong group for a diabetic foot clinic.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

MEN, WOMEN = "men", "women"
LASTS = (MEN, WOMEN)
"""Whose last a shoe stands on. A woman may take a man's last, and the other way round."""
RANKS = (1, 5, 10, 25, 50, 75, 90, 95, 99)
ANSUR = "ANSUR II (2012), worked out from the public rows"
CHAIWANICHSIRI = "Chaiwanichsiri et al., The Foot 2008;18:186 (108 men, 105 women, 60 to 80)"


@dataclass(frozen=True, slots=True)
class Spread:
    """How a measurement spreads over a group; `at` holds the percentiles by rank. Millimetres."""

    mean: Fraction
    sd: Fraction
    least: Fraction
    most: Fraction
    at: dict[int, Fraction]


def _spread(text: str) -> Spread:
    mean, sd, least, most, *ranks = (Fraction(part) for part in text.split())
    return Spread(mean, sd, least, most, dict(zip(RANKS, ranks, strict=True)))


SPREADS: dict[str, dict[str, Spread]] = {
    "foot_length_mm": {
        MEN: _spread("271.18 13.10 216 323 242 250 254 263 271 280 288 293 302"),
        WOMEN: _spread("246.29 12.44 198 286 219 226 230 238 246 254 263 267.8 276"),
    },
    "ball_length_mm": {
        MEN: _spread("200.94 10.47 156 245 178 184 188 194 201 208 215 218 225"),
        WOMEN: _spread("182.05 9.64 151 216 161 167 170 175 182 188 195 198 204"),
    },
    "ball_width_mm": {
        MEN: _spread("101.86 5.23 79 126 91 94 95 98 102 105 109 111 115"),
        WOMEN: _spread("92.71 4.78 77 108 82.8 85 87 89 93 96 99 101 104"),
    },
    "ball_girth_mm": {
        MEN: _spread("252.02 12.94 186 306 224 232 236 243 252 261 268.9 273 284"),
        WOMEN: _spread("228.11 11.77 194 270 203 209 214 220 227 236 244 248 257"),
    },
    "heel_width_mm": {
        MEN: _spread("72.51 5.47 48 93 61 64 66 69 72 76 80 82 87"),
        WOMEN: _spread("67.16 5.17 53 89 57 60 61 64 67 70 74 76 80.2"),
    },
}


@dataclass(frozen=True, slots=True)
class Share:
    """Ball length over foot length: mean, 5th and 95th percentile. Source: ANSUR II, derived."""

    mean: Fraction
    p5: Fraction
    p95: Fraction


BALL_SHARE = {
    MEN: Share(Fraction("0.741"), Fraction("0.715"), Fraction("0.765")),
    WOMEN: Share(Fraction("0.739"), Fraction("0.717"), Fraction("0.761")),
}


@dataclass(frozen=True, slots=True)
class Line:
    """A measurement fitted to foot length over a group: start + slope × length; r its correlation."""

    start: Fraction
    slope: Fraction
    r: Fraction

    def at(self, length: Fraction) -> Fraction:
        """The fitted value in mm for a foot of `length` mm."""
        return self.start + self.slope * length


GIRTH_BY_LENGTH = {
    MEN: Line(Fraction("92.15"), Fraction("0.5895"), Fraction("0.60")),
    WOMEN: Line(Fraction("86.94"), Fraction("0.5732"), Fraction("0.61")),
}
WIDTH_BY_LENGTH = {
    MEN: Line(Fraction("38.09"), Fraction("0.2352"), Fraction("0.59")),
    WOMEN: Line(Fraction("40.16"), Fraction("0.2134"), Fraction("0.56")),
}
"""Source: ANSUR II, least squares over the public rows (derived)."""

THAI_WIDTH = {
    MEN: Line(Fraction("24.8"), Fraction("0.31"), Fraction("0.56")),
    WOMEN: Line(Fraction("23.9"), Fraction("0.29"), Fraction("0.50")),
}
THAI_ARCH_LENGTH = Line(Fraction(10), Fraction("0.7"), Fraction("0.93"))
"""Older people in Thailand: width, and heel-to-ball length of both sexes. Source: `CHAIWANICHSIRI`."""


@dataclass(frozen=True, slots=True)
class Usual:
    """What feet of one length measured on average, in mm, in a group."""

    measure: str
    value: Fraction
    group: str


def usual_at(length: Fraction, last: str) -> tuple[Usual, ...]:
    """Ball length, width and girth that were usual at a foot length of `length` mm: soldiers, older people.

    Where the groups differ both are named; neither is a target for a shoe.
    """
    soldiers, older = f"soldiers, {last} (ANSUR II)", f"Thailand, {last} of 60 to 80"
    return (
        Usual("ball_length_mm", BALL_SHARE[last].mean * length, soldiers),
        Usual("ball_length_mm", THAI_ARCH_LENGTH.at(length), "Thailand, 60 to 80"),
        Usual("ball_width_mm", WIDTH_BY_LENGTH[last].at(length), soldiers),
        Usual("ball_width_mm", THAI_WIDTH[last].at(length), older),
        Usual("ball_girth_mm", GIRTH_BY_LENGTH[last].at(length), soldiers),
    )


def z_score(measure: str, last: str, value: Fraction | Decimal) -> Fraction:
    """How many standard deviations `value` (mm) lies over the mean of its group (ANSUR II)."""
    spread = SPREADS[measure][last]
    return (Fraction(value) - spread.mean) / spread.sd
