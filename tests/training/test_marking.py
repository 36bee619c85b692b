"""What is right, missed, harmful and needless, and that the scheme is fair whatever is decided."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cases import cases
from tests.training.trainees import as_planned
from toeroom.book import Book, open_book
from toeroom.case import Case
from toeroom.rules.planning import Planner
from toeroom.training.decisions import Decision, offer_of
from toeroom.training.marking import Mark, Moment, mark
from toeroom.training.scheme import HARM, Tally, score

AS_OF = date(2026, 11, 25)
BOOK = open_book()
PLACES = [(item, side) for item, sides in offer_of(BOOK.planner).sides.items() for side in sides]
SLOWLY = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def moment(planner: Planner, known: Case) -> Moment:
    return Moment(known, planner.run(known), planner.plain_plan(known))


def tally(marks: tuple[Mark, ...]) -> Tally:
    weights = {v: sum(m.weight for m in marks if m.verdict == v) for v in ("right", "missed", "needless")}
    return Tally(**weights, harm=round(sum(m.weight for m in marks if m.verdict == "harmful")))


@st.composite
def moments(draw: st.DrawFn) -> Moment:
    return moment(BOOK.planner, draw(cases(BOOK.vocabulary)))


@st.composite
def decisions(draw: st.DrawFn) -> Decision:
    stop = draw(st.frozensets(st.sampled_from(["left", "right", "person"])))
    items = draw(st.frozensets(st.sampled_from(PLACES), max_size=25))
    return Decision(stop, draw(st.sampled_from(["soon", "today"])) if stop else "", items)


def points(now: Moment, decision: Decision) -> int:
    return score(tally(mark(BOOK.planner, now, decision)))


def verdict(marks: tuple[Mark, ...], item: str, side: str) -> str:
    return next((m.verdict for m in marks if m.place == (item, side)), "")


@given(moments(), decisions(), st.data())
@SLOWLY
def test_adding_what_the_plan_advises_never_lowers_the_score(
    now: Moment, decision: Decision, data: st.DataObject
) -> None:
    advised = sorted((line.id, line.side) for line in now.plan.lines if line.advised)
    if not advised:
        return
    more = replace(decision, items=decision.items | {data.draw(st.sampled_from(advised))})
    assert points(now, more) >= points(now, decision)


@given(moments(), decisions(), st.sampled_from(PLACES))
@SLOWLY
def test_adding_what_is_harmful_never_raises_the_score(
    now: Moment, decision: Decision, place: tuple[str, str]
) -> None:
    more = replace(decision, items=decision.items | {place})
    if verdict(mark(BOOK.planner, now, more), *place) == "harmful":
        assert points(now, more) <= points(now, decision)


@given(moments(), decisions())
@SLOWLY
def test_any_harm_is_below_doing_nothing_harmful(now: Moment, decision: Decision) -> None:
    harmed = tally(mark(BOOK.planner, now, decision)).harm
    assert (points(now, decision) < 0) == bool(harmed)
    assert points(now, as_planned(BOOK.planner, now)) == 100


@given(moments(), decisions())
@SLOWLY
def test_the_same_decision_gets_the_same_marks_in_any_order(now: Moment, decision: Decision) -> None:
    again = replace(decision, items=frozenset(sorted(decision.items, reverse=True)))
    assert mark(BOOK.planner, now, decision) == mark(BOOK.planner, now, again)


@given(
    st.floats(0, 100),
    st.floats(0, 100),
    st.floats(0, 50),
    st.integers(0, 9),
    st.floats(0, 90),
    st.floats(0, 90),
)
def test_harm_outweighs_whatever_else(
    right: float, missed: float, needless: float, harm: int, asked: float, left: float
) -> None:
    one = Tally(right, missed, needless, harm, asked, left)
    assert -100 <= score(one) <= 100
    nothing_done = Tally(0, right + missed, 0, 0, 0, asked + left)
    all_done_but_harmful = Tally(right + missed, 0, 0, harm + 1, asked + left, 0)
    assert score(all_done_but_harmful) < score(nothing_done)
    assert score(replace(one, harm=harm + 1)) <= score(one)


@given(moments())
@SLOWLY
def test_nothing_that_the_rules_hold_back_is_ever_anything_but_harmful(now: Moment) -> None:
    held = [line for line in now.plan.lines if not line.advised]
    chosen = Decision(frozenset(("left", "right")), "today", frozenset((h.id, h.side) for h in held))
    marks = mark(BOOK.planner, now, chosen)
    assert all(verdict(marks, line.id, line.side) == "harmful" for line in held)


# --- one by one ------------------------------------------------------------------------------------
def case(**findings: dict[str, str]) -> Case:
    return Case("t", AS_OF, findings={(i, side): v for side, own in findings.items() for i, v in own.items()})


WOUND = case(
    person={"diabetes": "yes"}, left={"open_wound": "yes"}, right={"open_wound": "no", "bunion": "yes"}
)
HOT = case(person={"diabetes": "yes"}, right={"hot_swollen_foot": "yes"})
CALM = case(person={"diabetes": "yes"}, left={"bunion": "yes"}, right={"bunion": "yes"})


def marks_of(book: Book, known: Case, decision: Decision) -> tuple[Mark, ...]:
    return mark(book.planner, moment(book.planner, known), decision)


def test_going_on_where_the_plan_stops_is_harm(book: Book) -> None:
    marks = marks_of(book, WOUND, Decision())
    assert (verdict(marks, "stop", "left"), verdict(marks, "stop", "right")) == ("harmful", "")
    assert verdict(marks_of(book, WOUND, Decision(frozenset({"left"}), "soon")), "stop", "left") == "right"


def test_a_shoe_on_a_stopped_foot_is_harm_even_where_no_rule_advised_it(book: Book) -> None:
    stop = Decision(frozenset({"left"}), "soon", frozenset({("high_top", "left"), ("high_top", "right")}))
    marks = marks_of(book, WOUND, stop)
    assert verdict(marks, "high_top", "left") == "harmful"
    assert verdict(marks, "high_top", "right") == "needless"


def test_an_urgent_referral_that_is_not_today_is_harm(book: Book) -> None:
    assert (
        verdict(marks_of(book, HOT, Decision(frozenset({"right"}), "soon")), "today", "person") == "harmful"
    )
    assert verdict(marks_of(book, HOT, Decision(frozenset({"right"}), "today")), "today", "person") == "right"
    assert (
        verdict(marks_of(book, WOUND, Decision(frozenset({"left"}), "today")), "today", "person")
        == "needless"
    )


def test_stopping_without_need_is_needless_and_no_harm(book: Book) -> None:
    marks = marks_of(book, CALM, Decision(frozenset({"left"}), "soon"))
    assert verdict(marks, "stop", "left") == "needless"
    assert not [m for m in marks if m.verdict == "harmful"]


def test_one_shoe_is_expected_of_several_kinds_and_its_kin_are_no_fault(book: Book) -> None:
    numb = case(person={"diabetes": "yes"}, left={"sensation_lost": "yes", "claw_toes": "yes"})
    kinds = {"therapeutic_shoe", "extra_depth_shoe"}
    plan = moment(book.planner, numb).plan
    assert all(plan.line(kind, "left") for kind in kinds)
    marks = marks_of(book, numb, Decision(items=frozenset({("therapeutic_shoe", "left")})))
    assert {m.item: m.verdict for m in marks if m.item in kinds and m.side == "left"} == {
        "therapeutic_shoe": "right"
    }
    marks = marks_of(book, numb, Decision(items=frozenset({("extra_depth_shoe", "left")})))
    assert verdict(marks, "therapeutic_shoe", "left") == "missed"
    assert verdict(marks, "extra_depth_shoe", "left") == "right"


def test_with_an_urgent_referral_nothing_else_is_missed(book: Book) -> None:
    missed = {m.item for m in marks_of(book, HOT, Decision()) if m.verdict == "missed"}
    items = book.vocabulary.plan_items
    assert missed
    assert all(items[i].section == "stop" or items[i].with_stop for i in missed)


def test_what_the_plan_warns_against_is_harm(book: Book) -> None:
    soggy = case(person={"diabetes": "yes"}, left={"moist_between_toes": "yes"})
    spacer = Decision(items=frozenset({("toe_spacer", "left"), ("toe_spacer", "right")}))
    marks = marks_of(book, soggy, spacer)
    assert (verdict(marks, "toe_spacer", "left"), verdict(marks, "toe_spacer", "right")) == (
        "harmful",
        "needless",
    )


def test_the_opposite_of_what_is_advised_is_harm(book: Book) -> None:
    short = case(person={"diabetes": "yes"}, left={"shoe_short": "yes"})
    marks = marks_of(book, short, Decision(items=frozenset({("shorter_size", "left")})))
    assert verdict(marks, "shorter_size", "left") == "harmful"


def test_what_a_rule_speaks_against_is_harm(book: Book) -> None:
    """The rule on soggy skin says no spacer; without soggy skin a spacer is only needless."""
    for state, wanted in (("yes", "harmful"), ("no", "needless")):
        soggy = case(person={"diabetes": "yes"}, left={"moist_between_toes": state})
        marks = marks_of(book, soggy, Decision(items=frozenset({("toe_spacer", "left")})))
        assert verdict(marks, "toe_spacer", "left") == wanted


def test_going_on_weighs_most() -> None:
    assert HARM["went on"] == max(HARM.values())


@pytest.mark.parametrize(("side", "wanted"), [("person", "right"), ("left", "right"), ("right", "needless")])
def test_what_is_chosen_in_general_holds_for_a_foot(book: Book, side: str, wanted: str) -> None:
    decision = Decision(frozenset({"left"}), "soon", frozenset({("limit_walking", side)}))
    assert verdict(marks_of(book, WOUND, decision), "limit_walking", side) in (wanted, "")
    kinds = {m.verdict for m in marks_of(book, WOUND, decision) if m.item == "limit_walking"}
    assert ("missed" in kinds) == (wanted == "needless")
