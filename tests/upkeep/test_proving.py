"""Guarantees: read strictly, proved for every case, or refuted by a case that the engines show too."""

from __future__ import annotations

import argparse
import json
import random
import shutil
import subprocess
import sys
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.rules import random_books
from tests.upkeep.compared import AS_OF, Cases, Comparison
from toeroom.book import Book, open_book
from toeroom.case import Case, case_as_yaml, parse_case
from toeroom.commands.common import Parser
from toeroom.commands.proving import add_prove
from toeroom.errors import BadInput, BookFault
from toeroom.measures.calculated import CALCULATIONS
from toeroom.rules import model
from toeroom.rules.planning import Planner
from toeroom.upkeep.counterexample import Witness, decimals_near
from toeroom.upkeep.encoded_values import DAYS, QUANTITIES, YES_NO
from toeroom.upkeep.guarantees import Guarantee, chosen, guarantees_file, read_guarantees
from toeroom.upkeep.proving import (
    EMPTY,
    REFUTED,
    Prover,
    Verdict,
    guarantees_changed,
    prove,
    some_guarantee_fails,
)
from toeroom.upkeep.solver import z3
from toeroom.yamltree import read_book_file


@pytest.fixture(scope="module")
def guarantees(book: Book) -> tuple[Guarantee, ...]:
    """All guarantees of the book, drafts too."""
    return read_guarantees(guarantees_file(ROOT), book.vocabulary)


@pytest.fixture(scope="module")
def prover(book: Book) -> Prover:
    """The shipped rules, encoded."""
    return Prover(book.planner)


def written(tmp_path: Path, book: Book, text: str) -> tuple[Guarantee, ...]:
    """Guarantees from the text of a file; `source` is added to each."""
    path = tmp_path / "guarantees.yaml"
    path.write_text("guarantees:\n" + text)
    return read_guarantees(path, book.vocabulary)


def facts(case: Case) -> int:
    """How much a case states."""
    return len(case.findings) + len(case.measures) + len(case.choices) + len(case.dates)


def verdict_on(prover: Prover, guarantee: Guarantee) -> Verdict:
    return next(prover.prove([guarantee], AS_OF))


def without(planner: Planner, rule_id: str) -> Planner:
    """The planner with one rule left out."""
    rules = tuple(rule for rule in planner.rules if rule.id != rule_id)
    assert len(rules) == len(planner.rules) - 1
    return Planner(rules, planner.vocabulary, "changed")


# --- the shipped rules -------------------------------------------------------------------------------
def test_guarantees_hold_on_the_shipped_rules(prover: Prover, guarantees: tuple[Guarantee, ...]) -> None:
    active = chosen(guarantees, [])
    verdicts = list(prover.prove(active, AS_OF))
    assert [(v.guarantee.id, v.broken) for v in verdicts if not v.holds] == []
    assert len(verdicts) >= 28


def test_drafts_are_wanted_and_not_yet_true(prover: Prover, guarantees: tuple[Guarantee, ...]) -> None:
    """A draft that has come true is to be made active."""
    drafts = [g for g in guarantees if g.status == "draft"]
    assert {prover.standing(draft) for draft in drafts} <= {REFUTED}


def test_sources_of_guarantees_are_in_the_list(guarantees: tuple[Guarantee, ...]) -> None:
    tree = read_book_file(ROOT / "kb" / "sources.yaml").value
    assert isinstance(tree, dict)
    sources = tree["sources"].value
    assert isinstance(sources, dict)
    assert {s.key for g in guarantees for s in g.sources} - set(sources) == set()


# --- the encoding against the engines ----------------------------------------------------------------
@pytest.fixture(scope="module")
def comparison(book: Book) -> Comparison:
    return Comparison(book.planner)


@pytest.mark.parametrize("seed", range(4))
def test_encoding_says_what_the_engine_says(book: Book, comparison: Comparison, seed: int) -> None:
    cases = Cases(book.planner, random.Random(1000 + seed))
    for _ in range(100):
        case = cases.one()
        assert comparison.agrees(case), (comparison.differing(case), case)


