"""The search: what it finds, says and never does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toeroom.handbook import Handbook
from toeroom.handbook.passages import LONGEST, Passage, passage_of, sentences_of
from toeroom.handbook.spelling import slips
from toeroom.handbook.words import Synonyms, read_synonyms

SMALL = read_synonyms(
    """
ignored: [the, a, how, to]
forms:
  - [foot, feet]
groups:
  - [open wound, ulcer, DFU]
  - {is: [numb, LOPS], asked: [feels nothing, how often]}
""",
    Path("synonyms.yaml"),
)


def first(handbook: Handbook, text: str) -> str:
    return handbook.search(text).hits[0].page


@pytest.mark.parametrize(
    ("text", "page"),
    [
        ("LOPS", "numb-feet"),
        ("PAD", "pulses-and-pressures"),
        ("LLD", "leg-length"),
        ("AFO", "braces-in-shoes"),
        ("HAV", "bunion"),
        ("DFU", "open-wound"),
        ("ABI", "ankle-arm-index"),
        ("TMA", "partial-foot"),
        ("edema", "swelling"),
        ("heat-molded insert", "heat-moulded-inserts"),
        ("callouses", "callus-and-corns"),
        ("bunion", "bunion"),
    ],
)
def test_clinic_shorthand_and_american_spelling(handbook: Handbook, text: str, page: str) -> None:
    assert first(handbook, text) == page


def test_case_accents_and_marks_do_not_matter(handbook: Handbook) -> None:
    pages = [
        [h.page for h in handbook.search(t).hits]
        for t in ("charcot foot", "CHARCOT (foot)!", "“Chärcot” foot’s")
    ]
    assert pages[0] == pages[1] == pages[2]


def test_a_misspelt_word_is_mended_and_said(handbook: Handbook) -> None:
    result = handbook.search("A buniun, hammertow?")
    assert result.corrected == "A bunion, hammertoe?"
    assert result.hits[0].page in ("combined-deformity", "bunion", "hammertoe-and-claw")


def test_a_right_word_is_not_mended(handbook: Handbook) -> None:
    assert handbook.search("bunion").corrected is None
    assert handbook.search("LOPS in both feet").corrected is None


def test_nothing_asked_nothing_found(handbook: Handbook) -> None:
    for text in ("", "   ", "?!", "the and of", "zzqxv"):
        assert handbook.search(text).hits == ()


@pytest.mark.parametrize(
    "text",
    [
        "page:bunion",
        "bunion AND NOT foot",
        "*",
        '"',
        "(",
        "bunion^9",
        "a:b",
        "text:[a TO z]",
        "😀",
        "bun*",
        "\x00\x1b[31m",
    ],
)
def test_marks_are_no_query_language(handbook: Handbook, text: str) -> None:
    handbook.search(text)


def test_words_are_searched_as_words(handbook: Handbook) -> None:
    plain = [hit.page for hit in handbook.search("bunion not foot").hits]
    assert [hit.page for hit in handbook.search("bunion AND NOT (foot)").hits] == plain


@settings(max_examples=60, deadline=None)
@given(text=st.text(max_size=120))
def test_any_text_gives_an_answer_of_one_shape(handbook: Handbook, text: str) -> None:
    result = handbook.search(text)
    pages = [hit.page for hit in result.hits]
    assert len(pages) == len(set(pages)) <= 10
    assert [(-h.score, h.page) for h in result.hits] == sorted((-h.score, h.page) for h in result.hits)
    assert set(pages) <= set(handbook.pages)
    for hit in result.hits:
        assert 0 <= hit.coverage <= 1
        assert all(0 <= start < end <= len(hit.text) for start, end in hit.passage.marks)
    json.dumps(result.as_json(), allow_nan=False)


def test_three_thousand_characters(handbook: Handbook) -> None:
    assert handbook.search("bunion " + "x" * 3000 + " numb feet " * 300).hits


def test_limit(handbook: Handbook) -> None:
    ten = [hit.page for hit in handbook.search("shoe").hits]
    assert len(ten) == 10
    assert [hit.page for hit in handbook.search("shoe", limit=3).hits] == ten[:3]
    assert handbook.search("shoe", limit=0).hits == ()


def test_a_passage_stands_in_its_page(handbook: Handbook) -> None:
    from toeroom.handbook.sections import sections_of

    for text in ("numb foot feels nothing", "rocker apex", "how much toe room"):
        for hit in handbook.search(text, limit=3).hits:
            sections = {section.heading: section.text for section in sections_of(handbook.page(hit.page))}
            for found in hit.sections:
                assert (
                    " ".join(sections[found.heading].split()).find(found.passage.text.split(" …")[0][:60])
                    >= 0
                )
            assert hit.text == hit.sections[0].passage.text


def passage_in(text: str, weights: dict[str, float], synonyms: Synonyms) -> Passage:
    return passage_of([sentence for sentence, _ in sentences_of(text, synonyms)], weights)


def test_marks_cover_the_words_looked_for() -> None:
    passage = passage_in("The ulcer closed. Nothing else here.", {"=open_wound": 1.0}, SMALL)
    assert [passage.text[a:b] for a, b in passage.marks] == ["ulcer"]


def test_a_phrase_is_marked_whole_and_once() -> None:
    weights = {"=open_wound": 1.0, SMALL.words("wound")[0].stem: 1.0}
    passage = passage_in("Look first. The open wound of the foot, a wound.", weights, SMALL)
    assert [passage.text[a:b] for a, b in passage.marks] == ["open wound", "wound"]


@given(
    st.lists(st.sampled_from(["open", "wound", "ulcer", "of the", "foot.", "Foot", "x" * 400]), max_size=30)
)
def test_marks_stand_apart_inside_the_passage(words: list[str]) -> None:
    weights = {"=open_wound": 1.0, "foot": 0.5, SMALL.words("wound")[0].stem: 1.0}
    passage = passage_in(" ".join(words), weights, SMALL)
    places = [place for mark in passage.marks for place in mark]
    assert places == sorted(places)
    assert all(0 <= a < b <= len(passage.text) for a, b in passage.marks)


def test_a_passage_takes_the_sentence_that_answers() -> None:
    filler = " ".join(f"Filler sentence number {i} says little of use." for i in range(20))
    passage = passage_in(
        f"{filler} The rocker apex lies behind the heads.", {"apex": 1.0, "rocker": 1.0}, Synonyms()
    )
    assert "rocker apex" in passage.text
    assert len(passage.text) <= LONGEST


@given(st.text("abcd", max_size=7), st.text("abcd", max_size=7))
def test_slips_are_a_distance(one: str, other: str) -> None:
    assert slips(one, other) == slips(other, one)
    assert (slips(one, other) == 0) == (one == other)
    assert abs(len(one) - len(other)) <= slips(one, other) <= max(len(one), len(other))


def test_swapped_letters_are_one_slip() -> None:
    assert slips("bunoin", "bunion") == 1


# --- synonyms --------------------------------------------------------------------------------------
def test_two_wordings_of_one_thing_meet() -> None:
    assert "=open_wound" in SMALL.terms("a DFU")
    assert "=open_wound" in SMALL.terms("The open wound of the foot")


def test_what_is_only_asked_is_not_read_into_a_page() -> None:
    words = SMALL.words("feels nothing")
    assert not list(SMALL.meanings(words))
    assert [m.term for m in SMALL.meanings(words, question=True)] == ["=numb"]


def test_a_phrase_of_ignored_words_is_taken_by_the_letter() -> None:
    assert not list(SMALL.meanings(SMALL.words("often"), question=True))
    assert [m.term for m in SMALL.meanings(SMALL.words("how often"), question=True)] == ["=numb"]


def test_forms_are_read_as_the_first() -> None:
    assert SMALL.terms("feet") == SMALL.terms("foot")


def test_the_longest_phrase_is_taken_once() -> None:
    assert SMALL.terms("open wound ulcer").count("=open_wound") == 2
    assert SMALL.terms("open wound").count("=open_wound") == 1


def test_shorthand_that_is_also_a_word() -> None:
    words = read_synonyms(
        "capitals: [PAD]\ngroups:\n  - [arterial disease, PAD]\n  - [cushion, pad]\n", Path("s.yaml")
    )
    assert "=arterial_disease" in words.terms("he has PAD")
    assert "=cushion" in words.terms("a pad in the shoe")
    assert "=cushion" in words.terms("WHERE DOES THE PAD GO")
