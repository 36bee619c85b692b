"""What-if text says nothing, unless it is to be read as stated."""

from __future__ import annotations

import pytest

from toeroom.answers.cues import Cues
from toeroom.answers.understand import understand
from toeroom.vocabulary import Vocabulary

Facts = set[tuple[str, str, str]]


def facts(text: str, vocabulary: Vocabulary, cues: Cues, *, supposed: bool) -> Facts:
    found = understand(text, vocabulary, cues, supposed=supposed)
    return {(u.id, u.side, u.state) for u in found}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("if there is a wound on the left?", {("open_wound", "left", "yes")}),
        ("what if the right foot was numb?", {("sensation_lost", "right", "yes")}),
        ("if she had an ulcer on the left", {("open_wound", "left", "yes")}),
        ("suppose no pulse on the left", {("pulses_absent", "left", "yes")}),
        ("if he was not diabetic?", {("diabetes", "person", "no")}),
        ("what if we do not know about the pulses?", {("pulses_absent", "unsaid", "unknown")}),
        ("if she were on dialysis?", {("kidney_failure", "person", "yes")}),
    ],
)
def test_a_supposition_is_read_only_on_request(
    text: str, wanted: Facts, vocabulary: Vocabulary, cues: Cues
) -> None:
    assert facts(text, vocabulary, cues, supposed=True) == wanted
    assert facts(text, vocabulary, cues, supposed=False) == set()


def test_other_people_stay_other_people(vocabulary: Vocabulary, cues: Cues) -> None:
    assert facts("if his mother has diabetes", vocabulary, cues, supposed=True) == set()


@pytest.mark.parametrize(
    "text", ["No bunion R, hammertoe L.", "Pulses felt both, filament not done.", "Callus R, no blood in it."]
)
def test_what_is_stated_reads_the_same(text: str, vocabulary: Vocabulary, cues: Cues) -> None:
    assert facts(text, vocabulary, cues, supposed=True) == facts(text, vocabulary, cues, supposed=False)
