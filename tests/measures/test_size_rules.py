"""What must hold of every size rule and width, whatever the foot."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.measures import ball, widths
from toeroom.measures.populations import LASTS, MEN
from toeroom.measures.sizes import RULES, SYSTEMS, below_adult_scale, nearest, rules_of, size_in_words

feet = st.fractions(150, 350, max_denominator=64)
rules = st.sampled_from(list(RULES.values()))


@given(rule=rules, foot=feet, more=st.fractions(0, 50, max_denominator=64))
def test_a_longer_foot_never_gets_a_smaller_size(rule: object, foot: Fraction, more: Fraction) -> None:
    assert RULES[rule.id].mark(foot + more) >= RULES[rule.id].mark(foot)  # type: ignore[attr-defined]


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
@given(foot=feet)
def test_there_and_back_is_within_half_a_step(rule: object, foot: Fraction) -> None:
    this = RULES[rule.id]  # type: ignore[attr-defined]
    mark = this.mark(foot)
    assert abs(this.foot(mark) - foot) <= this.step * this.mm_per_size / 2
    assert this.foot(this.exact(foot)) == foot
    low, high = this.interval(mark)
    assert low <= foot < high
    assert this.mark(low) == mark
    assert this.mark(high) == mark + this.step


@given(rule=rules, mark=st.integers(0, 120))
def test_last_and_back(rule: object, mark: int) -> None:
    this = RULES[rule.id]  # type: ignore[attr-defined]
    size = Fraction(mark, 2)
    last = this.last(size)
    if this.system == "mondopoint":
        assert last is None is this.size_of_last(300) is this.last_allowance
    else:
        assert this.size_of_last(last) == size
        assert last - this.foot(size) == this.last_allowance


def test_a_tie_goes_up() -> None:
    half = Fraction(1, 2)
    assert [nearest(Fraction(v), half) for v in ("8.25", "8.24", "8.75", "-0.25")] == [
        Fraction(v) for v in ("8.5", "8", "9", "0")
    ]
    assert RULES["mondopoint_5"].mark(Fraction("262.5")) == 265


def test_every_system_has_its_rules() -> None:
    assert {rule.system for rule in RULES.values()} == set(SYSTEMS)
    assert [rule.id for rule in rules_of("us_women")] == ["us_women_standard", "us_women_common"]
    assert len(rules_of(None)) == len(RULES)
    assert all(rule.source and rule.said for rule in RULES.values())


def test_children_s_sizes_are_not_made_up() -> None:
    assert below_adult_scale(RULES["uk"], RULES["uk"].mark(190))
    assert not below_adult_scale(RULES["uk"], Fraction(1))
    assert not below_adult_scale(RULES["eu"], RULES["eu"].mark(190))


def test_sizes_in_words() -> None:
    shown = [size_in_words(Fraction(v)) for v in ("9.5", "42", "262.5", "0.5", "-1.5", "265")]
    assert shown == ["9½", "42", "262.5", "½", "-1.5", "265"]


@given(
    last=st.sampled_from(LASTS),
    size=st.integers(8, 28),
    width=st.fractions(70, 130, max_denominator=16),
    more=st.fractions(0, 20, max_denominator=16),
)
def test_a_wider_foot_never_gets_a_narrower_letter(
    last: str, size: int, width: Fraction, more: Fraction
) -> None:
    half = Fraction(size, 2)
    this, other = (widths.letter_by_width(last, half, mm) for mm in (width, width + more))
    if this.letter and other.letter:
        assert widths.LETTERS.index(other.letter) >= widths.LETTERS.index(this.letter)
        assert abs(this.spare) <= widths.FLAT_STEP / 2
        assert this.width == widths.chart_width(last, half, this.letter)


def test_between_two_letters_the_wider_and_beyond_them_none() -> None:
    middle = widths.chart_width(MEN, 9, "D") + widths.FLAT_STEP / 2
    assert widths.letter_by_width(MEN, 9, middle).letter == "E"
    just_under = widths.letter_by_width(MEN, 9, middle - Fraction(1, 100))
    assert (just_under.letter, just_under.next_letter) == ("D", "E")
    assert widths.letter_by_width(MEN, 9, 150).letter == ""
    assert widths.letter_by_width(MEN, 9, 50).letter == ""


@given(letter=st.sampled_from(widths.LETTERS), size=st.integers(10, 30))
def test_same_girth_is_the_same(letter: str, size: int) -> None:
    half = Fraction(size, 2)
    for other, wide in widths.same_girth(half, letter):
        letters = widths.LETTERS.index(wide) - widths.LETTERS.index(letter)
        assert widths.girth_change(other - half, letters) == 0
        assert abs(other - half) == 1


@given(
    foot=feet, share=st.fractions("0.6", "0.9", max_denominator=1000), last=st.sampled_from([None, *LASTS])
)
def test_the_longer_of_toe_and_ball_is_never_shorter_than_either(
    foot: Fraction, share: Fraction, last: str | None
) -> None:
    found = ball.longer_of(foot, foot * share, last)
    assert found.length == max(found.toe, found.ball) >= foot
    assert found.decided_by == ("ball" if found.ball > foot else "toe")
