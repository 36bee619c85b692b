"""What nobody stated is "not asked" or a line to fill on a paper, and never "no"."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from tests.cases import cases
from tests.conftest import ROOT
from tests.papers.conftest import paper_of
from toeroom.book import Book, open_book
from toeroom.papers import payer
from toeroom.papers.feet import NO_FOOT, Findings, examined
from toeroom.vocabulary import PERSON, SIDES

BOOK = open_book(ROOT)
NOTHING = "case: a\nas_of: 2026-11-25\n"


@settings(max_examples=150)
@given(case=cases(BOOK.vocabulary))
def test_no_is_said_only_where_it_was_stated(case) -> None:  # type: ignore[no-untyped-def]
    known = Findings(case, BOOK.vocabulary, BOOK.planner.run(case).findings)
    for row in examined(known)[0]:
        for side, value in zip(SIDES, (row.left, row.right), strict=True):
            if value != NO_FOOT:
                assert (value.partition(" (")[0] == "no") == (known.of(row.id, side) == "no")
                assert (value == "no") == (case.finding(row.id, side) == "no" == known.of(row.id, side))


def test_a_case_of_which_nothing_is_known_says_so() -> None:
    text = paper_of(NOTHING, "fitting-sheet").markdown
    assert "Diabetes: not asked. Care plan for it: not asked." in text
    assert "benefit: not asked" in text
    rows = [line for line in text.splitlines() if line.startswith("|")]
    assert not [row for row in rows if "| no |" in row]
    assert "Not asked on either foot: open wound," in text
    assert "| Foot length | ________ mm | ________ mm |" in text


@settings(max_examples=200)
@given(case=cases(BOOK.vocabulary))
def test_the_six_conditions_agree_with_the_rules(case) -> None:  # type: ignore[no-untyped-def]
    stated = {**case.findings, ("us_medicare", PERSON): "yes", ("diabetes", PERSON): "yes"}
    case = replace(case, findings=stated)
    outcome = BOOK.planner.run(case)
    known = Findings(case, BOOK.vocabulary, outcome.findings)
    plan = BOOK.planner.plan_of(case, outcome)
    assert any(c.met for c in payer.conditions(known)) == (plan.state("benefit_qualifies", PERSON) == "yes")


def test_the_named_deformities_are_those_of_the_rules(book: Book) -> None:
    from toeroom.rules.model import tests_of

    rule = book.planner.by_id["no-deformity-known"]
    assert {test.id for test in tests_of(rule.when)} == set(payer.DEFORMITIES)
