"""Rocker apex, pressure relief, lifts, depth and inserts, against published figures.

Sources: Preece et al., J Foot Ankle Res 2017, Table 2; Chapman et al., Clin Biomech 2013; van Netten et
al. 2018, rec. 8 (relief); trade articles on lifts (common practice throughout; evidence of very low
quality, Campbell et al. 2018); Medicare Benefit Policy Manual ch. 15 §140 (depth shoe, yearly units);
DME MAC and PDAC notices (base layers); Diabet Med 2001 and a 43-person study (life of an insert).
Policy is dated: read 2026-11.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from tests.conftest import ROOT
from toeroom.measures import inserts, lift_profiles, rockers
from toeroom.measures.depth import depth_needed, depth_spare, is_depth_shoe
from toeroom.measures.lengths import INCH
from toeroom.measures.yearly_units import over_the_year

Look = Callable[[str], Any]

# --- rockers -------------------------------------------------------------------------------------
APEX = [(52, "150.8"), (57, "165.3"), (60, "174"), (51, "147.9"), (75, "217.5"), (65, "188.5")]


@pytest.mark.parametrize(("percent", "mm"), APEX)
def test_apex_on_a_shoe_of_290_mm(percent: int, mm: str) -> None:
    """Worked check 1."""
    assert rockers.apex_mm(290, percent) == Fraction(mm)


def test_an_apex_too_far_forward_for_the_middle_heads() -> None:
    """Worked check 2: 65 % for heads 2 to 4 (Chapman 2013)."""
    found = rockers.rocker_advice(290, rockers.HEADS_2_TO_4, 20, 65)
    assert any("beyond 60 %" in text for text in found.warnings)
    assert not rockers.rocker_advice(290, rockers.HEADS_2_TO_4, 20).warnings
    assert not any("60 %" in text for text in rockers.rocker_advice(290, rockers.BIG_TOE, 20, 65).warnings)


def test_fifteen_degrees_where_twenty_is_refused() -> None:
    """Worked check 3: allowed, with its loss of 6 to 12 % (Preece 2017)."""
    found = rockers.rocker_advice(290, rockers.HEADS_2_TO_4, 15)
    assert found.percent == 52
    assert any("6 to 12 %" in text for text in found.warnings)


RELIEF = [
    (190, None, True),
    (170, 260, True),
    (220, 300, False),
    (217, 310, True),
    (220, 310, False),
    (195, 260, True),
]


@pytest.mark.parametrize(("after", "before", "shown"), RELIEF)
def test_relief_that_counts_as_shown(after: int, before: int | None, shown: bool) -> None:
    """Worked check 4; the last three are those of the international guideline."""
    assert rockers.pressure_relief(after, before).shown is shown


def test_thirty_per_cent_sharp_is_judged_two_ways() -> None:
    """310 to 217 kPa: at least 30 %, not more than 30 %."""
    found = rockers.pressure_relief(217, 310)
    assert (found.fall_percent, found.by_share, found.strictly, found.by_level) == (30, True, False, False)
    assert f"{float(rockers.pressure_relief(170, 260).fall_percent or 0):.1f}" == "34.6"
    assert f"{float(rockers.pressure_relief(220, 300).fall_percent or 0):.1f}" == "26.7"


def test_the_published_shares_are_whole() -> None:
    """Worked check 5: each column adds up to about 100."""
    assert set(rockers.BEST_FOR) == {
        (target, angle) for target in rockers.TARGETS for angle in rockers.ANGLES
    }
    for column in rockers.BEST_FOR.values():
        assert abs(sum(column.values()) - 100) <= 1


def test_best_for_most() -> None:
    """Worked check 6: big toe at 15°, 57 %; everything else 52 %."""
    best = {place: rockers.best_apex(*place) for place in rockers.BEST_FOR}
    assert best.pop((rockers.BIG_TOE, 15)) == 57
    assert set(best.values()) == {52}


def test_what_is_from_memory_says_so() -> None:
    said = rockers.rocker_advice(290, rockers.FIRST_HEAD).published
    remembered = [place for place in said if "from memory" in place.source]
    assert {(place.least, place.most) for place in remembered} == {(51, 75), (55, 60)}


def test_an_apex_in_front_of_the_joint_is_said() -> None:
    found = rockers.rocker_advice(290, rockers.FIRST_HEAD, 20, 75, first_head=200)
    assert any("in front of the big-toe joint" in text for text in found.warnings)
    assert not rockers.rocker_advice(290, rockers.FIRST_HEAD, 20, 52, first_head=200).warnings


def test_a_stiff_ankle_gets_a_rocker_and_the_heel_wedge_is_custom(plan: Look) -> None:
    """Worked check 7: rocker, and a soft heel wedge as trade pages have it (common practice)."""
    line = plan("left: {stiff_ankle: yes}\n").line("rocker_sole@left")
    assert any("common-practice" in source for source in line.sources)
    page = (ROOT / "kb/feet/stiff-ankle.md").read_text(encoding="utf-8")
    assert "(a cushioned or SACH heel)" in page
    assert "[@trade-modification-lists]" in page


# --- lifts ---------------------------------------------------------------------------------------
def test_eight_millimetres_go_inside() -> None:
    """Worked check 1."""
    found = lift_profiles.place(8)
    assert (found.where, found.profile.heel) == ("inside", 8)


def test_fifteen_millimetres_do_not_all_go_inside() -> None:
    """Worked check 2, by the 10 mm rule."""
    assert lift_profiles.place(15).where == "sole"
    assert [lift_profiles.place(mm).where for mm in (10, Fraction("10.1"), 0)] == ["inside", "sole", "none"]


def test_ten_millimetres_outside() -> None:
    """Worked check 3: 10 at the heel, 5 at the ball, thinning to the tip."""
    assert lift_profiles.outside_profile(10) == lift_profiles.Profile(Fraction(10), Fraction(5), Fraction(0))


def test_staging_of_fifteen_millimetres() -> None:
    """Worked check 4: half is 7.5 mm, 60 to 70 % is 9.0 to 10.5 mm."""
    found = lift_profiles.staging(15)
    assert (found.at_half, found.at_60, found.at_70) == (Fraction("7.5"), 9, Fraction("10.5"))


def test_limits_in_inches() -> None:
    """Worked check 5: 1/4, 3/8 and 1/2 in."""
    assert [float(INCH * part) for part in (Fraction(1, 4), Fraction(3, 8), Fraction(1, 2))] == [
        6.35,
        9.525,
        12.7,
    ]
    assert [limit for limit, _ in lift_profiles.OTHER_LIMITS] == [Fraction("6.35"), 10, 12, Fraction("12.7")]


def test_a_functional_difference_gets_no_lift() -> None:
    """Worked check 6."""
    found = lift_profiles.place(8, functional=True)
    assert found.where == "none"
    assert "prescriber" in found.cautions[0]


@pytest.mark.parametrize("which", ["numb", "shallow"])
def test_a_numb_foot_or_a_shallow_shoe_is_warned_about(which: str) -> None:
    """Worked check 7."""
    assert any("deep shoe" in text for text in lift_profiles.place(8, **{which: True}).cautions)
    assert not any("deep shoe" in text for text in lift_profiles.place(8).cautions)


def test_lifts_say_that_they_are_lore() -> None:
    """Worked check 8."""
    for source in (lift_profiles.place(8).source, lift_profiles.staging(8).source):
        assert "common practice" in source


def test_the_side_of_the_walker_and_the_other() -> None:
    """A walker of 45 mm beside a shoe of 25: 20 mm on the other side; a short leg under the walker takes
    its share of them, a short leg on the other side adds to them (common practice)."""
    assert lift_profiles.other_side_raise(45, 25, on_short_leg=True) == 20
    assert lift_profiles.other_side_raise(45, 25, 14, on_short_leg=True) == 6
    assert lift_profiles.other_side_raise(45, 25, 14, on_short_leg=False) == 34
    assert lift_profiles.other_side_raise(30, 25, 14, on_short_leg=True) == -9


# --- depth and inserts ---------------------------------------------------------------------------
def test_depth_of_two_worked_feet() -> None:
    """Handbook, depth needed: 22 + 5 in 30 mm, and 24 + 8 in 29 mm."""
    assert depth_spare(30, depth_needed(22, 5)) == 3
    assert depth_spare(29, depth_needed(24, 8)) == -3
    assert depth_needed(22, 5, clearance=2) == 29


DEPTH_SHOES = [
    ("4.0", 3, False),
    ("4.5", 3, False),
    ("4.7", 3, False),
    ("4.76", 3, True),
    ("6", 2, False),
    ("6", 4, True),
]


@pytest.mark.parametrize(("filler", "widths", "holds"), DEPTH_SHOES)
def test_what_is_a_depth_shoe(filler: str, widths: int, holds: bool) -> None:
    """Inserts, worked check 6; Medicare, worked check 11."""
    assert is_depth_shoe(Fraction(filler), widths) is holds


BASES = [
    (35, "6.35", True),
    (35, "5.0", False),
    (40, "4.8", True),
    (40, "4.5", False),
    (30, "12", False),
    (35, "4.76", False),
]


@pytest.mark.parametrize(("shore", "mm", "holds"), BASES)
def test_a_prefabricated_base(shore: int, mm: str, holds: bool) -> None:
    """Inserts, worked checks 1 to 5; Medicare, worked check 10."""
    assert inserts.prefabricated_base_holds(shore, Fraction(mm)) is holds


def test_heat_and_custom_bases() -> None:
    """Medicare, worked check 10: 200 °F fails; 3/16 in at 35 holds for a custom insert."""
    assert not inserts.prefabricated_base_holds(35, Fraction("6.35"), heat_f=200)
    assert inserts.custom_base_holds(35, INCH * 3 / 16, INCH / 16)
    assert not inserts.custom_base_holds(35, INCH * 3 / 16, Fraction("1.5"))
    assert not inserts.custom_base_holds(34, INCH * 3 / 16)


def test_relief_falls_with_wear_and_nothing_says_expired() -> None:
    """Inserts, worked checks 9 and 10."""
    left = [inserts.RELIEF_LEFT[month] for month in sorted(inserts.RELIEF_LEFT)]
    assert left == sorted(left, reverse=True) == [39, 32, 20]
    said = inserts.reviews_reached(7)
    assert [text.split(":")[0] for text in said] == ["4 months", "6 months"]
    assert not any("expired" in text for text in said)
    assert len(inserts.reviews_reached(12)) == 3
    assert inserts.reviews_reached(3) == ()


UNITS = [
    ({"A5500": 2, "A5512": 6}, 0, "one pair and three pairs of inserts: inserts, worked check 7"),
    ({"A5500": 2, "A5512": 8}, 2, "a fourth pair: 7"),
    ({"A5501": 2, "A5513": 6}, 2, "custom shoes and three more pairs: 8; Medicare, worked check 8"),
    ({"A5501": 2, "A5513": 4}, 0, "custom shoes and two more pairs"),
    (
        {"A5500": 2, "A5512": 4, "A5503": 2},
        0,
        "a rocker on both for the third pair: Medicare, worked check 9",
    ),
    ({"A5500": 2, "A5512": 6, "A5503": 2}, 2, "a rocker on top of three pairs"),
    ({"A5500": 4, "A5512": 6}, 2, "a second pair"),
]


@pytest.mark.parametrize(("units", "over", "why"), UNITS)
def test_units_of_a_year(units: dict[str, int], over: int, why: str) -> None:
    found = over_the_year(units)
    assert sum(int(text.split()[0]) for text in found) == over, why


def test_two_routes_in_one_year_do_not_go_together() -> None:
    assert over_the_year({"A5500": 2, "A5501": 2})
    with pytest.raises(ValueError, match="A9999"):
        over_the_year({"A9999": 1})


def test_two_claims_of_a_year_add_up() -> None:
    """Medicare, worked check 7: 2 shoes and 4 inserts claimed; 2 more are in, 4 more are 2 too many."""
    assert over_the_year({"A5500": 2, "A5512": 4 + 2}) == ()
    assert over_the_year({"A5500": 2, "A5512": 4 + 4})[0].startswith("2 units too many")