def test_a_difference_would_be_seen(book: Book, comparison: Comparison) -> None:
    """An engine that lacks a rule differs in the case in which that rule speaks, and only there."""
    other = Comparison(book.planner)
    other.planner = without(book.planner, "infection-no-fitting")
    infected = Case("infected", AS_OF, findings={("infection_signs", "left"): "yes"})
    blank = Case("blank", AS_OF)
    assert comparison.agrees(infected)
    assert not other.agrees(infected)
    assert ("infection-no-fitting", "left") in other.differing(infected)
    assert other.agrees(blank)


@pytest.mark.parametrize("seed", range(3))
def test_encoding_of_random_rule_books(book: Book, seed: int) -> None:
    """Rules that lean on each other in every way that the order of steps allows."""
    chance = random.Random(seed)
    spoke = 0
    for _ in range(12):
        comparison = Comparison(random_books.planner(chance, book.vocabulary))
        for _ in range(4):
            case = random_books.case(chance)
            spoke += bool(comparison.planner.run(case).fired)
            assert comparison.agrees(case), (comparison.differing(case), case)
    assert spoke > 20


def test_claims_mean_the_same_to_the_solver_and_of_a_plan(
    book: Book, prover: Prover, guarantees: tuple[Guarantee, ...]
) -> None:
    """Turned round, guarantees break in many cases: in the same ones by formula and by finished plan."""
    turned = tuple(replace(g, never=g.always, always=g.never) for g in guarantees)
    witness = Witness(book.planner, turned)
    formulas = {g.id: z3.Or(*(prover.claims.broken(g, side) for side in g.sides)) for g in turned}
    cases = Cases(book.planner, random.Random(7))
    broken = 0
    for _ in range(25):
        case = cases.one()
        assert prover.solver.check(*prover.encoding.stated.as_formulas(case)) == z3.sat
        model = prover.solver.model()
        by_formula = {i for i, f in formulas.items() if z3.is_true(model.eval(f, model_completion=True))}
        assert by_formula == {i for i, wrong in witness.broken_in(case, turned).items() if wrong}, case
        broken += len(by_formula)
    assert broken > 200


def test_the_prover_knows_every_calculation() -> None:
    assert set(CALCULATIONS) == {*QUANTITIES, *YES_NO, *DAYS}


# --- what does not hold ------------------------------------------------------------------------------
HEAD = "  - {id: broken, title: A broken guarantee, source: [common-practice], "
BROKEN = [
    # text, how many facts the smallest case states
    ("about: foot, never: {advised: [well_fitting_shoe]}}", 0),
    ("about: foot, when: [bunion], never: {advised: [extra_width]}}", 1),
    ("about: foot, when: [open_wound], never: {advised: [post_op_shoe]}}", 1),
    ("about: foot, when: [open_wound], always: {conclude: [urgent_referral]}}", 1),
    ("about: foot, never: {held back: [custom_insert]}}", 2),
    ("about: foot, never: {conclude: [severe_ischaemia]}}", 1),
    ("about: person, never: {conclude: {ulcer_risk: 3}}}", 2),
    ("about: person, never: {figures: {review_by_risk: {months_max: more than 6}}}}", 1),
    ("about: foot, never: {figures: {sole_build_up: {ball_mm: more than 30}}}}", 2),
    ("about: person, always: {one value of: [ulcer_risk]}}", 1),
    ("about: foot, always: {done by: {custom_insert: fitter}}}", 1),
    ("about: person, never: {conclude: [mismatched_feet]}}", 2),
    ("about: person, never: {advised: [replace_inserts]}}", 1),
    ("about: person, when: [each foot: [pulses_absent]], never: {advised: [pair_of_two_sizes]}}", 4),
    ("about: person, without_feet: yes, when: [us_medicare], always: {advised: [complete_order]}}", 2),
    ("about: missing foot, when: [us_medicare], always: {in the plan: [complete_order]}}", 2),
    ("about: person, when: [benefit_excluded, {diabetes: not no}], never: {advised: [benefit_not_met]}}", 33),
]  # fmt: skip


