"""The size report of both feet, its text and its JSON."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.errors import BadInput
from toeroom.measured_feet import MEASURES, Feet, feet_from_case, feet_from_words
from toeroom.measures.sizes import RULES
from toeroom.pictures.size_rule import size_rule_lines
from toeroom.size_text import size_lines
from toeroom.sizing import size_report

OTHER = {"left": "right", "right": "left"}
LIMITS = {
    "foot_length_mm": (200, 320),
    "ball_width_mm": (80, 120),
    "ball_girth_mm": (200, 280),
    "toe_height_mm": (15, 35),
    "insert_thickness_mm": (3, 8),
    "shoe_inner_length_mm": (210, 340),
    "shoe_inner_width_mm": (80, 120),
    "shoe_toe_depth_mm": (20, 45),
}


@st.composite
def both_feet(draw: st.DrawFn) -> Feet:
    found: dict[tuple[str, str], Fraction] = {}
    for side in OTHER:
        for term, (low, high) in LIMITS.items():
            if term == "foot_length_mm" or draw(st.booleans()):
                found[term, side] = Fraction(draw(st.integers(low * 10, high * 10)), 10)
        width, girth = (found.get((term, side)) for term in ("ball_width_mm", "ball_girth_mm"))
        if width is not None and girth is not None:
            found["ball_girth_mm", side] = max(girth, 2 * width)
        if draw(st.booleans()):
            found["ball_length_mm", side] = found["foot_length_mm", side] * draw(st.integers(700, 790)) / 1000
    last = draw(st.sampled_from([None, "men", "women"]))
    system = draw(st.sampled_from([None, "eu", "uk", "us_men", "us_women", "mondopoint"]))
    return Feet(found, last=last, system=system)


def mirrored(feet: Feet) -> Feet:
    return Feet(
        {(term, OTHER[side]): value for (term, side), value in feet.measures.items()},
        last=feet.last,
        system=feet.system,
    )


@given(feet=both_feet())
def test_mirrored_feet_are_mirrored(feet: Feet) -> None:
    here, there = size_report(feet), size_report(mirrored(feet))
    assert here.sizes == there.sizes
    assert here.inner_length == there.inner_length
    for side, other in OTHER.items():
        one, two = here.foot(side), there.foot(other)
        assert one is not None
        assert two is not None
        assert (one.sizes, one.widths, one.in_hand, one.depth_needed, one.doubts) == (
            two.sizes,
            two.widths,
            two.in_hand,
            two.depth_needed,
            two.doubts,
        )
    assert here.pair is not None
    assert there.pair is not None
    assert OTHER.get(here.pair.larger, "") == there.pair.larger
    assert here.pair.two_sizes is there.pair.two_sizes


@given(feet=both_feet())
def test_every_report_can_be_shown(feet: Feet) -> None:
    report = size_report(feet)
    shown = json.loads(json.dumps(report.as_json()))
    assert {size["rule"] for size in shown["sizes"]} == {
        rule.id for rule in RULES.values() if feet.system in (None, rule.system)
    }
    assert all("\n" not in line and line == line.rstrip() for line in size_lines(report, inches=True))
    assert size_rule_lines(report)
    longest = max(foot.fit_length for foot in report.feet)
    assert all(size.foot_from <= longest < size.foot_to for size in report.sizes)


@given(length=st.integers(1500, 3500))
def test_the_unit_of_entry_does_not_matter(length: int, book: Book) -> None:
    texts = [f"{length / 10:.1f}mm", f"{length / 100:.2f}cm"]
    one, two = (
        size_report(feet_from_words({"left": [text], "right": [f"foot_length={text}"]}, book.vocabulary))
        for text in texts
    )
    assert one.as_json() == two.as_json()


def test_from_a_case(book: Book) -> None:
    case = parse_case(
        "case: a\nperson: {measured_morning: yes, measured_sitting: yes}\nright: {swelling: yes}\n"
        "choices: {size_system: us_women}\n"
        "measures: {left: {foot_length_mm: 250, ball_width_mm: 92}, right: {foot_length_mm: 254}}\n",
        book.vocabulary,
    )
    report = size_report(feet_from_case(case))
    assert (report.decides, report.last, report.system) == ("right", "women", "us_women")
    said = " ".join(report.warnings)
    assert all(word in said for word in ("morning", "sitting", "right foot swollen"))
    assert {size.rule.id: size.mark for size in report.sizes} == {
        "us_women_standard": 9,
        "us_women_common": Fraction(19, 2),
    }


def test_a_leg_that_is_not_there_is_no_missing_measurement(book: Book) -> None:
    lengths = "measures: {left: {foot_length_mm: 250}, right: {foot_length_mm: 254}}\n"
    text = f"case: a\nleft: {{leg_amputated: yes}}\n{lengths}"
    report = size_report(feet_from_case(parse_case(text, book.vocabulary)))
    assert [foot.side for foot in report.feet] == ["right"]
    assert report.pair is None
    assert not any("not measured" in text for text in report.warnings)


def test_one_foot_alone_asks_for_the_other(book: Book) -> None:
    report = size_report(feet_from_words({"left": ["262mm"]}, book.vocabulary))
    assert any(text.startswith("right foot not measured") for text in report.warnings)


UNEQUAL = [
    ("250mm", "258.4mm", None, False),
    ("250mm", "258.5mm", None, True),
    ("250mm", "256.7mm", "eu", True),
]


@pytest.mark.parametrize(("left", "right", "system", "two"), UNEQUAL)
def test_two_sizes_as_in_a_plan(left: str, right: str, system: str | None, two: bool, book: Book) -> None:
    report = size_report(feet_from_words({"left": [left], "right": [right]}, book.vocabulary, system=system))
    assert report.pair is not None
    assert report.pair.two_sizes is two


def test_what_the_smaller_foot_needs(book: Book) -> None:
    report = size_report(feet_from_words({"left": ["262mm"], "right": ["266mm"]}, book.vocabulary))
    assert report.pair is not None
    assert (report.pair.smaller, report.pair.room_for_smaller) == ("left", (14, 24))
    assert any("the left foot then has 14 mm to 24 mm" in line for line in size_lines(report))


def test_where_sources_disagree_both_are_said(book: Book) -> None:
    words = {
        "left": ["262mm", "shoe inner length=280mm", "ball width=98mm", "ball girth=270mm"],
        "right": ["262mm"],
    }
    said = " ".join(size_report(feet_from_words(words, book.vocabulary, last="men")).disagreements)
    for part in ("UK, rule A 8, UK, rule B 7½", "passes 10 to 20 mm and fails 10 to 15 mm", "by flat width"):
        assert part in said


REFUSED = [
    ({"left": ["262"]}, {}, "write its unit"),
    ({"left": ["26.2mm"]}, {}, "26.2 centimetres would be 262 mm"),
    ({"left": ["10.3mm"]}, {}, "10.3 inches would be 261.62 mm"),
    ({"left": ["lenght=262mm"]}, {}, "did you mean 'foot_length'"),
    ({"left": ["262mm", "foot length=263mm"]}, {}, "said twice"),
    ({"left": ["ball width=100mm"]}, {}, "no foot length is stated"),
    ({"left": ["250mm", "ball length=250mm"]}, {}, "left foot: the ball length"),
    ({"left": ["262mm", "ball width=104mm", "ball girth=207mm"]}, {}, "cannot be 207 mm around"),
    ({"left": ["262mm"]}, {"last": "boys"}, "'boys' is not a last"),
    ({"left": ["262mm"]}, {"system": "fr"}, "'fr' is not a size system"),
    ({"left": ["262mm"]}, {"clearance": "2"}, "the clearance cannot be '2'"),
]


@pytest.mark.parametrize(("words", "options", "what"), REFUSED)
def test_bad_input_is_one_clear_line(
    words: dict[str, list[str]], options: dict[str, str], what: str, book: Book
) -> None:
    with pytest.raises(BadInput) as caught:
        size_report(feet_from_words(words, book.vocabulary, **options))  # type: ignore[arg-type]
    assert what in str(caught.value)
    assert "\n" not in str(caught.value)


def test_every_measure_of_a_report_is_in_the_vocabulary(book: Book) -> None:
    assert set(MEASURES) <= set(book.vocabulary.measures)
