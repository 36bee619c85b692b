"""How often shoes did not fit, as the studies counted, and that the handbook prints what they counted.

Sources: McInnes et al., J Foot Ankle Res 2012;5:9; Burns et al. 2002 in Buldt & Menz 2018; the veterans'
study, J Am Podiatr Med Assoc 2006;96:290 (440 people, 30 with an ulcer).
"""

from __future__ import annotations

import pytest

from tests.conftest import ROOT

COUNTS = [
    (70, 85, "82.4"),
    (78, 118, "66.1"),
    (47, 65, "72.3"),
    (112, 440, "25.5"),
    (28, 30, "93.3"),
    (300, 410, "73.2"),
]


@pytest.mark.parametrize(("counted", "of", "percent"), COUNTS)
def test_the_shares_are_those_of_the_counts(counted: int, of: int, percent: str) -> None:
    """Fitting 4, worked checks 6 and 7."""
    assert f"{100 * counted / of:.1f}" == percent


def test_the_odds_of_an_ulcer_in_a_shoe_that_fits_badly() -> None:
    """Fitting 4, worked check 7: 28 of 30 with an ulcer, 300 of 410 without, an odds ratio of 5.1."""
    assert f"{(28 / 2) / (300 / 110):.1f}" == "5.1"


PAGES = [
    ("measuring/toe-room", "82 % of the people with diabetes and 66 % of the others"),
    ("feeling-and-blood/numb-feet", "93.3 % of those with an ulcer"),
]


@pytest.mark.parametrize(("page", "said"), PAGES)
def test_the_handbook_prints_what_was_counted(page: str, said: str) -> None:
    assert said in (ROOT / "kb" / f"{page}.md").read_text(encoding="utf-8")