@pytest.mark.parametrize(("text", "number"), BROKEN)
def test_a_broken_guarantee_is_refuted_by_a_smallest_case(
    book: Book, prover: Prover, tmp_path: Path, text: str, number: int
) -> None:
    (guarantee,) = written(tmp_path, book, HEAD + text)
    verdict = verdict_on(prover, guarantee)
    assert verdict.standing == REFUTED
    assert verdict.case is not None
    assert facts(verdict.case) == number
    read_back = parse_case(case_as_yaml(verdict.case, book.vocabulary), book.vocabulary)
    assert read_back == verdict.case
    assert Witness(book.planner, (guarantee,)).breaks(guarantee, read_back) == list(verdict.broken)


def test_a_smallest_case_is_short_in_its_numbers(book: Book, prover: Prover, tmp_path: Path) -> None:
    text = HEAD + "about: foot, never: {advised: [in_shoe_lift]}}"
    case = verdict_on(prover, written(tmp_path, book, text)[0]).case
    assert case is not None
    heel = case.measures["leg_difference_mm", "person"]
    assert 0 < heel <= 10
    assert heel == int(heel)
    assert case.as_of == AS_OF


def test_windows_are_exact_to_the_day(book: Book, prover: Prover, tmp_path: Path) -> None:
    """A visit on 31 August counts to the last of February and not a day longer."""
    text = HEAD + "about: person, without_feet: yes, when: [us_medicare], never: {advised: [complete_visit]}}"
    (guarantee,) = written(tmp_path, book, text)
    for planned, breaks in ((date(2027, 2, 28), False), (date(2027, 3, 1), True)):
        case = Case(
            "window",
            AS_OF,
            findings={("us_medicare", "person"): "yes"},
            dates={"physician_visit": date(2026, 8, 31), "planned_delivery": planned},
        )
        stated = prover.encoding.stated.as_formulas(case)
        answer = prover.solver.check(*stated, prover.claims.broken(guarantee, "person"))
        assert (answer == z3.sat) == breaks
        assert bool(Witness(book.planner, (guarantee,)).breaks(guarantee, case)) == breaks


@pytest.mark.parametrize(
    ("dropped", "breaks"),
    [
        ("nothing-for-a-stopped-foot", "nothing-to-sell-for-a-wound"),
        ("nothing-for-the-pair", "nothing-for-a-person-all-stopped"),
        ("no-pair-handed-over", "no-pair-past-a-stop"),
        ("hot-foot-today", "hot-foot-same-day"),
        ("infection-no-fitting", "infection-stops-and-is-urgent"),
        ("stump-today", "stump-lesion-is-urgent"),
        ("compression-and-lost-feeling", "compression-waits-for-feeling"),
        ("filament-missed-reads-lost", "compression-waits-for-feeling"),
        ("category-unknown", "one-category"),
        ("screen-3", "category-3-every-1-to-3-months"),
        ("pair-of-depth-shoes", "pair-of-one-kind"),
        ("ordinary-shoe", "every-foot-has-a-shoe"),
        ("order-missing", "papers-out-of-time-are-asked-for"),
    ],
)
def test_a_rule_book_without_a_rule_is_refuted(
    book: Book, guarantees: tuple[Guarantee, ...], dropped: str, breaks: str
) -> None:
    planner = without(book.planner, dropped)
    guarantee = chosen(guarantees, [breaks])[0]
    prover = Prover(planner)
    assert prover.standing(guarantee) == REFUTED


def test_a_lost_guard_shows_what_is_left_advised(book: Book, guarantees: tuple[Guarantee, ...]) -> None:
    planner = without(book.planner, "nothing-for-a-stopped-foot")
    (verdict,) = prove(planner, chosen(guarantees, ["nothing-to-sell-for-a-wound"]), AS_OF)
    assert verdict.case is not None
    assert verdict.case.findings == {("open_wound", "left"): "yes"}
    assert verdict.broken == ("advised on the left: well_fitting_shoe (by ordinary-shoe)",)
    line = planner.plan(verdict.case).line("well_fitting_shoe", "left")
    assert line is not None
    assert line.advised


