"""The sheets of pressures, feeling, temperature, wounds, joints: what they say and what they leave open."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.bedside import entry
from toeroom.bedside.circulation import FootPressures, circulation_sheet
from toeroom.bedside.feeling import feeling_sheet
from toeroom.bedside.figures import CLOSING, WIDTH, Figure, FigureSheet, sheet_lines
from toeroom.bedside.from_case import case_sheets
from toeroom.bedside.joints import FootAngles, joints_sheet
from toeroom.bedside.relief import relief_sheet
from toeroom.bedside.skin_temperature import temperature_sheet
from toeroom.bedside.wound import Wound, wound_sheet
from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.errors import BadInput
from toeroom.measures.temperature_watch import Reading

DAY = date(2026, 11, 24)


def numbers(*values: int) -> tuple[Decimal, ...]:
    return tuple(Decimal(value) for value in values)


def figure(sheet: FigureSheet, figure_id: str, side: str = "person") -> Figure:
    found = sheet.figure(figure_id, side)
    assert found is not None, f"{figure_id} of {side}"
    return found


def text(*sheets: FigureSheet) -> str:
    return " ".join(" ".join(sheet_lines(sheets)).split())


# --- circulation ---------------------------------------------------------------------------------
def test_the_higher_arm_and_the_higher_artery_are_used_and_named() -> None:
    """Clinical topic 3, worked check 1: 84 and 92 over 136 and 140."""
    sheet = circulation_sheet(numbers(136, 140), {"right": FootPressures(numbers(84, 92))})
    index = figure(sheet, "ankle_arm_index", "right")
    assert (index.value, index.says) == (Decimal("0.66"), "reduced")
    assert "92, the higher of 84 and 92, / 140" in text(sheet)
    assert "arm used: 140, the higher of 136 and 140" in sheet.notes


def test_one_arm_or_one_artery_alone_is_said() -> None:
    sheet = circulation_sheet(numbers(140), {"left": FootPressures(numbers(92))})
    assert [note.split(":")[0] for note in sheet.notes] == ["one arm only", "one artery of a foot only"]


@pytest.mark.parametrize(
    ("ankle", "said"),
    [(130, "normal"), (135, "normal to 1.40 (AHA/ACC), too high from 1.3 on (IWGDF"), (141, "stiff: ")],
)
def test_both_conventions_and_stiff_arteries(ankle: int, said: str) -> None:
    sheet = circulation_sheet(numbers(100), {"left": FootPressures(numbers(ankle))})
    assert figure(sheet, "ankle_arm_index", "left").says.startswith(said)


def test_a_bad_toe_stops_whatever_the_index() -> None:
    """Clinical topic 3, worked check 6: 1.05 and a toe of 28."""
    sheet = circulation_sheet(numbers(120), {"left": FootPressures(numbers(126), Decimal(28))})
    assert "toe pressure under 30 mmHg" in sheet.stops[0]
    assert figure(sheet, "ischaemia_grade", "left").value == 3
    assert text(sheet).startswith("STOP left foot")


def test_without_an_arm_there_is_no_index_and_it_says_so() -> None:
    sheet = circulation_sheet((), {"left": FootPressures(numbers(92))})
    assert sheet.figure("ankle_arm_index", "left") is None
    assert "left: arm pressure, so no index" in sheet.missing


def test_hosiery_is_never_cleared_on_feeling_nobody_tested() -> None:
    said = {
        lost: figure(
            circulation_sheet(numbers(130), {"left": FootPressures(numbers(130), Decimal(90), None, lost)}),
            "compression",
            "left",
        ).says.split(" (")[0]
        for lost in (True, False, None)
    }
    assert said == {True: "contraindicated", False: "prescriber decides", None: "not cleared"}


# --- feeling -------------------------------------------------------------------------------------
def test_feeling_counts_and_open_answers() -> None:
    sheet = feeling_sheet(
        {"left": entry.sites("left", ["rwr", "RRR", "wrw"]), "right": entry.sites("right", ["rrr", "r?w"])},
        entry.toe_tips("yny", "y?y"),
    )
    assert [(f.value, f.says.split(";")[0]) for f in sheet.figures] == [
        ((1, 1), "counts as lost"),
        ((0, 1), "not decided"),
        ((1, 2), "not decided"),
    ]
    assert len(sheet.missing) == 3
    assert [f.as_json()["value"] for f in sheet.figures] == [1, [0, 1], [1, 2]]


def test_one_normal_test_rules_nothing_out() -> None:
    """Clinical topic 3, S24 (ADA): two normal tests, none abnormal."""
    felt = {side: [[True] * 3] * 3 for side in ("left", "right")}
    assert "two, none abnormal" in feeling_sheet(felt).notes[0]
    assert feeling_sheet({"left": [[False] * 3]}).notes == ()


# --- skin temperature ----------------------------------------------------------------------------
def reading(words: str, book: Book) -> Reading:
    return entry.reading(words, book.vocabulary, DAY)


def test_two_days_running_are_an_alarm_and_one_is_not(book: Book) -> None:
    """Clinical topic 7, worked checks 2 to 4."""
    first, second = reading("31.2/28.9C", book), reading("2026-11-25=31.4/28.9C", book)
    assert "measure again tomorrow (left foot)" in text(temperature_sheet([first]))
    assert "less walking; call the clinic (left foot)" in text(temperature_sheet([second, first]))
    assert "no alarm" in text(temperature_sheet([reading("31.3/28.9C", book)], Fraction("0.8")))


def test_fahrenheit_is_the_same_reading(book: Book) -> None:
    """Clinical topic 7, worked check 5: 91.0 and 86.5 °F."""
    sheet = temperature_sheet([reading("91.0/86.5F", book)])
    assert figure(sheet, "skin_difference").value == Fraction("2.5")


def test_between_the_two_printed_limits_it_says_so(book: Book) -> None:
    sheet = temperature_sheet([reading("31.11/28.9C", book)])
    assert "not over 4 °F" in sheet.notes[0]
    assert not temperature_sheet([reading("31.2/28.9C", book)]).notes


def test_hot_and_swollen_stops_without_a_thermometer() -> None:
    """Clinical topic 7, worked check 6."""
    sheet = temperature_sheet([], hot_and_swollen=True)
    assert "no second day is waited for" in sheet.stops[0]
    assert sheet.missing


# --- wounds --------------------------------------------------------------------------------------
def test_a_score_communicates_and_does_not_decide() -> None:
    """Clinical topic 3, worked check 7, with the infection left unsaid: 5 to 6."""
    sheet = wound_sheet(Wound(True, False, True, None, Decimal("1.0"), "tendon"), "left")
    assert figure(sheet, "sinbad", "left").value == (5, 6)
    assert sheet.missing == ("bacterial infection",)
    assert "to communicate, not to decide" in text(sheet)
    assert figure(sheet, "texas", "left").value == "II-C or II-D"
    assert "clinician at once" in sheet.stops[0]


def test_signs_of_infection_as_described() -> None:
    """Clinical topic 3, worked check 8: warmth, redness of 1.2 cm, nothing of the whole body."""
    none: frozenset[str] = frozenset()
    described = Wound(
        reaches="superficial", redness_cm=Decimal("1.2"), signs=frozenset({"warmth"}), systemic=none
    )
    assert figure(wound_sheet(described), "infection_grade").value == (2, 2)
    slight = Wound(
        reaches="superficial", redness_cm=Decimal("0.4"), signs=frozenset({"redness"}), systemic=none
    )
    assert figure(wound_sheet(slight), "infection_grade").value == (1, 1)


@pytest.mark.parametrize(
    ("wound", "stops"),
    [
        (Wound(reaches="healed"), False),
        (Wound(wagner=0), False),
        (Wound(wagner=1), True),
        (Wound(feeling_lost=True), True),
        (Wound(pulse_felt=False), True),
    ],
)
def test_a_wound_that_is_not_healed_stops_the_fitting(wound: Wound, stops: bool) -> None:
    assert bool(wound_sheet(wound).stops) is stops


@given(
    wound=st.builds(
        Wound,
        st.sampled_from([None, True, False]),
        st.sampled_from([None, True, False]),
        st.sampled_from([None, True, False]),
        st.sampled_from([None, True, False]),
        st.sampled_from([None, Decimal("0.5"), Decimal(1)]),
        st.sampled_from([None, "healed", "superficial", "tendon", "bone"]),
        st.sampled_from([None, Decimal("0.4"), Decimal(3)]),
        st.sampled_from([None, frozenset[str](), frozenset({"warmth", "pus"})]),
        st.sampled_from([None, frozenset[str](), frozenset({"pulse", "temperature"})]),
        st.sampled_from([None, 0, 4]),
    )
)
def test_every_sheet_can_be_shown(wound: Wound) -> None:
    sheet = wound_sheet(wound, "right")
    shown = json.loads(json.dumps(sheet.as_json()))
    assert all(figure["rule"] and figure["source"] for figure in shown["figures"])
    lines = sheet_lines([sheet])
    assert lines[-1] == CLOSING
    assert all(len(line) <= WIDTH for line in lines[:-1])


# --- joints and relief ---------------------------------------------------------------------------
def test_a_stiff_big_toe_names_its_stage_and_what_is_open() -> None:
    sheet = joints_sheet({"left": FootAngles(big_toe_up=Decimal(5)), "right": FootAngles(Decimal(39))})
    assert "stage 3 or 4" in figure(sheet, "big_toe_up", "left").says
    assert sheet.missing == ("left: whether the big toe hurts in mid-range",)
    assert figure(sheet, "bunion_angle", "right").says == "moderate"


def test_relief_on_its_edge_is_said() -> None:
    """Clinical topic 2, worked check 7: 310 to 217 kPa is 30 % exactly."""
    sheet = relief_sheet(Fraction(217), Fraction(310), Fraction(1))
    assert figure(sheet, "in_shoe_pressure").says == "relief shown by its fall"
    assert "not by van Netten" in sheet.notes[0]
    alone = relief_sheet(Fraction(220), None, None)
    assert "its fall is not known" in figure(alone, "in_shoe_pressure").says
    assert "sensor not said" in alone.notes[0]


# --- from a case ---------------------------------------------------------------------------------
CASE = """
case: a
as_of: 2026-11-25
left: {open_wound: yes, pulses_absent: yes, sensation_lost: yes}
measures:
  person: {arm_pressure_mmhg: 140}
  left: {ankle_pressure_mmhg: 92, filament_sites_missed: 2, skin_temp_c: 31.2}
  right: {toe_pressure_mmhg: 62, skin_temp_c: 28.9}
