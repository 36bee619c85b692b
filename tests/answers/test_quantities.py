"""Numbers as people write them, and their exact conversion."""

from __future__ import annotations

from fractions import Fraction

import pytest

from toeroom.answers.cues import Cues
from toeroom.answers.quantities import find_quantities
from toeroom.answers.tokens import tokenise
from toeroom.answers.understand import understand
from toeroom.vocabulary import Vocabulary


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("26.4 cm", Fraction(264, 10), "cm"),
        ("4mm", Fraction(4), "mm"),
        ('3/8"', Fraction(3, 8), "inch"),
        ("3/8''", Fraction(3, 8), "inch"),
        ('10 1/4"', Fraction(41, 4), "inch"),
        ("10¼ inches", Fraction(41, 4), "inch"),
        ("1/2 in short", Fraction(1, 2), "inch"),
        ("3/16 in both", Fraction(3, 16), "inch"),
        ("half an inch", Fraction(1, 2), "inch"),
        ("three quarters of an inch", Fraction(3, 4), "inch"),
        ("one point five centimetres", Fraction(3, 2), "cm"),
        ("two hundred and fifty five millimetres", Fraction(255), "mm"),
        ("140 mmHg", Fraction(140), "mmhg"),
        ("140 mm Hg", Fraction(140), "mmhg"),
        ("31.2 °C", Fraction(312, 10), "c"),
        ("88 F", Fraction(88), "f"),
        ("8/52", Fraction(8), "week"),
        ("a year and a half", Fraction(3, 2), "year"),
        ("5'6\"", Fraction(5), "foot"),
        ("9 1/2 in the shop socks", Fraction(19, 2), ""),
    ],
)
def test_forms(text: str, value: Fraction, unit: str) -> None:
    tokens = tokenise(text)
    first = find_quantities(tokens, [t.stem for t in tokens])[0]
    assert (first.value, first.unit) == (value, unit)


@pytest.mark.parametrize(
    ("text", "measure", "value"),
    [
        ("Foot length L 10 in.", "foot_length_mm", 254.0),
        ("Foot length L 26.4.", "foot_length_mm", 264.0),
        ("Foot length L 264.", "foot_length_mm", 264.0),
        ("Skin temp L 86 F.", "skin_temp_c", 30.0),
        ("Insert L 1 year old.", "insert_age_months", 12.0),
        ("Insert L 4 weeks old.", "insert_age_months", 0.9199),
        ("Left leg 1/8 inch short.", "leg_difference_mm", 3.175),
    ],
)
def test_in_the_unit_of_the_measure(
    text: str, measure: str, value: float, vocabulary: Vocabulary, cues: Cues
) -> None:
    """An inch is 25.4 mm by definition; °F by (F - 32) * 5/9; a month a twelfth of 365.25 days."""
    assert [(u.id, u.value) for u in understand(text, vocabulary, cues) if u.value is not None] == [
        (measure, value)
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Foot length L 5'2\".",
        "Foot length 600 mm.",
        "Ball width 4 ft.",
        "Leg difference 4.",
        "Wears size 9, takes a 10.",
        "Supplier: 9 1/2 wide out of stock.",
        "Red mark gone after 5 min.",
        "Height 182 cm, weight 96 kg.",
        "13 mm of room in front of the toes.",
    ],
)
def test_what_is_no_measure(text: str, vocabulary: Vocabulary, cues: Cues) -> None:
    """Feet and inches, values out of range, a bare number that could be two units, shoe sizes, minutes."""
    assert [u for u in understand(text, vocabulary, cues) if u.value is not None] == []