def test_a_moved_limit_is_refuted(book: Book, guarantees: tuple[Guarantee, ...]) -> None:
    """A lift of 10.5 mm let into the shoe: the number found lies between the two limits."""
    rules = []
    for rule in book.planner.rules:
        if rule.id == "lift-inside":
            assert isinstance(rule.when, model.All)
            parts = tuple(
                replace(part, value=Decimal("10.5"))
                if isinstance(part, model.Test) and part.op == "<="
                else part
                for part in rule.when.parts
            )
            rule = replace(rule, when=model.All(parts))
        rules.append(rule)
    planner = Planner(tuple(rules), book.vocabulary, "changed")
    wanted = chosen(guarantees, ["lift-over-10-mm-goes-outside", "no-lift-inside-over-10-mm"])
    for verdict in prove(planner, wanted, AS_OF):
        assert verdict.standing == REFUTED
        assert verdict.case is not None
        assert 10 < verdict.case.measures["leg_difference_mm", "person"] <= Decimal("10.5")


def test_a_guarantee_that_never_applies_says_nothing(book: Book, prover: Prover, tmp_path: Path) -> None:
    text = HEAD + "about: foot, when: [leg_amputated], never: {advised: [crest_pad]}}"
    assert verdict_on(prover, written(tmp_path, book, text)[0]).standing == EMPTY


def test_decimals_beside_a_number() -> None:
    assert list(decimals_near(Fraction(21, 2)))[:4] == [10, 11, Decimal("10.5"), Decimal("10.50")]
    third = list(decimals_near(Fraction(1, 3)))
    assert third[-1] == Decimal("0.333333334")


# --- the file ----------------------------------------------------------------------------------------
FAULTS = [
    ("about: foot}", "guarantees nothing"),
    ("about: feet, never: {advised: [crest_pad]}}", "'feet' cannot stand here"),
    ("about: foot, never: {advised: [crest_pads]}}", "did you mean 'crest_pad'"),
    ("about: foot, never: {adviced: [crest_pad]}}", "did you mean 'advised'"),
    ("about: foot, never: {advised: []}}", "names nothing"),
    ("about: foot, never: {}}", "the claim is empty"),
    ("about: foot, never: {advised: [section insoles]}}", "there is no section insoles"),
    ("about: foot, when: [bunyon], never: {advised: [crest_pad]}}", "did you mean 'bunion'"),
    ("about: person, when: [bunion], never: {advised: [crest_pad]}}", "is about a foot"),
    ("about: person, never: {conclude: [needs_depth]}}", "belongs to a foot"),
    ("about: person, never: {conclude: [need_depth]}}", "did you mean 'needs_depth'"),
    ("about: person, never: {conclude: {ulcer_risk: 7}}}", "cannot be '7'"),
    ("about: person, never: {one value of: [needs_depth]}}", "has no values"),
    ("about: person, never: {other foot: {advised: [crest_pad]}}}", "'other foot'"),
    ("about: foot, never: {figures: {in_shoe_lift: {heel_mm: high}}}}", "cannot be 'high'"),
    ("about: foot, always: {done by: {crest_pad: shop}}}", "'shop' cannot stand here"),
    ("about: foot, then: {advise: [crest_pad]}, never: {advised: [crest_pad]}}", "'then' is not a known key"),
    ("about: foot, status: retired, never: {advised: [crest_pad]}}", "'retired' cannot stand here"),
]


