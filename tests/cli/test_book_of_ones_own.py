"""A fitter changes the book without touching Python; a broken book is refused in one line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.conftest import ROOT


@pytest.fixture
def own_book(tmp_path: Path) -> Path:
    for name in ("kb", "rules"):
        shutil.copytree(ROOT / name, tmp_path / name)
    return tmp_path


RULE = """
topic: Our own
rules:
  - id: ticklish-foot
    title: A ticklish foot gets a soft upper
    about: foot
    stage: advise
    when: [ticklish]
    then: {advise: [soft_padded_upper]}
    source: [common-practice]
    pages: [uppers]
    author: test
    reviewed: 2026-11-25
    review_by: 2099-11-25
    examples:
      fires: {left: {ticklish: yes}}
      silent: {left: {ticklish: no}}
"""
FINDING = """findings:
  ticklish:
    scope: foot
    said_by: wearer
    group: feeling
    label: Ticklish foot
    question: "Is the {foot} ticklish?"
    look: "Ask."
    page: uppers
    words: [ticklish]
"""


def test_a_new_finding_and_rule_work_without_python(own_book: Path, tmp_path: Path) -> None:
    words = own_book / "rules/vocabulary.yaml"
    words.write_text(words.read_text().replace("findings:\n", FINDING, 1))
    (own_book / "rules/own.yaml").write_text(RULE)
    case = tmp_path / "case.yaml"
    case.write_text("case: x\nleft: {ticklish: yes}\n")
    assert toeroom("--book", str(own_book), "rules", "check").stdout == "the rules hold together\n"
    plan = json.loads(toeroom("--book", str(own_book), "plan", "--json", str(case)).stdout)
    assert ("soft_padded_upper", "left") in {(i["id"], i["side"]) for i in plan["items"]}


BUNION = RULE.replace("[ticklish]", "[bunion]").replace("ticklish:", "bunion:")
ABSENT = BUNION.replace("when: [bunion]", "when: [{needs_depth: not yes}]")
DETAIL = BUNION.replace(
    "[soft_padded_upper]}", "[soft_padded_upper], detail: {soft_padded_upper: {x_mm: VALUE}}}"
)
BROKEN = [
    (DETAIL.replace("VALUE", "toe_rom_mm"), "did you mean 'toe_room_mm'?"),
    (DETAIL.replace("VALUE", "toe_room_mm@middle"), "'toe_room_mm@middle' names no foot"),
    (DETAIL.replace("VALUE", "longest_foot_mm@left"), "a measure of a foot takes @left or @right"),
    (RULE, "'ticklish' cannot stand in a condition"),
    (RULE.replace("ticklish]", "bunyon]"), "did you mean 'bunion'?"),
    (RULE.replace("[ticklish]", "[bunion]"), "example 'fires'"),
    (BUNION.replace("when: [bunion]", "when: [bunion: maybe]"), "'bunion' cannot be 'maybe'"),
    (BUNION.replace("when: [bunion]", "when: [poor_sight]"), "stays silent"),
    (BUNION.replace("soft_padded_upper", "soft_upper"), "not a plan item"),
    (BUNION.replace("advise: [soft", "hold back: [soft"), "only a guard holds back"),
    (BUNION.replace("stage: advise", "stage: later"), "'later' cannot stand here"),
    (BUNION.replace("    source: [common-practice]\n", ""), "the rule has no 'source'"),
    (BUNION.replace("common-practice", "hearsay"), "the source 'hearsay' is not in sources.yaml"),
    (BUNION.replace("pages: [uppers]", "pages: [uper]"), "there is no page 'uper'"),
    (BUNION.replace("2099", "2020"), "the review was due on 2020-11-25"),
    (BUNION.replace("ticklish-foot", "bunion-build"), "is used already"),
    (
        BUNION.replace("when: [bunion]", "when: [insert_age_months: older than 4]"),
        "is a number and cannot be",
    ),
    (
        ABSENT.replace("stage: advise", "stage: assess").replace(
            "advise: [soft_padded_upper]", "conclude: [needs_width]"
        ),
        "absent before that is settled",
    ),
    ("rules: [a]\n", "must hold 'name: value' lines"),
    ("rules: [\n", "is not valid YAML"),
]


@pytest.mark.parametrize(("broken", "said"), BROKEN)
def test_a_broken_rule_is_found(broken: str, said: str, own_book: Path) -> None:
    (own_book / "rules/own.yaml").write_text(broken)
    done = toeroom("--book", str(own_book), "rules", "check")
    assert done.returncode == 1
    assert said in done.stdout
    assert "own.yaml" in done.stdout
    assert "Traceback" not in done.stderr


def test_a_plan_by_a_book_that_cannot_be_read_is_refused(own_book: Path) -> None:
    (own_book / "rules/own.yaml").write_text(RULE)
    done = toeroom("--book", str(own_book), "plan", "tests/data/cases_dev/ev-001.yaml")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
