"""The development cases, each with what its plan must and must not hold (tests/data)."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.case import read_case

GOLD: dict[str, dict[str, Any]] = yaml.safe_load((ROOT / "tests/data/cases_gold_dev.yaml").read_text())


@pytest.mark.parametrize("case_id", GOLD)
def test_plan_is_as_agreed(case_id: str, book: Book) -> None:
    gold = GOLD[case_id]
    plan = book.planner.plan(read_case(ROOT / f"tests/data/cases_dev/{case_id}.yaml", book.vocabulary))
    standing = {f"{line.id}@{line.side}": line.standing for line in plan.lines}
    assert plan.stop == gold["stop"]
    assert [i for i in gold["must"] if standing.get(i) != "advised"] == []
    assert [i for i in gold["must_not"] if standing.get(i) == "advised"] == []
    assert [i for i in gold["held_back"] if standing.get(i) != "held_back"] == []
    for place, value in gold["derived"].items():
        assert plan.state(*place.split("@")) == value, place
    for place, figures in gold.get("detail", {}).items():
        line = plan.line(*place.split("@"))
        assert line is not None
        assert {name: line.detail[name] for name in figures} == figures