@pytest.mark.parametrize(("text", "said"), FAULTS)
def test_faults_in_the_file(book: Book, tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(BookFault) as fault:
        written(tmp_path, book, HEAD + text)
    assert said in str(fault.value)
    assert fault.value.line == 2


def test_ids_are_used_once_and_spelt_plainly(book: Book, tmp_path: Path) -> None:
    one = HEAD + "about: foot, never: {advised: [crest_pad]}}\n"
    with pytest.raises(BookFault, match="used already on line 2"):
        written(tmp_path, book, one + one)
    with pytest.raises(BookFault, match="cannot be an id"):
        written(tmp_path, book, one.replace("id: broken", "id: Not_Plain"))
    with pytest.raises(BookFault, match="has no 'source'"):
        written(tmp_path, book, one.replace("source: [common-practice], ", ""))


def test_an_unknown_id_names_the_nearest(guarantees: tuple[Guarantee, ...]) -> None:
    with pytest.raises(BadInput, match="did you mean 'hot-foot-same-day'"):
        chosen(guarantees, ["hot-foot-same-days"])


def test_drafts_are_tried_only_where_named(guarantees: tuple[Guarantee, ...]) -> None:
    assert "draft" not in {g.status for g in chosen(guarantees, [])}
    assert [g.id for g in chosen(guarantees, ["longer-or-shorter"])] == ["longer-or-shorter"]


# --- the command -------------------------------------------------------------------------------------
def command(*words: str) -> int:
    """Runs the verb as `toeroom rules` would."""
    parser = Parser(prog="toeroom")
    parser.set_defaults(book=ROOT)
    add_prove(parser.add_subparsers(required=True))
    options: argparse.Namespace = parser.parse_args(["prove", *words])
    code: int = options.run(options)
    return code


def test_command_says_that_all_hold(capsys: pytest.CaptureFixture[str]) -> None:
    assert command("hot-foot-same-day", "one-category") == 0
    assert capsys.readouterr().out == "2 of 2 guarantees hold for every case\n"


def test_command_writes_the_case_that_breaks_one(
    book: Book, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "broken"
    assert command("longer-or-shorter", "--out", str(folder)) == 1
    said = capsys.readouterr().out
    assert "'longer-or-shorter' does not hold" in said
    path = folder / "breaks-longer-or-shorter.yaml"
    assert str(path) in said
    plan = book.planner.plan(parse_case(path.read_text(), book.vocabulary))
    for item in ("longer_size", "shorter_size"):
        line = plan.line(item, "left")
        assert line is not None
        assert line.advised


def test_command_shows_the_case_and_speaks_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert command("longer-or-shorter") == 1
    assert "  case: breaks-longer-or-shorter\n" in capsys.readouterr().out
    assert command("longer-or-shorter", "one-category", "--json") == 1
    first, second = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert (first["standing"], first["holds"], second["standing"]) == ("refuted", False, "proved")
    assert first["case"].startswith("case: breaks-longer-or-shorter\n")
    assert second["case"] is None


def test_without_the_solver_one_line_says_what_to_install() -> None:
    script = """
import sys
sys.modules["z3"] = None
from toeroom.commands.common import Parser
from toeroom.commands.proving import add_prove
from toeroom.errors import BadInput
parser = Parser()
parser.set_defaults(book=None)
add_prove(parser.add_subparsers())
options = parser.parse_args(["prove"])
try:
    options.run(options)
except BadInput as fault:
    print(fault)
"""
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True)
    assert done.stdout == "proving needs the solver z3; install toeroom with its extra 'upkeep'\n"


def test_a_calculation_the_prover_does_not_know(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(QUANTITIES, "toe_room_mm")
    with pytest.raises(BookFault, match="does not know the calculation 'toe_room_mm'"):
        Prover(book.planner)


# --- guarantees beside mutations and comparisons -----------------------------------------------------
def test_what_a_change_does_to_the_guarantees(book: Book, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "rules", tmp_path / "rules")
    (tmp_path / "kb").symlink_to(ROOT / "kb")
    path = tmp_path / "rules/stops.yaml"
    wound_stops = "then: {conclude: [no_fitting_today]}"
    assert wound_stops in path.read_text("utf-8")
    path.write_text(path.read_text("utf-8").replace(wound_stops, "then: {conclude: []}", 1), "utf-8")
    changed = open_book(tmp_path)
    lines = guarantees_changed(book, changed)
    assert "wound-on-the-sole-is-a-wound: proved → refuted" in lines
    assert guarantees_changed(changed, changed) == []
    fails = some_guarantee_fails(book)
    assert fails(changed.planner)
    assert not fails(book.planner)
