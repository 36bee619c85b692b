"""What a later clause or sentence leaves to an earlier one, and what a correction takes back."""

from __future__ import annotations

import pytest

from toeroom.answers.cues import Cues
from toeroom.answers.understand import understand
from toeroom.vocabulary import Vocabulary

SAID = [
    ("Neither bunion nor callus, 2nd toe hammered L.", "hammertoe left yes"),
    ("Left foot: cavus, 2nd toe hammered. Right foot: neither.", "high_arch right no"),
    ("L has a bunion and a callus, R has neither.", "callus right no"),
    ("Not asked: allergies, falls.", "fall_history person unknown"),
    ("Falls and allergies: not asked.", "fall_history person unknown"),
    ("Thought there was a wound on the L sole; wrong, no wound there.", "open_wound left no"),
    ("Wrote right bunion. Correction: it is the left that has the bunion.", "bunion left yes"),
    ("Blister on the R heel. Sorry, it is the L heel.", "blister left yes"),
    ("Bunion not L, I meant R.", "bunion right yes"),
    ("Toes R pale and cold against the L.", "cold_or_blue_foot right yes"),
    ("Open sore on top of L 4th toe. No pus.", "infection_signs left no"),
    ("Foot length L 251, R 254 mm. At 9.30, standing.", "measured_sitting person no"),
    ("Leg difference not 20 mm as I first wrote but 12 mm.", "leg_difference_mm person 12.0"),
    ("L foot hot, 34.6 °C against 31.5 °C on the R.", "skin_temp_c left 34.6"),
    ("L 25 cm, R 25.4 cm long.", "foot_length_mm left 250.0"),
    ("Insert worn. Left one 10 months.", "insert_age_months left 10.0"),
]
UNSAID = [
    ("Told him never to go barefoot.", "barefoot_indoors"),
    ("Her husband can't tie laces.", "cannot_tie_laces"),
    ("Thought there was a wound on the left.", "open_wound"),
]


def read(text: str, vocabulary: Vocabulary, cues: Cues) -> list[str]:
    found = understand(text, vocabulary, cues)
    return [f"{u.id} {u.side} {u.state or u.value}" for u in found]


@pytest.mark.parametrize(("text", "wanted"), SAID)
def test_what_is_said(text: str, wanted: str, vocabulary: Vocabulary, cues: Cues) -> None:
    found = read(text, vocabulary, cues)
    assert wanted in found
    term, side, _ = wanted.split()
    assert sum(one.startswith(f"{term} {side} ") for one in found) == 1


@pytest.mark.parametrize(("text", "term"), UNSAID)
def test_what_is_not_said(text: str, term: str, vocabulary: Vocabulary, cues: Cues) -> None:
    assert not [one for one in read(text, vocabulary, cues) if one.startswith(f"{term} ")]


def test_a_correction_leaves_nothing_of_what_was_wrong(vocabulary: Vocabulary, cues: Cues) -> None:
    for text in (
        "Bunion R. Correction: it is the left that has the bunion.",
        "Bunion R. Sorry, it is the L.",
    ):
        assert "bunion right yes" not in read(text, vocabulary, cues)
