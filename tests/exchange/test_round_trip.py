"""A case sent and read back is the same case."""

from __future__ import annotations

import json
import tempfile
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cases import cases
from tests.exchange.conftest import BOOK, CODES, TODAY
from toeroom.case import Case, read_case
from toeroom.exchange.fhir_export import bundle_of
from toeroom.exchange.fhir_import import Imported, case_of
from toeroom.exchange.strict_json import read_json
from toeroom.lesson import Lesson

DEMO = sorted((BOOK.folder / "cases_demo").glob("*.yaml"))
words = st.text(st.characters(exclude_categories=["C", "Z"], include_characters=" \n\t"), max_size=40)


def sent(case: Case, release: str = "R4", *, texts: bool = False) -> dict[str, Any]:
    return bundle_of(case, BOOK.vocabulary, CODES, release=release, texts=texts).bundle


def back(bundle: dict[str, Any]) -> Imported:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "b.json"
        path.write_text(json.dumps(bundle), encoding="utf-8")
        return case_of(read_json(path), BOOK.vocabulary, CODES, file="b", name="no", today=date(2000, 1, 1))


@settings(max_examples=60, deadline=None)
@given(cases(BOOK.vocabulary), st.sampled_from(["R4", "R5"]), words, words)
def test_the_same_case_comes_back(case: Case, release: str, title: str, notes: str) -> None:
    case = replace(case, id="Demo-01", title=title, notes=notes)
    found = back(sent(case, release, texts=True))
    assert found.case == case
    assert found.not_read == found.mind == ()


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_demo_cases_give_the_same_plan(path: Path) -> None:
    case = read_case(path, BOOK.vocabulary)
    found = back(sent(case)).case
    assert found == replace(case, title="", notes="", lesson=Lesson())
    assert BOOK.planner.plain_plan(found).as_json() == BOOK.planner.plain_plan(case).as_json()


@settings(max_examples=30, deadline=None)
@given(cases(BOOK.vocabulary))
def test_unknown_is_never_false(case: Case) -> None:
    values = {}
    for entry in sent(case)["entry"][2:]:
        resource = entry["resource"]
        site = resource.get("bodySite", {"coding": [{"code": ""}]})["coding"][0]["code"]
        values[resource["code"]["coding"][0]["code"], site] = resource
    for (term_id, side), stated in case.findings.items():
        site = {"left": "22335008", "right": "7769000"}.get(side, "")
        resource = values[term_id, site]
        assert resource.get("valueBoolean") == {"yes": True, "no": False}.get(stated)
        absent = resource.get("dataAbsentReason", {"coding": [{"code": None}]})["coding"][0]["code"]
        assert absent == ("unknown" if stated == "unknown" else None)


def test_what_a_fhir_string_cannot_hold_becomes_a_space() -> None:
    """FHIR R4, datatypes: a string holds no control character but tab and line breaks."""
    case = Case("a", TODAY, notes="one\x0ctwo")
    assert back(sent(case, texts=True)).case.notes == "one two"


def test_names_stay_at_home_unless_asked() -> None:
    case = Case("a", TODAY, title="Mrs Somebody", notes="of Sometown")
    made = bundle_of(case, BOOK.vocabulary, CODES, release="R4")
    assert "Some" not in json.dumps(made.bundle)
    assert made.left_out == ("title", "notes")
    assert made.not_sent == ()
    assert made.bundle["entry"][0]["resource"].keys() == {"resourceType", "identifier"}


def test_a_code_not_certain_or_narrower_is_never_sent() -> None:
    places = [(i, side) for i in BOOK.vocabulary.findings for side in BOOK.vocabulary.sides_of(i)]
    case = Case("a", TODAY, findings=dict.fromkeys(places, "yes"))
    made = bundle_of(case, BOOK.vocabulary, CODES, release="R5")
    codes = {c["code"] for e in made.bundle["entry"][1:] for c in e["resource"]["code"]["coding"]}
    standard = {mapped.code.code: mapped for mapped in CODES.terms}
    assert codes & standard.keys() == {"73211009", "399957001"}
    assert set(made.own_only) == set(BOOK.vocabulary.findings) - {"diabetes", "arterial_disease"}


@settings(max_examples=30, deadline=None)
@given(cases(BOOK.vocabulary))
def test_the_same_case_gives_the_same_bundle_with_distinct_names(case: Case) -> None:
    one = sent(case)
    assert json.dumps(one) == json.dumps(sent(case))
    names = [entry["fullUrl"] for entry in one["entry"]]
    assert len(set(names)) == len(names)
