"""Width letters, girth grading, fittings and mismatch, against published figures.

Sources: US Patent 1,948,547 (1934; girth grade 1/4 in); trade overview of sizing (flat step 3/16 in;
common practice); two generic web charts of width by size (common practice); width review, abstract
(4 to 7 mm); Rossi 2000, p. 202, as quoted (UK fittings); ANSUR II. The shares by letter are worked out
here from the published summary figures and fits, since the rows are not shipped.
"""

from __future__ import annotations

from fractions import Fraction
from math import sqrt
from statistics import NormalDist

import pytest

from toeroom.measures import widths
from toeroom.measures.lengths import INCH
from toeroom.measures.populations import MEN, SPREADS, WIDTH_BY_LENGTH, WOMEN
from toeroom.measures.sizes import RULES

PRINTED: dict[str, dict[int, dict[str, Fraction]]] = {
    WOMEN: {
        size: dict(zip(("AA", "B", "D", "EE"), (Fraction(n, 16) * INCH for n in cells), strict=True))
        for size, cells in {
            5: (45, 51, 57, 63),
            6: (47, 53, 59, 65),
            7: (49, 55, 61, 67),
            8: (51, 57, 63, 69),
            9: (54, 59, 65, 71),
            10: (55, 60, 67, 73),
            11: (57, 63, 69, 75),
            12: (59, 65, 71, 77),
        }.items()
    },
    MEN: {
        size: dict(zip(("C", "D", "E"), (Fraction(n, 16) * INCH for n in cells), strict=True))
        for size, cells in {
            6: (53, 56, 59),
            7: (54, 58, 60),
            8: (56, 60, 63),
            9: (58, 63, 66),
            10: (60, 64, 67),
            11: (63, 66, 69),
            12: (64, 69, 70),
            13: (66, 69, 74),
        }.items()
    },
}
"""The charts as printed, flat width in mm by US size and letter. The women's columns are headed AA, B,
wide and E there; they lie two steps apart, so the last two are D and EE. Source: two generic
web charts (common practice)."""


def test_girth_of_one_size_and_of_one_letter() -> None:
    """Worked check 1: 6.35 mm each."""
    assert widths.girth_change(sizes=1) == widths.girth_change(letters=1) == Fraction("6.35")


def test_one_size_up_and_one_letter_down_keeps_the_girth() -> None:
    """Worked check 2: 9 D, 10 C and 8 E; 9 D to 10 E adds 12.7 mm."""
    assert widths.same_girth(9, "D") == ((10, "C"), (8, "E"))
    assert widths.girth_change(sizes=1, letters=-1) == 0
    assert widths.girth_change(sizes=1, letters=1) == Fraction("12.7")


def test_from_one_shoe_to_another() -> None:
    """9 D to 10 E: 12.7 mm of girth, 8.47 of length, 1/8 and 3/16 in of flat width."""
    found = widths.us_step(1, 1)
    assert (found.girth, found.length) == (Fraction("12.7"), INCH / 3)
    assert found.flat == INCH * Fraction(5, 16)
    assert widths.us_step(1, -1).girth == 0


def test_a_letter_of_flat_width_is_not_a_letter_of_girth() -> None:
    """Worked check 3: 4.76 mm, not 6.35."""
    step = widths.chart_width(MEN, 10, "E") - widths.chart_width(MEN, 10, "D")
    assert step == INCH * Fraction(3, 16)
    assert f"{float(step):.2f}" == "4.76"


CELLS = [
    (WOMEN, 8, "AA", "3.1875", "81.0"),
    (WOMEN, 8, "B", "3.5625", "90.5"),
    (WOMEN, 8, "D", "3.9375", "100.0"),
    (MEN, 10, "C", "3.75", "95.2"),
    (MEN, 10, "D", "4", "101.6"),
    (MEN, 10, "E", "4.1875", "106.4"),
]


@pytest.mark.parametrize(("last", "size", "letter", "inches", "mm"), CELLS)
def test_printed_widths(last: str, size: int, letter: str, inches: str, mm: str) -> None:
    """Worked checks 4 and 5 (published charts)."""
    width = PRINTED[last][size][letter]
    assert width == Fraction(inches) * INCH
    assert abs(width - Fraction(mm)) <= Fraction("0.05")


def test_the_rule_runs_through_the_charts() -> None:
    """Women: every cell but two, likely misprints; men: every cell within 1/16 in."""
    off = {
        (last, size, letter): printed - widths.chart_width(last, size, letter)
        for last, rows in PRINTED.items()
        for size, row in rows.items()
        for letter, printed in row.items()
    }
    women = {place: gap for place, gap in off.items() if place[0] == WOMEN and gap}
    assert women == {(WOMEN, 9, "AA"): INCH / 16, (WOMEN, 10, "B"): -INCH / 16}
    assert max(abs(gap) for gap in off.values()) == INCH / 16


