"""The size of a last, and what another shoe changes."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.errors import BadInput
from toeroom.measures.lengths import INCH
from toeroom.measures.sizes import RULES
from toeroom.size_questions import (
    change_json,
    change_lines,
    change_of_shoe,
    last_json,
    last_lines,
    sizes_of_last,
)


def test_a_last_of_eleven_inches() -> None:
    """Fitting 1B, worked check 5: US men 9, UK 8, US women 10 standard and 10.5 common."""
    found = {size.rule.id: size for size in sizes_of_last(11 * INCH)}
    assert {rule: found[rule].mark for rule in ("us_men", "uk", "us_women_standard", "us_women_common")} == {
        "us_men": 9,
        "uk": 8,
        "us_women_standard": 10,
        "us_women_common": Fraction(21, 2),
    }
    assert "mondopoint_5" not in found
    assert "not the room inside the shoe" in last_lines(11 * INCH, tuple(found.values()))[0]


@given(length=st.fractions(200, 340, max_denominator=50), rule=st.sampled_from(sorted(RULES)))
def test_the_foot_of_a_last_gets_the_size_of_the_last(length: Fraction, rule: str) -> None:
    """The allowance closes the loop: size of the last = size of the foot that much shorter."""
    over = RULES[rule].last_allowance
    if over is not None:
        assert RULES[rule].exact(length - over) == RULES[rule].size_of_last(length)


def test_as_json() -> None:
    shown = json.loads(json.dumps(last_json(Fraction(280), sizes_of_last(Fraction(280), "eu"))))
    assert [(size["mark"], size["last_over_foot_mm"]) for size in shown["sizes"]] == [(42, 13.333), (42, 15)]


CHANGES = [
    ("9 D", "10 D", "us_men", "6.35", "8.47"),
    ("9 D", "9 E", "us_men", "6.35", "0.00"),
    ("9 D", "10 C", "us_men", "0.00", "8.47"),
    ("9 D", "10 E", "us_men", "12.70", "8.47"),
    ("9½ D", "9 d", "us_women", "-3.175", "-4.23"),
    ("42", "43", "eu", "5.00", "6.67"),
]


@pytest.mark.parametrize(("start", "to", "system", "girth", "length"), CHANGES)
def test_what_another_shoe_changes(start: str, to: str, system: str, girth: str, length: str) -> None:
    """Fitting 2B, worked checks 1, 2 and 7."""
    found = change_of_shoe(start, to, system)
    assert found.step.girth == Fraction(girth)
    assert f"{float(found.step.length):.2f}" == length
    assert any("no way to get width" in line for line in change_lines(found)) is (length != "0.00")
    assert json.dumps(change_json(found))


def test_a_letter_of_girth_is_not_one_of_flat_width() -> None:
    """Fitting 2B, worked check 3: 4.76 mm of flat width, 6.35 mm of girth."""
    said = change_lines(change_of_shoe("9 D", "9 E", "us_men"))[0]
    assert "ball girth +6.35 mm, flat width +4.76 mm" in said


REFUSED = [
    ("9 D", "10", "us_men", "cannot be compared"),
    ("42 D", "43 D", "eu", "no width letter"),
    ("9 Q", "10 D", "us_men", "no marked shoe"),
    ("nan", "10", "us_men", "no marked shoe"),
    ("-9", "10", "us_men", "no marked shoe"),
    ("260", "265", "mondopoint", "not published"),
]


@pytest.mark.parametrize(("start", "to", "system", "said"), REFUSED)
def test_bad_marks_are_refused_in_one_line(start: str, to: str, system: str, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        change_of_shoe(start, to, system)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_mondopoint_names_no_last() -> None:
    with pytest.raises(BadInput, match="names the foot"):
        sizes_of_last(Fraction(280), "mondopoint")
