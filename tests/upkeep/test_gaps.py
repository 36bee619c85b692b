"""What a book has nothing to say to: questions of people, findings of cases."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import Book, open_book
from toeroom.errors import BadInput
from toeroom.upkeep.gaps import gaps, questions_in


def test_questions_without_a_page_are_told_from_those_that_are_refused(book: Book, tmp_path: Path) -> None:
    asked = tmp_path / "asked.txt"
    asked.write_text(
        "# from the shop\nHow wide must a shoe be for a bunion?\n\nwhich insulin dose?\n"
        "How do I get chewing gum off a sole?\n"
    )
    found = gaps(book, [asked])
    assert (found.questions, found.refused, found.cases) == (3, 1, 0)
    assert [(gap.question, gap.page) for gap in found.asked] == [("How do I get chewing gum off a sole?", "")]


def test_a_question_that_a_page_hardly_covers_is_weak(book: Book, tmp_path: Path) -> None:
    asked = tmp_path / "asked.jsonl"
    told = "By how many degrees must one foot outdo its fellow before I should take notice?"
    asked.write_text(json.dumps({"question": told}) + "\n" + json.dumps({"text": "bunion width"}) + "\n")
    found = gaps(book, [asked])
    assert [(gap.question, bool(gap.page)) for gap in found.asked] == [(told, True)]
    assert 0 < found.asked[0].share < 0.4


def test_lines_that_hold_no_question_are_said(tmp_path: Path) -> None:
    asked = tmp_path / "asked.jsonl"
    for line in ("[1]", "what", '{"question": 3}'):
        asked.write_text(f'{{"question": "x"}}\n{line}\n')
        with pytest.raises(BadInput, match="line 2: holds no question"):
            questions_in(asked)


def test_findings_of_cases_without_a_rule_or_a_consequence(tmp_path: Path) -> None:
    own = tmp_path / "own"
    shutil.copytree(ROOT / "rules", own / "rules")
    shutil.copytree(ROOT / "kb", own / "kb")
    words = own / "rules/vocabulary.yaml"
    term = "  {0}:\n    scope: foot\n    said_by: wearer\n    group: feeling\n    label: {0}\n"
    new = "findings:\n" + term.format("ticklish") + term.format("itchy")
    state = "derived:\n  is_itchy:\n    scope: foot\n    label: Itchy foot\n"
    text = words.read_text().replace("findings:\n", new, 1).replace("derived:\n", state, 1)
    words.write_text(text)
    (own / "rules/own.yaml").write_text(
        "topic: Own\nrules:\n  - id: itchy\n    title: It itches\n    about: foot\n    stage: assess\n"
        "    when: [itchy]\n    then: {conclude: [is_itchy]}\n    source: [common-practice]\n"
        "    author: x\n    reviewed: 2026-11-25\n    review_by: 2027-11-25\n"
        "    examples:\n      fires: {left: {itchy: yes}}\n      silent: {left: {itchy: no}}\n"
    )
    cases = tmp_path / "cases"
    cases.mkdir()
    (cases / "a.yaml").write_text("case: a\nleft: {itchy: yes, ticklish: yes, bunion: yes}\n")
    (cases / "b.yaml").write_text("case: b\nright: {ticklish: yes, itchy: no}\n")
    found = gaps(open_book(own), [cases, cases / "a.yaml"])
    assert found.cases == 3
    assert [(one.id, one.what, one.cases) for one in found.findings] == [
        ("ticklish", "no rule spoke on it", ("a", "b")),
        ("itchy", "nothing in the plan followed", ("a",)),
    ]


def test_a_finding_that_stops_a_fitting_has_a_consequence(book: Book, tmp_path: Path) -> None:
    case = tmp_path / "a.yaml"
    case.write_text("case: a\nleft: {open_wound: yes, hot_swollen_foot: yes, toe_amputated: yes}\n")
    assert gaps(book, [case]).findings == ()
