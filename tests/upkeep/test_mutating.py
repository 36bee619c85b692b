"""Small faults put into the rules: that what notices them is told rightly, and how much is noticed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.upkeep.coverage import coverage, covered_by
from toeroom.upkeep.mutants import Mutant, mutants
from toeroom.upkeep.mutating import Watch, score_by
from toeroom.upkeep.recording import (
    Example,
    broken_plans,
    case_examples,
    kept,
    plans_as_yaml,
    read_plans,
    rule_examples,
)
from toeroom.upkeep.suggesting import noticing_cases

KEPT = Path(__file__).parent / "cases"
SAMPLE = 9


@pytest.fixture(scope="module")
def faults(book: Book) -> list[Mutant]:
    return list(mutants(book.rules, book.vocabulary))


@pytest.fixture(scope="module")
def examples(book: Book) -> list[Example]:
    return [*rule_examples(book), *case_examples(book, [KEPT])]


def part_of(book: Book, *ids: str) -> Book:
    """The book with some of its rules only."""
    rules = tuple(rule for rule in book.rules if rule.id in ids)
    return Book(book.folder, book.vocabulary, rules, "part")


def test_the_kept_plans_still_hold(book: Book) -> None:
    assert [str(fault) for fault in broken_plans(book, [KEPT])] == []


def test_every_rule_and_every_test_is_looked_at(book: Book) -> None:
    found = coverage(book, [KEPT])
    assert [str(fault) for fault in found.faults] == []
    assert found.rules == len(book.rules)


def test_what_no_example_looks_at_is_named(book: Book) -> None:
    part = part_of(book, "bent-toes-build", "soft-corn-spacer")
    case = parse_case("case: x\nleft: {hammertoe: yes, claw_toes: no}\n", book.vocabulary)
    found = covered_by(part, [Example("x", case)])
    said = " ".join(fault.what for fault in found.faults)
    assert [rule.id for rule in found.never] == ["soft-corn-spacer"]
    assert "'claw_toes: yes' never holds" in said
    assert "'hammertoe: yes'" not in said
    assert all(fault.line and fault.file.endswith("fit.yaml") for fault in found.faults)


def test_nearly_all_faults_are_noticed(book: Book, faults: Sequence[Mutant], examples: list[Example]) -> None:
    watch = Watch(book, examples)
    answers = [watch.notices(fault) for fault in faults[::SAMPLE]]
    tried = [answer for answer in answers if answer is not None]
    assert len(tried) > 200
    assert sum(tried) / len(tried) >= 0.95


def test_no_guard_is_dropped_and_no_stop_lost_unnoticed(
    book: Book, faults: Sequence[Mutant], examples: list[Example]
) -> None:
    watch = Watch(book, examples)
    grave = [
        fault
        for fault in faults
        if fault.rule is None or (fault.of.file.endswith("stops.yaml") and "advised" in fault.what)
    ]
    assert len(grave) > 60
    assert [(fault.of.id, fault.what) for fault in grave if watch.notices(fault) is False] == ALONE


ALONE: list[tuple[str, str]] = [
    ("offloading-no-cast-with-infection", "'advised: offloading_device' dropped"),
]
"""The caution stands on that item alone: asking for it changes no plan (docs/upkeep.md)."""


def test_the_short_way_says_what_the_long_way_says(
    book: Book, faults: Sequence[Mutant], examples: list[Example]
) -> None:
    watch = Watch(book, examples)
    for fault in faults[5 :: SAMPLE * 12]:
        planner = watch.planner(fault)
        if planner is None:
            assert watch.notices(fault) is None
            continue
        failing = [
            example
            for example in examples
            if not (fault.rule is None and example.rule == fault.of.id)
            and not example.holds(planner, planner.run(example.case))
        ]
        assert watch.notices(fault) == bool(failing), fault.what


def test_a_fault_is_named_with_its_place(book: Book) -> None:
    part = part_of(book, "toe-pressure-under-30")
    score = score_by(part, rule_examples(part))
    what = [mutant.what for mutant in mutants(part.rules, part.vocabulary)]
    assert "'toe_pressure_mmhg: less than 30' made 'toe_pressure_mmhg: at most 30'" in what
    assert score.made == len(what)
    # Alone the rule concludes a state that nothing looks at, and no caution of it is shown.
    assert [fault.what for fault in score.faults] == [
        "rule 'toe-pressure-under-30': no example notices 'toe_pressure_mmhg: less than 30' made "
        "'toe_pressure_mmhg: less than 29'"
        if "less than 29" in fault.what
        else "rule 'toe-pressure-under-30': no example notices 'severe_ischaemia' no longer concluded"
        for fault in score.faults
    ]
    assert all(fault.line for fault in score.faults)


def test_who_drops_a_rule_drops_its_examples(book: Book) -> None:
    part = part_of(book, "bunion-build", "falls-keep-heels-low")
    dropped = next(m for m in mutants(part.rules, part.vocabulary) if m.rule is None)
    assert Watch(part, rule_examples(part)).notices(dropped) is False


def test_a_guarantee_may_notice(book: Book) -> None:
    part = part_of(book, "bunion-build", "falls-keep-heels-low")
    score = score_by(part, rule_examples(part), guarantees=lambda planner: len(planner.rules) < 2)
    assert not [mutant for mutant in score.survivors if mutant.rule is None]


def test_cases_are_found_that_notice(book: Book) -> None:
    part = part_of(book, "bent-toes-build", "toe-room-under-10", "swelling-closure")
    before = score_by(part, rule_examples(part))
    found = noticing_cases(part, before.survivors)
    cases = [Example(name, case, plan=plan) for name, (case, plan) in found.items()]
    after = score_by(part, [*rule_examples(part), *cases])
    assert before.share < 0.8
    assert after.share == 1.0


def test_kept_plans_are_read_back(book: Book, tmp_path: Path) -> None:
    case = parse_case("case: x\nleft: {open_wound: yes}\nright: {swelling: yes}\n", book.vocabulary)
    plans = {"x": kept(book.planner.plain_plan(case), book.vocabulary), "y": {"stop": ('a "b" \\ c',)}}
    (tmp_path / "plans.yaml").write_text(plans_as_yaml(plans))
    assert read_plans(tmp_path / "plans.yaml") == plans


def test_a_plan_that_is_no_longer_as_agreed_is_told(book: Book, tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_text("case: x\nas_of: 2026-11-25\nleft: {bunion: yes}\n")
    example = case_examples(book, [tmp_path])[0]
    assert example.plan is not None
    agreed = {**example.plan, "extra_width@left": ("held_back",)}
    (tmp_path / "plans.yaml").write_text(plans_as_yaml({"x": agreed}))
    faults = [fault.what for fault in broken_plans(book, [tmp_path])]
    assert faults == ["'extra_width@left' was agreed to be held_back, and is advised"]


def test_demo_cases_are_beside_the_book(book: Book) -> None:
    assert book.cases_demo == ROOT / "cases_demo"
    assert case_examples(book, [book.cases_demo])
