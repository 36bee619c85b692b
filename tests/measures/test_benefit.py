"""The figures of the US benefit as a fitter asks after them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from toeroom import benefit
from toeroom.errors import BadInput

PREFABRICATED = [
    ("6.35mm@35", 230, True),
    ("1/4in@35", 230, True),
    ("6.35mm@35", None, None),
    ("6.35mm@35", 200, False),
    ("3/16in@35", 230, False),
    ("3/16in@35", None, False),
    ("3/16in@40", 230, True),
]


@pytest.mark.parametrize(("base", "heat", "holds"), PREFABRICATED)
def test_a_heat_nobody_stated_is_not_assumed(base: str, heat: int | None, holds: bool | None) -> None:
    """Clinical topic 1, worked check 10; what fails by its base fails whatever the heat."""
    assert benefit.prefabricated(benefit.base_from_words(base), heat).holds is holds


def test_the_same_build_made_on_a_model() -> None:
    """Clinical topic 1, worked check 10: 3/16 in at 35 meets A5513."""
    base = benefit.base_from_words("3/16in@35")
    assert benefit.custom(base, None).holds is True
    assert benefit.custom(base, Fraction("1.5")).holds is False


def test_a_filler_just_under() -> None:
    """Clinical topic 1, worked check 11."""
    assert benefit.depth_shoe(Fraction("4.5"), 3).holds is False
    assert benefit.depth_shoe(Fraction("4.77"), 2).holds is False
    found = benefit.depth_shoe(Fraction("4.77"), 3)
    assert found.holds is True
    assert "its other terms are no figures" in found.line


def test_two_claims_of_a_year_are_added_up() -> None:
    """Clinical topic 1, worked check 7."""
    assert benefit.year(benefit.units_from_words(["A5500=2", "A5512=4", "a5512=2"])).holds is True
    over = benefit.year(benefit.units_from_words(["A5500=2", "A5512=4", "A5512=4"]))
    assert over.holds is False
    assert "2 units too many" in over.line


REFUSED = [
    (lambda: benefit.base_from_words("6.35mm"), "thickness and Shore A"),
    (lambda: benefit.base_from_words("6.35@35"), "write its unit"),
    (lambda: benefit.base_from_words("6.35mm@99"), "Shore A 99 is out of range"),
    (lambda: benefit.base_from_words("35mm@35"), "at most 30 mm"),
    (lambda: benefit.units_from_words(["A5512"]), "write A5512=4"),
    (lambda: benefit.units_from_words(["A5512=-1"]), "write A5512=4"),
    (lambda: benefit.units_from_words(["A9270=1"]), "is not counted here"),
]


@pytest.mark.parametrize(("asked", "said"), REFUSED)
def test_bad_input_is_one_clear_line(asked: object, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        asked()  # type: ignore[operator]
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)
