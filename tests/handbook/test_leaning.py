"""How words lean to our pages or to other things; the weight of one word against the printed formula."""

from __future__ import annotations

import math

import pytest

from toeroom.handbook.handbook import Handbook
from toeroom.handbook.leaning import leaning, weights_of
from toeroom.handbook.words import Synonyms

ASKED = ["which shoe for a bunion", "bunion and a narrow shoe", "shoe too short"]
OUTSIDE = ["what does a shoe cost", "cost of a train ticket"]
PLAIN = Synonyms()


def test_the_weight_of_a_word() -> None:
    """Robertson and Spärck Jones 1976, formula F4 with 0.5 added: "cost" in 2 of 2 against 0 of 3."""
    outwards = math.log(2.5 / 0.5) - math.log(0.5 / 3.5)
    assert weights_of(ASKED, OUTSIDE, PLAIN)["cost"] == pytest.approx(outwards, abs=0.001)


def test_words_lean_to_where_they_were_asked() -> None:
    weights = weights_of(ASKED, OUTSIDE, PLAIN)
    assert leaning("bunion", weights, PLAIN) < 0 < leaning("cost", weights, PLAIN)
    assert "ticket" not in weights
    assert leaning("never seen", weights, PLAIN) == 0


def test_without_one_side_nothing_leans() -> None:
    assert weights_of(ASKED, [], PLAIN) == weights_of([], OUTSIDE, PLAIN) == {}


def test_the_shipped_lists(handbook: Handbook) -> None:
    for ours, other in (
        ("how much room in front of the toes", "how much does a pair of shoes cost"),
        ("how deep must the toe box be", "how deep is a swimming pool"),
    ):
        assert handbook.leaning(ours) < handbook.leaning(other)