"""


def test_a_case_gives_the_sheets_it_states(book: Book) -> None:
    sheets = case_sheets(parse_case(CASE, book.vocabulary))
    assert [sheet.title for sheet in sheets] == ["Circulation", "Feeling", "Skin temperature", "Wound"]
    circulation, feeling, _, wound = sheets
    assert figure(circulation, "ankle_arm_index", "left").value == Decimal("0.66")
    assert circulation.notes == ()
    assert feeling.missing == ("right: filament",)
    assert figure(wound, "sinbad", "left").value == (2, 6)
    assert case_sheets(parse_case("case: a\n", book.vocabulary)) == []


def test_a_case_agrees_with_the_plan_on_what_stops(book: Book) -> None:
    """A limit passed here stops the plan as well."""
    for pressures in ("ankle_pressure_mmhg: 49", "toe_pressure_mmhg: 29"):
        case = parse_case(f"case: a\nmeasures: {{left: {{{pressures}}}}}\n", book.vocabulary)
        assert case_sheets(case)[0].stops
        assert book.planner.plain_plan(case).stop


def test_a_count_of_the_filament_is_lost_feeling_for_hosiery_too(book: Book) -> None:
    text = (
        "case: a\nleft: {sensation_lost: no}\nmeasures: {person: {arm_pressure_mmhg: 130}, "
        "left: {ankle_pressure_mmhg: 130, toe_pressure_mmhg: 90, filament_sites_missed: MISSED}}\n"
    )
    said = [
        figure(
            case_sheets(parse_case(text.replace("MISSED", n), book.vocabulary))[0], "compression", "left"
        ).says
        for n in ("0", "1")
    ]
    assert said[0] == "prescriber decides"
    assert said[1].startswith("contraindicated")


def test_nothing_of_a_leg_that_is_not_there(book: Book) -> None:
    case = parse_case(CASE, book.vocabulary).with_finding("leg_amputated", "left", "yes")
    titles = {sheet.title: sheet for sheet in case_sheets(case)}
    assert set(titles) == {"Circulation"}
    assert {f.side for f in titles["Circulation"].figures} == {"right"}


# --- what is typed -------------------------------------------------------------------------------
REFUSED = [
    (lambda v: entry.arm_pressures(["nan"], v), "cannot be 'nan'"),
    (lambda v: entry.arm_pressures(["-140"], v), "cannot be '-140'"),
    (lambda v: entry.arm_pressures(["1", "2", "3"], v), "two arms"),
    (lambda v: entry.arm_pressures(["18kPa"], v), "mmHg"),
    (lambda v: entry.arm_pressures(["14"], v), "out of range"),
    (lambda v: entry.foot_pressures("left", ["ankel=92"], v, numb=None), "did you mean 'ankle'"),
    (lambda v: entry.foot_pressures("left", ["92"], v, numb=None), "write ankle="),
    (lambda v: entry.foot_pressures("left", ["toe=62", "toe=60"], v, numb=None), "said twice"),
    (lambda v: entry.foot_pressures("left", ["ankle=1/2/3"], v, numb=None), "two arteries"),
    (lambda v: entry.sites("left", ["rw"]), "3 letters"),
    (lambda v: entry.toe_tips("yxn", ""), "y, n or ?"),
    (lambda v: entry.reading("31.2", v, DAY), "left/right"),
    (lambda v: entry.reading("31.2/28.9", v, DAY), "C or F"),
    (lambda v: entry.reading("91/86.5C", v, DAY), "91 °F would be taken"),
    (lambda v: entry.reading("31.2/28.9F", v, DAY), "31.2 °C would be taken"),
    (lambda v: entry.reading("2026-02-30=31.2/28.9C", v, DAY), "no day"),
    (lambda v: entry.usual_difference("0.8C"), "left=0.8C"),
    (lambda v: entry.usual_difference("left=8C"), "at most 5"),
    (lambda v: entry.foot_angles("left", ["bunion=-5"], mid_range_pain=None), "cannot be '-5'"),
    (lambda v: entry.foot_angles("left", ["bunion=95"], mid_range_pain=None), "out of range"),
]


@pytest.mark.parametrize(("typed", "said"), REFUSED)
def test_what_is_not_understood_is_refused_in_one_line(typed: object, said: str, book: Book) -> None:
    with pytest.raises(BadInput) as caught:
        typed(book.vocabulary)  # type: ignore[operator]
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@given(words=st.text(max_size=24))
def test_any_text_is_a_reading_or_one_line(words: str, book: Book) -> None:
    said = ""
    try:
        assert entry.reading(words, book.vocabulary, DAY).left >= 15
    except BadInput as fault:
        said = str(fault)
    assert "\n" not in said
