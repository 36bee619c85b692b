"""Conversations: what is kept, corrected, supposed, asked."""

from __future__ import annotations

from datetime import date

import pytest

from toeroom.answers.answering import Answerer
from toeroom.answers.conversation import Conversation
from toeroom.book import Book
from toeroom.case import Case, case_as_yaml, parse_case


@pytest.fixture
def talk(book: Book) -> Conversation:
    return Conversation(Answerer(book), Case("talk", date(2026, 11, 25)))


def stated(talk: Conversation) -> set[tuple[str, str, str]]:
    return {(one.id, one.side, one.state) for one in talk.stated}


def test_what_is_said_is_kept_and_the_side_is_asked(talk: Conversation) -> None:
    turn = talk.say("bunion, numb on both feet, diabetic")
    assert turn.question is not None
    assert (turn.question.id, turn.question.side) == ("bunion", "unsaid")
    turn = talk.say("left")
    assert ("bunion", "left", "yes") in stated(talk)
    assert turn.plan is not None
    assert turn.plan.line("therapeutic_shoe", "left") is not None


@pytest.mark.parametrize(
    ("answer", "value"), [("yes", "yes"), ("no", "no"), ("don't know", "unknown"), ("Yes!", "yes")]
)
def test_the_question_asked_takes_an_answer(answer: str, value: str, talk: Conversation) -> None:
    question = talk.say("bunion on the left").question
    assert question is not None
    talk.say(answer)
    assert (question.id, question.side, value) in stated(talk)
    asked_next = talk.pending
    assert asked_next is None or (asked_next.id, asked_next.side) != (question.id, question.side)


@pytest.mark.parametrize(
    ("answer", "said"), [("yes", "say left, right or both"), ("don't know", "stays open")]
)
def test_which_foot_is_not_answered_by_yes(answer: str, said: str, talk: Conversation) -> None:
    talk.say("bunion")
    turn = talk.say(answer)
    assert said in turn.said
    assert turn.reply is None
    assert stated(talk) == {("bunion", "unsaid", "yes")}


def test_what_if_changes_nothing_that_is_kept(talk: Conversation) -> None:
    talk.say("bunion on the left")
    before = stated(talk)
    turn = talk.say("and if there's a wound on the left?")
    assert turn.plan is not None
    assert turn.plan.stop
    assert ("refer_wound_care", "left") in {(c.id, c.side) for c in turn.changes}
    assert stated(talk) == before
    assert not talk.answerer.book.planner.plan(talk.case).stop


def test_forget_that_takes_back_the_last_thing_said(talk: Conversation) -> None:
    talk.say("bunion on the left")
    talk.say("hammertoe on the right")
    talk.say("forget that")
    assert stated(talk) == {("bunion", "left", "yes")}


def test_forget_one_thing_by_its_name(talk: Conversation) -> None:
    talk.say("bunion on the left, hammertoe on the right")
    talk.say("forget the bunion")
    assert stated(talk) == {("hammertoe", "right", "yes")}


def test_no_its_the_left_moves_the_last_thing_said(talk: Conversation) -> None:
    talk.say("hammertoe on the right")
    talk.say("no, it's the left")
    assert stated(talk) == {("hammertoe", "left", "yes")}


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("1 no", {("bunion", "left", "no")}),
        ("1: right", {("bunion", "right", "yes")}),
        ("drop 1", set()),
        ("2 no", {("bunion", "left", "yes")}),
    ],
)
def test_the_list_is_corrected_by_number(
    text: str, after: set[tuple[str, str, str]], talk: Conversation
) -> None:
    talk.say("bunion on the left")
    talk.pending = None
    talk.say(text)
    assert stated(talk) == after


def test_the_other_foot_is_asked_about(talk: Conversation) -> None:
    talk.say("bunion on the left")
    turn = talk.say("what about the other foot?")
    assert turn.question is not None
    assert turn.question.side == "right"


def test_a_refused_question_keeps_the_case(talk: Conversation) -> None:
    talk.say("bunion on the left")
    turn = talk.say("which antibiotic for it?")
    assert "medicines" in turn.said
    assert stated(talk) == {("bunion", "left", "yes")}


def test_a_later_word_replaces_an_earlier_one(talk: Conversation) -> None:
    talk.say("swelling both feet")
    talk.say("no swelling on the left")
    case = talk.case
    assert case.finding("swelling", "left") == "no"


def test_it_can_begin_from_a_case_and_be_saved_into_one(book: Book) -> None:
    base = parse_case("case: x\nas_of: 2026-11-25\nperson: {diabetes: yes}\n", book.vocabulary)
    talk = Conversation(Answerer(book), base)
    talk.say("open sore under the right heel")
    saved = parse_case(case_as_yaml(talk.case, book.vocabulary), book.vocabulary)
    assert saved.finding("diabetes", "person") == "yes"
    assert saved.finding("open_wound", "right") == "yes"


def test_start_over_forgets_everything(talk: Conversation) -> None:
    talk.say("bunion on the left")
    talk.say("start over")
    assert stated(talk) == set()
    assert talk.case.findings == {}


def test_export_quotes_pages_and_defers(talk: Conversation) -> None:
    talk.say("bunion on the left, [which] *shoe*?")
    text = talk.as_markdown()
    assert "(`bunion`)" in text
    assert "licensed clinicians" in text
    assert r"\[which\] \*shoe\*" in text
