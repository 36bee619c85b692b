"""Sizes by named rule, the ball, toe room and proportions, against published figures.

Sources: encyclopaedia article 'Shoe size' (formulas, last forms); a university teaching data set (US
women, common scale; EU last); trade pages (EU rule B, UK last; common practice); Williams & Nester
2010, ch. 6 (barleycorn, Paris point); PD ISO/TS 19407:2015, notes (Mondopoint intervals); ANSUR II
(NATICK/TR-15/007) worked out from its public rows. Unit conversions are those of the library pint.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest

from toeroom.errors import BadInput
from toeroom.measured_feet import feet_from_words
from toeroom.measures import ball, populations, toe_room
from toeroom.measures.entry import millimetres
from toeroom.measures.lengths import INCH
from toeroom.measures.plausibility import doubts, extremes, slips
from toeroom.measures.populations import MEN, WOMEN, z_score
from toeroom.measures.sizes import BARLEYCORN, PARIS_POINT, RULES, nearest
from toeroom.sizing import size_report

COLUMNS = ("eu", "eu_15", "uk", "uk_half_inch", "us_men", "us_women_standard", "us_women_common")
TABLE = """
215 8.46 34.25 34.5 34.50 34.5 2.39 2.5 1.89 2 3.39 3.5 4.39 4.5 4.89 5
220 8.66 35.00 35 35.25 35.5 2.98 3 2.48 2.5 3.98 4 4.98 5 5.48 5.5
225 8.86 35.75 36 36.00 36 3.57 3.5 3.07 3 4.57 4.5 5.57 5.5 6.07 6
230 9.06 36.50 36.5 36.75 37 4.17 4 3.67 3.5 5.17 5 6.17 6 6.67 6.5
235 9.25 37.25 37.5 37.50 37.5 4.76 5 4.26 4.5 5.76 6 6.76 7 7.26 7.5
240 9.45 38.00 38 38.25 38.5 5.35 5.5 4.85 5 6.35 6.5 7.35 7.5 7.85 8
245 9.65 38.75 39 39.00 39 5.94 6 5.44 5.5 6.94 7 7.94 8 8.44 8.5
250 9.84 39.50 39.5 39.75 40 6.53 6.5 6.03 6 7.53 7.5 8.53 8.5 9.03 9
255 10.04 40.25 40.5 40.50 40.5 7.12 7 6.62 6.5 8.12 8 9.12 9 9.62 9.5
260 10.24 41.00 41 41.25 41.5 7.71 7.5 7.21 7 8.71 8.5 9.71 9.5 10.21 10
265 10.43 41.75 42 42.00 42 8.30 8.5 7.80 8 9.30 9.5 10.30 10.5 10.80 11
270 10.63 42.50 42.5 42.75 43 8.89 9 8.39 8.5 9.89 10 10.89 11 11.39 11.5
275 10.83 43.25 43.5 43.50 43.5 9.48 9.5 8.98 9 10.48 10.5 11.48 11.5 11.98 12
280 11.02 44.00 44 44.25 44.5 10.07 10 9.57 9.5 11.07 11 12.07 12 12.57 12.5
285 11.22 44.75 45 45.00 45 10.66 10.5 10.16 10 11.66 11.5 12.66 12.5 13.16 13
290 11.42 45.50 45.5 45.75 46 11.25 11.5 10.75 11 12.25 12.5 13.25 13.5 13.75 14
295 11.61 46.25 46.5 46.50 46.5 11.84 12 11.34 11.5 12.84 13 13.84 14 14.34 14.5
300 11.81 47.00 47 47.25 47.5 12.43 12.5 11.93 12 13.43 13.5 14.43 14.5 14.93 15
305 12.01 47.75 48 48.00 48 13.02 13 12.52 12.5 14.02 14 15.02 15 15.52 15.5
310 12.20 48.50 48.5 48.75 49 13.61 13.5 13.11 13 14.61 14.5 15.61 15.5 16.11 16
315 12.40 49.25 49.5 49.50 49.5 14.20 14 13.70 13.5 15.20 15 16.20 16 16.70 16.5
320 12.60 50.00 50 50.25 50.5 14.80 15 14.30 14.5 15.80 16 16.80 17 17.30 17.5
"""
ROWS = [line.split() for line in TABLE.split("\n") if line]
CELLS = [
    (int(row[0]), column, row[2 + 2 * at], row[3 + 2 * at])
    for row in ROWS
    for at, column in enumerate(COLUMNS)
]


def two(value: Fraction) -> str:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return str(exact.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP))


@pytest.mark.parametrize(("foot", "rule", "exact", "mark"), CELLS)
def test_every_cell_of_the_published_rules(foot: int, rule: str, exact: str, mark: str) -> None:
    assert two(RULES[rule].exact(foot)) == exact
    assert RULES[rule].mark(foot) == Fraction(mark)


def test_inches_of_the_table() -> None:
    assert [two(Fraction(row[0]) / INCH) for row in ROWS] == [row[1] for row in ROWS]


def test_one_size_in_millimetres() -> None:
    """Worked check 1 (Williams & Nester 2010)."""
    assert Fraction(254, 30) == BARLEYCORN
    assert [f"{float(v):.4f}" for v in (BARLEYCORN, BARLEYCORN / 2, PARIS_POINT)] == [
        "8.4667",
        "4.2333",
        "6.6667",
    ]


WORKED = [
    # foot in mm, rule, exact to two decimals, mark
    ("254", "us_men", "8.00", "8"),
    ("254", "uk", "7.00", "7"),
    ("254", "us_women_standard", "9.00", "9"),
    ("254", "us_women_common", "9.50", "9.5"),
    ("254", "eu", "40.10", "40"),
    ("250", "eu", "39.50", "39.5"),
    ("250", "uk", "6.53", "6.5"),
    ("250", "us_men", "7.53", "7.5"),
    ("250", "us_women_standard", "8.53", "8.5"),
    ("270", "eu", "42.50", "42.5"),
    ("270", "uk", "8.89", "9"),
    ("270", "us_men", "9.89", "10"),
    ("270", "us_women_common", "11.39", "11.5"),
    ("263", "mondopoint_5", "263.00", "265"),
    ("263", "mondopoint_7_5", "263.00", "262.5"),
    ("293", "us_men", "12.61", "12.5"),
    ("293", "eu", "45.95", "46"),
    ("226", "us_women_common", "6.19", "6"),
]


@pytest.mark.parametrize(("foot", "rule", "exact", "mark"), WORKED)
def test_worked_sizes(foot: str, rule: str, exact: str, mark: str) -> None:
    """Worked checks 2, 3, 4 and 9 of the size rules; 2 and 3 of ANSUR II."""
    assert two(RULES[rule].exact(Fraction(foot))) == exact
    assert RULES[rule].mark(Fraction(foot)) == Fraction(mark)


LASTS = [("us_men", "9"), ("uk", "8"), ("us_women_standard", "10"), ("us_women_common", "10.5")]


@pytest.mark.parametrize(("rule", "size"), LASTS)
def test_a_last_of_eleven_inches(rule: str, size: str) -> None:
    """Worked check 5."""
    assert RULES[rule].size_of_last(11 * INCH) == Fraction(size)
    assert RULES[rule].last(Fraction(size)) == 11 * INCH


def test_eu_42_back_to_last_and_foot() -> None:
    """Worked check 6."""
    assert RULES["eu"].last(42) == RULES["eu_15"].last(42) == 280
    assert f"{float(RULES['eu'].foot(42)):.1f}" == "266.7"
    assert RULES["eu_15"].foot(42) == 265


def test_us_sizes_back_to_the_foot() -> None:
    """Worked check 7."""
    assert RULES["us_men"].foot(9) / INCH == Fraction(31, 3)
    shown = [(rule, size, f"{float(RULES[rule].foot(size)):.1f}") for rule, size in
             (("us_men", 9), ("us_women_common", 8), ("us_women_standard", 8))]  # fmt: skip
    assert [length for *_, length in shown] == ["262.5", "241.3", "245.5"]


def test_how_much_longer_the_last_is() -> None:
    """Encyclopaedia: 2/3 in (16.9 mm) or 1/2 in (12.7 mm) UK and US; two points (13.3 mm) or 15 mm EU."""
    allowances = {
        rule: RULES[rule].last_allowance for rule in ("uk", "uk_half_inch", "us_men", "eu", "eu_15")
    }
    assert allowances == {
        "uk": INCH * 2 / 3,
        "uk_half_inch": INCH / 2,
        "us_men": INCH * 2 / 3,
        "eu": Fraction(40, 3),
        "eu_15": Fraction(15),
    }


def test_the_rounded_barleycorn_would_move_the_half_size() -> None:
    """Worked check 8: 8.47 in place of 25.4/3 gives another mark at 235 mm and at 290 mm."""
    for foot, right, wrong in ((235, "5", "4.5"), (290, "11.5", "11")):
        assert RULES["uk"].mark(foot) == Fraction(right)
        assert nearest(Fraction(foot) / Fraction("8.47") - 23, Fraction(1, 2)) == Fraction(wrong)


@pytest.mark.parametrize("foot", range(215, 321))
def test_what_holds_between_systems(foot: int) -> None:
    """Worked check 10."""
    exact = {rule: RULES[rule].exact(foot) for rule in RULES}
    assert exact["us_men"] - exact["uk"] == 1
    assert exact["eu_15"] - exact["eu"] == Fraction(1, 4)
    assert exact["uk"] - exact["uk_half_inch"] == Fraction(1, 2)
    assert exact["us_women_standard"] - exact["us_men"] == 1
    assert exact["us_women_common"] - exact["us_men"] == Fraction(3, 2)
    for rule in ("uk", "us_men", "us_women_common"):
        assert RULES[rule].exact(foot + BARLEYCORN) - exact[rule] == 1


RETAIL = [("10", 8), ("10.67", 10), ("11.33", 12)]


@pytest.mark.parametrize(("inches", "us"), RETAIL)
def test_a_retail_chart_obeys_the_us_rule(inches: str, us: int) -> None:
    """Trade chart (common practice), whose inches are rounded to hundredths."""
    assert abs(RULES["us_men"].exact(Fraction(inches) * INCH) - us) <= Fraction(3, 200)


def test_conversions_agree_with_pint() -> None:
    pint = pytest.importorskip("pint")
    units = pint.UnitRegistry(non_int_type=Fraction)
    for text, quantity in (
        ("262mm", units.Quantity(Fraction(262), "mm")),
        ("26.2cm", units.Quantity(Fraction("26.2"), "cm")),
        ("10 5/16in", units.Quantity(Fraction(165, 16), "inch")),
        ("3/16 in", units.Quantity(Fraction(3, 16), "inch")),
    ):
        assert Fraction(quantity.to("mm").magnitude) == millimetres(text)
    assert Fraction(units.Quantity(Fraction(1, 3), "inch").to("mm").magnitude) == BARLEYCORN
    assert Fraction(units.Quantity(Fraction(2, 3), "cm").to("mm").magnitude) == PARIS_POINT


# --- heel to ball --------------------------------------------------------------------------------
LARGER = [("us_men", "8", "9", "9"), ("us_men", "9", "8.5", "9"), ("us_men", "4", "5", "5")]


@pytest.mark.parametrize(("rule", "by_toe", "by_ball", "larger"), LARGER)
def test_the_larger_of_toe_and_ball_size(rule: str, by_toe: str, by_ball: str, larger: str) -> None:
    """Trade page (common practice), worked checks 1, 2 and 3: 8 and 9, 9 and 8.5, 4 and 5; no mean."""
    system = RULES[rule]
    at_ball = system.foot(Fraction(by_ball)) * populations.BALL_SHARE[MEN].mean
    fit = ball.longer_of(system.foot(Fraction(by_toe)), at_ball, MEN)
    assert system.mark(fit.length) == Fraction(larger)


def test_a_long_ball_asks_for_a_larger_size() -> None:
    """Worked check 4: man, foot 250 mm, ball 192 mm (ANSUR II share, derived)."""
    fit = ball.longer_of(250, 192, MEN)
    assert (f"{float(fit.ball):.1f}", fit.decided_by) == ("259.1", "ball")
    by_toe, by_ball = RULES["us_men"].mark(fit.toe), RULES["us_men"].mark(fit.length)
    assert (by_toe, by_ball) == (Fraction(15, 2), Fraction(17, 2))


def test_older_feet_in_thailand() -> None:
    """Worked check 5 (Chaiwanichsiri et al. 2008): foot 25.0 cm."""
    assert populations.THAI_ARCH_LENGTH.at(Fraction(250)) == 185
    assert populations.THAI_WIDTH[MEN].at(Fraction(250)) == Fraction("102.3")
    assert populations.THAI_WIDTH[WOMEN].at(Fraction(250)) == Fraction("96.4")
    usual = {(u.measure, u.value) for u in populations.usual_at(Fraction(250), MEN)}
    assert {("ball_length_mm", 185), ("ball_width_mm", Fraction("102.3"))} <= usual


def test_usual_feet_are_those_the_survey_counted() -> None:
    """ANSUR II (derived): men of 265 mm 100.5 wide, women of 245 mm 92.2; girths 248.5 and 227.4."""
    for last, length, width, girth in ((MEN, 265, "100.5", "248.5"), (WOMEN, 245, "92.2", "227.4")):
        soldiers = {
            u.measure: u.value for u in populations.usual_at(Fraction(length), last) if "ANSUR" in u.group
        }
        assert abs(soldiers["ball_width_mm"] - Fraction(width)) <= Fraction("0.3")
        assert abs(soldiers["ball_girth_mm"] - Fraction(girth)) <= Fraction("0.3")


@pytest.mark.parametrize(
    ("share", "flagged"), [("0.714", True), ("0.715", False), ("0.765", False), ("0.766", True)]
)
def test_ball_shares_out_of_the_band_are_flagged(share: str, flagged: bool) -> None:
    """Worked check 6 (ANSUR II, 5th to 95th percentile, men)."""
    feet = {"foot_length_mm": Fraction(270), "ball_length_mm": 270 * Fraction(share)}
    assert any("ball lies" in text for text in doubts(feet, MEN)) is flagged


def test_width_is_read_at_the_size_chosen_by_the_ball(book: object) -> None:
    """Worked check 7: width after the length size (trade page, common practice)."""
    words = {"left": ["250mm", "ball length=192mm", "ball width=100mm"]}
    report = size_report(feet_from_words(words, book.vocabulary, last=MEN))  # type: ignore[attr-defined]
    assert report.feet[0].widths[0].size == Fraction(17, 2)


# --- room in front of the toes -------------------------------------------------------------------
ROOM = [
    (262, 275, ("fits", "fits")),
    (262, 270, ("too short", "too short")),
    (262, 280, ("fits", "too long")),
    (262, 284, ("too long", "too long")),
    (265, 275, ("fits", "fits")),
    (265, 285, ("fits", "too long")),
    (265, 272, ("too short", "too short")),
    (265, 290, ("too long", "too long")),
]


@pytest.mark.parametrize(("foot", "inside", "verdicts"), ROOM)
def test_toe_room_by_both_bands(foot: int, inside: int, verdicts: tuple[str, str]) -> None:
    """van Netten et al. 2018, Table 3 (10 to 20 mm); Jones et al. 2020, Table 2 (10 to 15 mm)."""
    found = toe_room.judge(inside, foot)
    assert found.verdicts == verdicts
    assert found.disagree is (verdicts[0] != verdicts[1])


def test_the_length_of_a_last_is_no_inside_length() -> None:
    """Worked check 9: lasts fitted correctly by device were 23.6 mm longer than the foot (J Foot Ankle Res
    2014;7:3, and work of the same team): as inside lengths the bands would call them too long."""
    assert set(toe_room.judge(Fraction("262") + Fraction("23.6"), 262).verdicts) == {"too long"}
    assert "last" in (toe_room.judge.__doc__ or "")


def test_the_longer_foot_decides(book: object) -> None:
    """Worked check 5 of the fitting rules: left 262, right 266 (AOFAS fit advice)."""
    report = size_report(feet_from_words({"left": ["262mm"], "right": ["266mm"]}, book.vocabulary))  # type: ignore[attr-defined]
    assert report.decides == "right"
    assert report.inner_length == (276, 286)
    assert {size.rule.id: size.mark for size in report.sizes}["eu"] == RULES["eu"].mark(266)


# --- ANSUR II ------------------------------------------------------------------------------------
def test_a_man_one_standard_deviation_over_the_mean() -> None:
    """Worked check 1: 284.3 mm."""
    assert f"{float(z_score('foot_length_mm', MEN, Fraction('284.3'))):.1f}" == "1.0"


def test_the_median_man_and_woman_land_on_the_published_sizes() -> None:
    """Median size: men 10 (US men), women 8.5 (common scale)."""
    middle = {last: populations.SPREADS["foot_length_mm"][last].at[50] for last in (MEN, WOMEN)}
    assert RULES["us_men"].mark(middle[MEN]) == 10
    assert RULES["us_women_common"].mark(middle[WOMEN]) == Fraction(17, 2)


@pytest.mark.parametrize(("length", "again"), [(197, True), (198, False), (323, False), (324, True)])
def test_beyond_any_foot_of_the_survey(length: int, again: bool) -> None:
    """Worked check 4: outside 198 to 323 mm."""
    assert extremes("foot_length_mm") == (198, 323)
    assert (
        any("no foot of the survey" in text for text in doubts({"foot_length_mm": Fraction(length)}, None))
        is again
    )


def test_a_width_beyond_the_last_percentile() -> None:
    """Worked check 5: 120 mm at length 240, woman (99th percentile 104)."""
    found = doubts({"foot_length_mm": Fraction(240), "ball_width_mm": Fraction(120)}, WOMEN)
    assert len(found) == 1
    assert "104 mm" in found[0]
    assert "swelling" in found[0]


@pytest.mark.parametrize("at_ball", [250, 251])
def test_a_ball_beyond_the_toes_is_refused(at_ball: int) -> None:
    """Worked check 6."""
    with pytest.raises(BadInput, match="not shorter than the foot"):
        ball.longer_of(250, at_ball, None)


@pytest.mark.parametrize(("girth", "odd"), [(219, True), (220, False), (280, False), (281, True)])
def test_girth_and_width_that_do_not_go_together(girth: int, odd: bool) -> None:
    """Worked check 7: under 2.2 or over 2.8."""
    found = doubts({"ball_width_mm": Fraction(100), "ball_girth_mm": Fraction(girth)}, None)
    assert any("times the width" in text for text in found) is odd


def test_slips_of_unit() -> None:
    """Worked check 8: 27.1 is centimetres; 10.5 is inches."""
    assert slips(Decimal("27.1"), 150, 350) == (("centimetres", 271),)
    assert slips(Decimal("10.5"), 150, 350) == (("inches", Fraction("266.7")),)
    assert slips(2710, 150, 350) == (("tenths of a millimetre", 271),)
    assert slips(271, 150, 350) == ()
