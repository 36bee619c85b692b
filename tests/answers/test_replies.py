"""Replies: what is answered, what is refused, what comes first."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.answers.answering import Answerer, case_with
from toeroom.answers.refusing import read_refusals
from toeroom.answers.understand import Understood
from toeroom.book import Book
from toeroom.errors import BookFault
from toeroom.handbook.sections import sections_of


@pytest.fixture(scope="module")
def answerer(book: Book) -> Answerer:
    return Answerer(book)


def test_a_situation_is_understood_planned_and_answered(answerer: Answerer) -> None:
    reply = answerer.reply(
        "R bunion and a hammertoe, numb both sides, blister on the right heel from the new ones"
    )
    assert ("bunion", "right", "yes") in {(u.id, u.side, u.state) for u in reply.understood}
    assert ("sensation_lost", "both", "yes") in {(u.id, u.side, u.state) for u in reply.understood}
    assert reply.plan is not None
    assert reply.plan.stop
    assert reply.plan.line("refer_wound_care", "right") is not None
    assert "blister" in {answer.page for answer in reply.answers}


def test_every_answer_stands_in_the_handbook_word_for_word(answerer: Answerer) -> None:
    for text in ("how much room in front of the toes", "pes cavus which shoe", "when are inserts changed"):
        reply = answerer.reply(text)
        assert reply.answers
        for answer in reply.answers:
            section = next(
                s for s in sections_of(answerer.handbook.page(answer.page)) if s.heading == answer.heading
            )
            plain = " ".join(section.text.split())
            assert answer.text.removesuffix(" …") in plain
            for caution in answer.cautions:
                page_text = " ".join(s.text for s in sections_of(answerer.handbook.page(answer.page)))
                assert " ".join(caution.split()) in " ".join(page_text.split())


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("which antibiotic for an infected toe", "medicines"),
        ("how many units of insulin should he take", "medicines"),
        ("Which dressing should I put on the heel wound?", "wound or foot service"),
        ("How much does a pair of depth shoes cost?", "Prices"),
        ("How long does he recover after bunion surgery?", "surgeon"),
        ("Is this mole a melanoma?", "clinician"),
        ("what does the horse need on its hoof", "nothing on this"),
        ("how do I boil an egg", "nothing on this"),
    ],
)
def test_what_is_not_ours_is_refused_and_somebody_named(text: str, word: str, answerer: Answerer) -> None:
    reply = answerer.reply(text)
    assert reply.abstained
    assert reply.answers == ()
    assert word in reply.said


@pytest.mark.parametrize(
    "text",
    [
        "He is on antibiotics for an infected toe, can I fit the other foot?",
        "There is a dressing on her heel, may I fit shoes?",
        "When do I ask for a surgeon's opinion on a hammertoe?",
        "Does the benefit cover two pairs a year?",
    ],
)
def test_a_question_of_fitting_is_answered_though_it_names_such_a_thing(
    text: str, answerer: Answerer
) -> None:
    assert not answerer.reply(text).abstained


@pytest.mark.parametrize(
    "text",
    [
        "which sock is best, and by the way he has chest pain",
        "what does a depth shoe cost? her foot suddenly went cold and white",
    ],
)
def test_an_emergency_is_said_whatever_else_is_asked(text: str, answerer: Answerer) -> None:
    assert "now" in answerer.reply(text).emergency


def test_no_emergency_is_made_up(answerer: Answerer) -> None:
    assert answerer.reply("no chest pain, feet warm, wants wider shoes").emergency == ""


def test_a_side_nobody_said_is_asked_first(answerer: Answerer) -> None:
    reply = answerer.reply("bunion, diabetic")
    assert (reply.asked[0].id, reply.asked[0].side) == ("bunion", "unsaid")
    assert reply.plan is not None
    assert reply.plan.line("extra_width", "left") is not None


def test_two_values_for_one_thing_count_as_unknown(book: Book, answerer: Answerer) -> None:
    both = (
        Understood("bunion", "left", "yes", None, "bunion", 0, 6),
        Understood("bunion", "left", "no", None, "no bunion", 0, 6),
    )
    case = answerer.reply("bunion L").case
    assert case is not None
    assert case_with(case, both, book).finding("bunion", "left") == "unknown"


def test_every_reply_defers_and_cautions(answerer: Answerer) -> None:
    for text in ("bunion L", "how do I boil an egg", "toe room", ""):
        reply = answerer.reply(text)
        assert "licensed clinicians" in reply.deferral
        assert reply.cautions


def test_json_has_the_shape_of_the_contract(answerer: Answerer) -> None:
    reply = json.loads(
        json.dumps(answerer.reply("14 mm short on the left, big bunion on the left").as_json())
    )
    assert {
        "question",
        "abstained",
        "understood",
        "answers",
        "plan",
        "cautions",
        "ask_next",
        "deferral",
    } <= set(reply)
    measure = next(u for u in reply["understood"] if "measure" in u)
    assert (measure["measure"], measure["side"], measure["value"]) == ("leg_difference_mm", "person", 14.0)
    assert {"page", "heading", "text", "score"} <= set(reply["answers"][0])


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("topics: {}\nnothing: x\n", "must be a list"),
        ("topics: []\n", "a line of text is missing"),
        ("topics: [{id: a, say: b, wrods: [c]}]\nnothing: x\n", "did you mean 'words'?"),
    ],
)
def test_a_broken_list_of_refusals_is_found(text: str, said: str, tmp_path: Path) -> None:
    path = tmp_path / "refusals.yaml"
    path.write_text(text)
    with pytest.raises(BookFault, match=said.replace("?", r"\?")):
        read_refusals(path)


def _score(answerer: Answerer, path: Path) -> tuple[float, float, float, float]:
    """First page right, right page in three, off-topic refused, wrongly refused."""
    questions = [json.loads(line) for line in path.read_text().splitlines()]
    off = [q for q in questions if q["kind"] == "off"]
    ours = [q for q in questions if q["kind"] != "off"]
    replies = {q["id"]: answerer.reply(q["text"]) for q in questions}
    pages = {q["id"]: [a.page for a in replies[q["id"]].answers] for q in ours}
    first = sum(bool(pages[q["id"]]) and pages[q["id"]][0] in q["pages"] for q in ours)
    three = sum(any(p in q["pages"] for p in pages[q["id"]][:3]) for q in ours)
    refused = sum(replies[q["id"]].abstained for q in off)
    wrongly = sum(replies[q["id"]].abstained for q in ours)
    return first / len(ours), three / len(ours), refused / max(1, len(off)), wrongly / len(ours)


def test_the_development_questions(answerer: Answerer) -> None:
    first, three, refused, wrongly = _score(answerer, ROOT / "tests/answers/questions_dev.jsonl")
    assert first >= 0.80
    assert three >= 0.93
    assert refused >= 0.95
    assert wrongly <= 0.03
