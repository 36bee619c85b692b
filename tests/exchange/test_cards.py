"""A plan as CDS Hooks cards, against a schema written from the specification."""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from jsonschema import Draft202012Validator

from tests.cases import cases
from toeroom.book import Book, open_book
from toeroom.case import Case, read_case
from toeroom.exchange.cards import LONGEST_SUMMARY, cards_response
from toeroom.handbook.sources import read_sources
from toeroom.plan import Plan
from toeroom.rules.asking import with_questions

BOOK = open_book()
SOURCES = read_sources(BOOK.folder / "kb/sources.yaml")
SCHEMA = json.loads((Path(__file__).parent / "cds_hooks_2_0.schema.json").read_text(encoding="utf-8"))
RULES = Draft202012Validator(SCHEMA)
DEMO = sorted((BOOK.folder / "cases_demo").glob("*.yaml"))


def planned(case: Case) -> Plan:
    return with_questions(BOOK.planner, case, BOOK.planner.plan(case))


def response(plan: Plan) -> dict[str, list[dict[str, Any]]]:
    return cards_response(plan, BOOK.vocabulary, SOURCES)


def faults(value: object) -> list[str]:
    return [error.message for error in RULES.iter_errors(value)]


def check(plan: Plan) -> None:
    found = response(plan)
    assert faults(found) == []
    cards = found["cards"]
    assert len({card["uuid"] for card in cards}) == len(cards)
    assert all(plan.deferral in card["detail"] for card in cards)
    assert all(plan.book_version in card["source"]["label"] for card in cards)
    assert plan.stop == (cards[0]["indicator"] == "critical")
    detail = "\n".join(card["detail"] for card in cards)
    for line in plan.lines:
        if line.advised and line.section == "stop":
            assert line.label in detail


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_demo_cases(path: Path) -> None:
    plan = planned(read_case(path, BOOK.vocabulary))
    check(plan)
    assert response(plan) == response(plan)


@settings(max_examples=60, deadline=None)
@given(cases(BOOK.vocabulary))
def test_any_plan_keeps_the_rules_of_the_specification(case: Case) -> None:
    check(BOOK.planner.plain_plan(case))


def test_a_plan_that_does_not_stop_says_all_it_advises(book: Book) -> None:
    plan = planned(read_case(DEMO[1], book.vocabulary))
    assert not plan.stop
    detail = "\n".join(card["detail"] for card in response(plan)["cards"])
    assert all(line.label.lower() in detail.lower() for line in plan.lines)
    cautions = {caution for line in plan.lines for caution in line.cautions} | set(plan.cautions)
    assert cautions
    assert all(caution in detail.replace("\\", "") for caution in cautions)


def test_the_title_of_the_case_stays_at_home() -> None:
    case = Case("x", read_case(DEMO[0], BOOK.vocabulary).as_of, title="Mrs Somebody", notes="of Sometown")
    text = json.dumps(response(planned(case)))
    assert "Some" not in text


def test_the_uuid_changes_with_the_day_and_with_the_rules() -> None:
    case = read_case(DEMO[4], BOOK.vocabulary)
    plan = planned(case)
    first = [card["uuid"] for card in response(plan)["cards"]]
    for other in (plan_with(plan, book_version="other"), plan_with(plan, case="other")):
        assert not set(first) & {card["uuid"] for card in response(other)["cards"]}


def plan_with(plan: Plan, **values: str) -> Plan:
    from dataclasses import replace

    return replace(plan, **values)  # type: ignore[arg-type]


BROKEN = [
    (("summary",), "x" * (LONGEST_SUMMARY + 1)),
    (("summary",), ""),
    (("summary",), None),
    (("indicator",), "hard-stop"),
    (("source",), {}),
    (("source", "topic"), {"display": "no code"}),
    (("uuid",), "1"),
    (("suggestions",), [{"label": "do it"}]),
    (("overrideReasons",), [{"code": "1"}]),
    (("links",), [{"label": "page", "url": "kb/page", "type": "absolute"}]),
    (("links",), [{"label": "page", "url": "https://x.example/", "type": "absolute", "appContext": "y"}]),
    (("extra",), 1),
]


@pytest.mark.parametrize(("place", "value"), BROKEN)
def test_the_schema_can_refuse(place: tuple[str, ...], value: object) -> None:
    broken = deepcopy(response(planned(read_case(DEMO[0], BOOK.vocabulary))))
    inner = broken["cards"][0]
    for key in place[:-1]:
        inner = inner[key]
    inner[place[-1]] = value
    assert faults(broken)
