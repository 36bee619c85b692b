"""What holds for any text."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.answers.conftest import ROOT
from toeroom.answers.clauses import LONGEST, sentences
from toeroom.answers.cues import emergencies, read_cues
from toeroom.answers.tokens import tokenise
from toeroom.answers.understand import Understood, understand
from toeroom.vocabulary import read_vocabulary

SENTENCES = [
    "Bunion R and a hammertoe on the 2nd.",
    "Healed ulcer last year on the left.",
    "No callus, corn or blister on either foot.",
    "Pulses felt right, absent left.",
    "Numb both feet, filament missed 6 sites L, 5 R.",
    "Foot length L 262, R 258 mm.",
    "Rt foot: plantar ulcer, yellow pus.",
    "Left ankle without swelling.",
    "Drop foot R, AFO worn on it.",
    "Toe pressure L 42, R 68 mmHg.",
    "Insert L 5 mm thick.",
    "Heel slips right, toes touch the front left.",
]
UNRELATED = [
    "Talked about the weather and the bus.",
    "Pays by card.",
    "Navy or brown, undecided.",
    "The kettle was on.",
    "Box label checked.",
    "He supports the local team.",
]
OPPOSITE = {"left": "right", "right": "left"}
NOUNS = {
    "bunion": "bunion",
    "hammertoe": "hammertoe",
    "callus": "callus",
    "blister": "blister",
    "swelling": "swelling",
    "open_wound": "wound",
    "drop_foot": "drop foot",
    "flat_foot": "flat foot",
    "past_ulcer": "past ulcer",
    "infection_signs": "pus",
    "black_tissue": "gangrene",
    "rest_pain": "rest pain",
    "tailors_bunion": "tailor's bunion",
    "corn_between_toes": "soft corn",
}
quick = settings(deadline=None, max_examples=60)


def facts(found: list[Understood]) -> set[tuple[str, str, str, float | None]]:
    return {(u.id, u.side, u.state, u.value) for u in found}


VOCABULARY = read_vocabulary(ROOT / "rules" / "vocabulary.yaml")
CUES = read_cues(ROOT / "kb")


def read(text: str) -> list[Understood]:
    return understand(text, VOCABULARY, CUES)


@pytest.mark.parametrize(
    "lead", ["no", "no sign of", "denies", "without", "never had", "no evidence of any", "free of"]
)
@pytest.mark.parametrize("tail", ["", " on the left", " R", " today, shoes fine"])
def test_a_denied_finding_is_never_yes(lead: str, tail: str) -> None:
    for finding, noun in NOUNS.items():
        assert not [u for u in read(f"{lead} {noun}{tail}.") if u.id == finding and u.state == "yes"], noun


def test_every_word_of_the_vocabulary_is_yes_and_every_no_word_no() -> None:
    """Words are read as they stand, also those that hold a negation ("no pulse felt")."""
    wrong = []
    for finding in VOCABULARY.findings.values():
        for phrases, opposite in ((finding.words, "no"), (finding.no_words, "yes")):
            wrong += [
                p for p in phrases if [u for u in read(p) if u.id == finding.id and u.state == opposite]
            ]
    assert wrong == []


@quick
@given(st.sampled_from(sorted(NOUNS)), st.sampled_from(sorted(NOUNS)), st.sampled_from(sorted(NOUNS)))
def test_a_list_of_denials(a: str, b: str, c: str) -> None:
    found = read(f"No {NOUNS[a]}, {NOUNS[b]} or {NOUNS[c]} on the left.")
    assert not [u for u in found if u.state == "yes"]


@quick
@given(st.permutations(SENTENCES), st.integers(1, 4), st.sampled_from(UNRELATED))
def test_an_unrelated_sentence_changes_nothing_else(order: list[str], many: int, other: str) -> None:
    chosen = [s for s in order if " it" not in s][:many]
    before = facts(read(" ".join(chosen)))
    assert facts(read(" ".join([*chosen, other]))) == before
    assert facts(read(" ".join([other, *chosen]))) == before


@quick
@given(st.permutations(SENTENCES), st.integers(1, 5))
def test_case_spaces_and_full_stops_do_not_matter(order: list[str], many: int) -> None:
    text = " ".join(order[:many])
    plain = facts(read(text))
    assert facts(read(text.upper())) == plain
    assert facts(read(text.lower())) == plain
    assert facts(read(text.replace(" ", "  "))) == plain
    assert facts(read(text.rstrip(".") + " ...")) == plain
    assert facts(read(text.rstrip("."))) == plain


@quick
@given(st.permutations(SENTENCES), st.integers(1, 5))
def test_both_feet_are_treated_alike(order: list[str], many: int) -> None:
    text = " ".join(order[:many])
    swapped = {(i, OPPOSITE.get(side, side), state, value) for i, side, state, value in facts(read(text))}
    assert facts(read(_mirrored(text))) == swapped


def _mirrored(text: str) -> str:
    pairs = {"left": "right", "Left": "Right", "L": "R", "Lt": "Rt"}
    pairs |= {v: k for k, v in pairs.items()}
    return re.sub(r"\b(left|right|Left|Right|L|R|Lt|Rt)\b", lambda m: pairs[m.group()], text)


@settings(deadline=None, max_examples=150)
@given(st.text(max_size=400))
def test_any_text_is_survived(text: str) -> None:
    for entry in read(text):
        assert text[entry.start : entry.end] == entry.text


@quick
@given(
    st.lists(
        st.sampled_from([w for s in SENTENCES for w in s.split()] + list(",.;:()?!-+/'\"½")), max_size=60
    )
)
def test_any_order_of_the_trades_words_is_survived(words: list[str]) -> None:
    found = read(" ".join(words))
    for entry in found:
        scope = VOCABULARY.by_id[entry.id].scope
        assert (entry.side == "person") == (scope == "person")
        if entry.value is not None:
            measure = VOCABULARY.measures[entry.id]
            assert float(measure.low) - 1e-4 <= entry.value <= float(measure.high) + 1e-4
    assert len({(u.id, u.side) for u in found}) == len(found)


@pytest.mark.parametrize(
    "piece", ["no ulcer, ", "left ", "1/", "callus the the ", "(", "- ", "no ", "R L 5 mm "]
)
def test_long_texts_take_no_more_than_their_length(piece: str) -> None:
    """Work grows with the length, not with its square: pieces have an upper size."""
    text = (piece * 20_000)[:20_000]
    tokens = tokenise(text)
    cut = sentences(tokens, [t.stem for t in tokens])
    assert max(len(s.tokens) for s in cut) <= LONGEST + 1
    read(text)


def test_the_same_text_gives_the_same_list() -> None:
    text = " ".join(SENTENCES)
    assert read(text) == read(text)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("She has chest pain and a blister", ["chest_pain"]),
        ("his left foot suddenly went cold and white", ["cold_white_foot"]),
        ("fever and confused, ulcer on the foot", ["sepsis_signs"]),
        ("no chest pain", []),
        ("bunion on the left", []),
        ("the wound will not stop bleeding", ["bleeding"]),
    ],
)
def test_emergencies(text: str, wanted: list[str]) -> None:
    assert [e.id for e in emergencies(text, CUES)] == wanted
