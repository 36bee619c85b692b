"""What must hold for any case at all."""

from __future__ import annotations

import json
import random
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cases import MIRRORED, cases, mirrored, places, standings
from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.case import case_as_yaml, parse_case
from toeroom.rules.planning import Planner
from toeroom.vocabulary import PERSON, SIDES

BOOK = open_book(ROOT)
PLANNER = BOOK.planner
WORDS = BOOK.vocabulary
CASES = cases(WORDS)
STOPPING = (
    "open_wound",
    "infection_signs",
    "black_tissue",
    "hot_swollen_foot",
    "rest_pain",
    "cold_or_blue_foot",
)
often = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@often
@given(CASES)
def test_both_engines_come_to_the_same_plan(case):
    PLANNER.plan(case)  # raises EnginesDiffer where they do not


@often
@given(CASES, st.sampled_from(STOPPING), st.sampled_from(SIDES))
def test_a_further_stopping_finding_never_removes_a_stop(case, finding, side):
    before = PLANNER.plain_plan(case)
    after = PLANNER.plain_plan(case.with_finding(finding, side, "yes"))
    assert after.stop or not before.stop
    for foot in SIDES:
        if before.state("no_fitting_today", foot):
            assert after.state("no_fitting_today", foot)


@often
@given(CASES, st.sampled_from(STOPPING), st.sampled_from(SIDES))
def test_a_stopping_finding_stops_a_foot_that_is_there(case, finding, side):
    case = case.with_finding("leg_amputated", side, "no").with_finding(finding, side, "yes")
    plan = PLANNER.plain_plan(case)
    assert plan.stop
    for line in plan.lines:
        if line.side == side and line.section in ("footwear", "build", "insert", "alteration"):
            assert not line.advised or line.id in ("offloading_device", "post_op_shoe")


@often
@given(CASES)
def test_mirrored_feet_give_the_mirrored_plan(case):
    plan = standings(PLANNER.plain_plan(case))
    other = standings(PLANNER.plain_plan(mirrored(case)))
    assert other == {(item, MIRRORED[side]): value for (item, side), value in plan.items()}


@often
@given(CASES, st.sampled_from(places(WORDS)))
def test_unknown_allows_nothing_that_yes_and_no_both_refuse(case, place):
    plans = {v: PLANNER.plain_plan(case.with_finding(*place, v)) for v in ("yes", "no", "unknown")}
    if plans["yes"].stop and plans["no"].stop:
        assert plans["unknown"].stop
    for line in plans["unknown"].lines:
        refused = [p.line(line.id, line.side) for v, p in plans.items() if v != "unknown"]
        if all(other is not None and not other.advised for other in refused):
            assert not line.advised, (line.id, line.side, place)


@often
@given(CASES, st.randoms(use_true_random=False))
def test_the_order_of_what_is_stated_does_not_matter(case, chance):
    shuffled = list(case.findings.items())
    chance.shuffle(shuffled)
    again = replace(case, findings=dict(shuffled))
    one, other = PLANNER.plain_plan(case), PLANNER.plain_plan(again)
    assert json.dumps(one.as_json()) == json.dumps(other.as_json())


@settings(max_examples=20, deadline=None)
@given(CASES, st.integers(0, 5))
def test_the_order_of_rules_does_not_matter(case, seed):
    rules = list(BOOK.rules)
    random.Random(seed).shuffle(rules)
    other = Planner(tuple(rules), WORDS, "shuffled")
    assert standings(other.plain_plan(case)) == standings(PLANNER.plain_plan(case))


@often
@given(CASES)
def test_every_line_leads_back_to_what_is_stated_and_names_page_and_source(case):
    plan = PLANNER.plain_plan(case)
    states = {(s.id, s.side, s.value) for s in plan.states}
    for line in plan.lines:
        assert line.reasons
        assert line.pages
        assert line.sources
        assert line.act
        assert line.by
        for reason in line.reasons:
            assert reason.matched
            for match in reason.matched:
                concluded = match.kind == "derived" and match.value not in ("no",)
                if concluded and not str(match.value).startswith("not "):
                    assert (match.id, match.side, match.value) in states


@often
@given(CASES)
def test_a_case_written_and_read_again_is_the_same_case(case):
    assert parse_case(case_as_yaml(case, WORDS), WORDS) == case


@often
@given(CASES)
def test_nothing_speaks_about_a_foot_that_is_not_there(case):
    case = case.with_finding("leg_amputated", "left", "yes")
    plan = PLANNER.plain_plan(case)
    assert [line.id for line in plan.lines if line.side == "left"] == []
    assert {s.side for s in plan.states} <= {"right", PERSON}