READ = [(100, "D"), (105, "E")]


@pytest.mark.parametrize(("width", "letter"), READ)
def test_a_man_of_size_nine(width: int, letter: str) -> None:
    """Worked check 6: foot 262.5 mm."""
    size = RULES["us_men"].mark(Fraction("262.5"))
    assert size == 9
    assert widths.letter_by_width(MEN, size, width).letter == letter


def test_a_second_chart_holds_the_first_ones_widths() -> None:
    """Retail men's chart in ranges of centimetres (common practice): C, D, E at 8 and 10."""
    ranges = {8: ("8.7 9.1", "9.2 9.6", "9.7 10.1"), 10: ("9.3 9.7", "9.8 10.2", "10.3 10.7")}
    for size, spans in ranges.items():
        for letter, span in zip("CDE", spans, strict=True):
            low, high = (Fraction(end) * 10 for end in span.split())
            assert low <= PRINTED[MEN][size][letter] <= high


def test_eu_grading() -> None:
    """Worked check 7: 5 mm of girth and 6.67 mm of length a size (trade page, common practice)."""
    assert widths.eu_girth_change(1) == widths.eu_step(1).girth == 5
    assert widths.eu_step(1).length == Fraction(20, 3)
    assert RULES["eu"].foot(42) - RULES["eu"].foot(41) == Fraction(20, 3)


def test_six_millimetres_too_narrow() -> None:
    """Worked check 8: passes the 4 mm limit and not the 7 mm one; the limits are named."""
    assert widths.misfits(6) == ("any inequality", "4 mm")
    assert widths.misfits(7) == ("any inequality", "4 mm", "7 mm")
    assert widths.misfits(Fraction("0.1")) == ("any inequality",)
    assert widths.misfits(0) == widths.misfits(-5) == ()


def test_uk_fittings_where_a_source_holds() -> None:
    """Rossi: UK A is about US AAA, D usual for women, 4 for men; nothing beyond A to G and 1 to 8."""
    assert widths.uk_women_fitting("AAA") == "A"
    assert widths.uk_women_fitting(widths.USUAL[WOMEN]) == "D"
    assert [widths.uk_women_fitting(letter) for letter in ("E", "EE", "AAAA")] == ["G", "", ""]
    assert widths.uk_men_fitting(widths.USUAL[MEN]) == 4
    assert [widths.uk_men_fitting(letter) for letter in ("A", "AA", "EEEE", "EEEEE")] == [1, None, 8, None]


SHARES = {
    MEN: {"B": 5.1, "C": 22.9, "D": 40.5, "E": 24.9, "EE": 5.3},
    WOMEN: {"AA": 3.8, "A": 22.9, "B": 40.3, "C": 27.2, "D": 4.8},
}
WITHIN = {MEN: 1.05, WOMEN: 1.2}
"""Points of a per cent: the summary has no tails, the rows did."""
SCALES = {MEN: "us_men", WOMEN: "us_women_common"}


def share_by_letter(last: str) -> dict[str, float]:
    """Per cent of feet by letter: lengths by whole millimetres, width about its line on length."""
    length, width, line = (
        SPREADS["foot_length_mm"][last],
        SPREADS["ball_width_mm"][last],
        WIDTH_BY_LENGTH[last],
    )
    about = float(width.sd) * sqrt(1 - float(line.r) ** 2)
    lengths = NormalDist(float(length.mean), float(length.sd))
    found = dict.fromkeys(widths.LETTERS, 0.0)
    for mm in range(int(length.least), int(length.most) + 1):
        weight = lengths.cdf(mm + 0.5) - lengths.cdf(mm - 0.5)
        at = NormalDist(float(line.at(Fraction(mm))), about)
        for letter in widths.LETTERS:
            own = float(widths.chart_width(last, RULES[SCALES[last]].exact(mm), letter))
            half = float(widths.FLAT_STEP) / 2
            found[letter] += 100 * weight * (at.cdf(own + half) - at.cdf(own - half))
    return found


@pytest.mark.parametrize("last", [MEN, WOMEN])
def test_shares_by_letter(last: str) -> None:
    """The usual letter lies in the middle, and the shares counted from the rows come out of the summary."""
    found = share_by_letter(last)
    assert max(found, key=lambda letter: found[letter]) == widths.USUAL[last]
    for letter, share in SHARES[last].items():
        assert found[letter] == pytest.approx(share, abs=WITHIN[last]), letter
