"""Lengths as people write them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.errors import BadInput
from toeroom.measures.entry import RULE_PARTS, in_inches, millimetres
from toeroom.measures.lengths import INCH

TAKEN = [
    ("262mm", Fraction(262)),
    ("262 mm", Fraction(262)),
    (" 26.2 CM ", Fraction(262)),
    ("10 5/16in", Fraction(165, 16) * INCH),
    ('10 5/16"', Fraction(165, 16) * INCH),
    ("10¼ in", Fraction(41, 4) * INCH),
    ("10.3125 inches", Fraction(165, 16) * INCH),
    ("3/16 in", Fraction(3, 16) * INCH),
    ("10in", 10 * INCH),
]


@pytest.mark.parametrize(("text", "mm"), TAKEN)
def test_exact(text: str, mm: Fraction) -> None:
    assert millimetres(text) == mm


REFUSED = [
    ("262", "write its unit"),
    ("10 5/16", "write its unit"),
    ("5'6\"", "feet are not taken"),
    ("1ft 2in", "feet are not taken"),
    ("1 foot", "feet are not taken"),
    ("26,2cm", "26.2cm"),
    ("10-5/16in", "a dash could be a range"),
    ("10 5/15in", "halves to 64ths"),
    ("10 17/16in", "halves to 64ths"),
    ("10 0/16in", "halves to 64ths"),
    ("10.5 1/2in", "halves to 64ths"),
    ("26 1/2cm", "halves to 64ths"),
    ("-262mm", "one plain number"),
    ("nan mm", "one plain number"),
    ("1e3mm", "one plain number"),
    ("infmm", "one plain number"),
    ("0mm", "cannot be nothing"),
    ("0.262m", "one plain number"),
    ("262mm 26cm", "one plain number"),
    ("٢٦٢mm", "one plain number"),
    ("", "one plain number"),
]


@pytest.mark.parametrize(("text", "mend"), REFUSED)
def test_what_could_be_read_two_ways_is_refused_in_one_line(text: str, mend: str) -> None:
    with pytest.raises(BadInput) as caught:
        millimetres(text, "left foot length")
    assert mend in str(caught.value)
    assert "left foot length" in str(caught.value)
    assert "\n" not in str(caught.value)


@given(whole=st.integers(0, 20), parts=st.sampled_from(RULE_PARTS), above=st.integers(1, 63))
def test_an_inch_rule_reads_back(whole: int, parts: int, above: int) -> None:
    share = Fraction(above % parts or 1, parts)
    text = f"{whole} {share}in" if whole else f"{share}in"
    assert millimetres(text) == (whole + share) * INCH
    assert in_inches(millimetres(text), 64).replace(" in", "in") == text


@given(tenths=st.integers(1, 4000))
def test_the_unit_of_entry_does_not_matter(tenths: int) -> None:
    mm = Fraction(tenths, 10)
    assert millimetres(f"{float(mm):g}mm") == mm
    assert millimetres(f"{tenths / 100:.2f}cm") == mm


@given(text=st.text(max_size=30))
def test_any_text_is_a_length_or_one_line(text: str) -> None:
    said = ""
    try:
        assert millimetres(text) > 0
    except BadInput as fault:
        said = str(fault)
    assert "\n" not in said
