"""The training cases that come with the book: what they cover, and that they can be walked through."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.training.trainees import careless, perfect, reckless, walked
from toeroom.book import Book
from toeroom.case import Case, case_as_yaml, parse_case
from toeroom.errors import BadInput
from toeroom.lesson import GRADES
from toeroom.rules.planning import Planner
from toeroom.training.checking import faults
from toeroom.training.library import demo_cases
from toeroom.training.marking import STOPPING
from toeroom.training.unfolding import opening
from toeroom.training.variants import changed_finding, mirrored, moved_unknown, variant
from toeroom.vocabulary import SECTIONS

FILES = sorted((ROOT / "cases_demo").glob("*.yaml"))
SEEDS = range(1, 9)


def advised(planner: Planner, case: Case) -> set[str]:
    return {line.id for line in planner.plain_plan(case).lines if line.advised}


def test_there_are_two_dozen_in_three_grades(book: Book) -> None:
    cases = demo_cases(book)
    assert len(cases) == len(FILES) >= 24
    grades = Counter(case.grade for case in cases)
    assert all(grades[grade] >= 6 for grade in GRADES)


def test_they_cover_every_section_every_stop_item_and_every_plan_item(book: Book) -> None:
    found = set().union(*(advised(book.planner, case) for case in demo_cases(book)))
    items = book.vocabulary.plan_items
    assert {items[item].section for item in found} == set(SECTIONS)
    assert {item for item in items if items[item].section == "stop"} <= found
    assert set(items) - found == set()


def test_they_stop_for_every_cause_that_a_fitter_or_a_letter_can_give(book: Book) -> None:
    """Each finding that by itself stops a foot or is urgent is met in a case that stops."""
    causes = set()
    for case in demo_cases(book):
        if book.planner.plain_plan(case).stop:
            causes |= {i for (i, _), value in case.findings.items() if value == "yes"}
            causes |= {i for i, _ in case.measures}
    stopping = {"open_wound", "wound_on_sole", "blister", "infection_signs", "black_tissue"}
    stopping |= {"hot_swollen_foot", "rest_pain", "cold_or_blue_foot", "toe_pressure_mmhg", "leg_amputated"}
    assert stopping - causes == set()


def test_what_each_teaches_is_taught_by_one_case_at_least(book: Book) -> None:
    covered = {item for case in demo_cases(book) for item in case.lesson.covers}
    assert {book.vocabulary.plan_items[item].section for item in covered} >= set(SECTIONS) - {
        "followup",
        "socks",
    }


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_case_that_ships_has_no_fault(book: Book, path: Path) -> None:
    assert [str(fault) for fault in faults(book.planner, path)] == []


def test_a_trainee_is_not_shown_the_title_or_notes_of_the_case(book: Book) -> None:
    for case in demo_cases(book):
        shown = " ".join(opening(case))
        assert case.title not in shown
        assert case.notes[:40] not in shown


# --- faults ------------------------------------------------------------------------------------------
GOOD = """case: c-1
as_of: 2026-11-25
person: {diabetes: yes, fall_history: no}
left: {open_wound: no, bunion: yes, sensation_lost: yes}
right: {open_wound: no}
training:
  teaches: One thing.
  grade: simple
  title: A morning in the shop
  opening: He sits down.
  told: {shoe: A brown shoe}
  volunteers: [fall_history]
  covers: [extra_width]
"""


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("  grade: simple\n", "", "line 6: the training part has no 'grade'"),
        ("grade: simple", "grade: simpel", "line 8: the grade cannot be 'simpel'"),
        ("  title: A morning in the shop\n", "", "has no 'title'"),
        (
            "A morning in the shop",
            "A foot with feeling lost",
            "line 9: the title gives 'sensation_lost' away",
        ),
        ("He sits down.", "He has numb feet.", "line 10: the opening gives 'sensation_lost' away"),
        ("covers: [extra_width]", "covers: [toe_filler]", "line 13: 'toe_filler' is never in the plan"),
        ("left: {open_wound: no", "left: {open_wound: yes", "'extra_width' is held back in the plan"),
        ("[fall_history]", "[poor_sight]", "line 12: 'poor_sight' is volunteered and not stated"),
        ("  covers: [extra_width]\n", "", "has no 'covers'"),
    ],
)
def test_a_fault_is_said_in_one_line(book: Book, tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in GOOD
    path = tmp_path / "c.yaml"
    path.write_text(GOOD.replace(old, new).replace("{shoe: A brown shoe}", "{look: Two feet}"))
    found = [str(fault) for fault in faults(book.planner, path)]
    assert any(said in fault for fault in found), found
    assert all("\n" not in fault for fault in found)


def test_a_stage_without_anything_to_find_is_a_fault(book: Book, tmp_path: Path) -> None:
    path = tmp_path / "c.yaml"
    path.write_text(GOOD)
    assert ["the stage 'shoe' has nothing to find" in str(f) for f in faults(book.planner, path)] == [True]
    path.write_text(
        GOOD.replace("sensation_lost: yes", "callus: no").replace("fall_history: no", "us_medicare: no")
    )
    assert any("the stage 'touch' has nothing" in str(fault) for fault in faults(book.planner, path))


# --- variants ----------------------------------------------------------------------------------------
def test_a_seed_gives_the_same_variant_and_another_seed_mostly_another(book: Book) -> None:
    for case in demo_cases(book)[::5]:
        made = [variant(book.planner, case, seed) for seed in SEEDS]
        assert made == [variant(book.planner, case, seed) for seed in SEEDS]
        texts = {str((sorted(m.findings.items()), sorted(m.measures.items()))) for m in made}
        assert len(texts) >= 4
        assert all(m.findings != case.findings or m.measures != case.measures for m in made)
        assert variant(book.planner, case, 0) is case


def test_a_variant_is_a_case_that_can_be_written_and_read(book: Book) -> None:
    for case in demo_cases(book):
        made = variant(book.planner, case, 3)
        assert parse_case(case_as_yaml(made, book.vocabulary), book.vocabulary) == made
        assert set(made.lesson.covers) <= advised(book.planner, made)


def test_mirrored_twice_is_the_case_itself(book: Book) -> None:
    for case in demo_cases(book):
        assert mirrored(mirrored(case)) == case
        plan, other = book.planner.plain_plan(case), book.planner.plain_plan(mirrored(case))
        of_left = {item for item, side in plan.by_place if side == "left"}
        assert of_left == {item for item, side in other.by_place if side == "right"}


def test_changed_and_moved_lead_to_another_plan(book: Book) -> None:
    planner = book.planner
    for change in (changed_finding, moved_unknown):
        made = [(case, change(planner, case, random.Random("x"))) for case in demo_cases(book)[::4]]
        changed = [(case, other) for case, other in made if other is not None]
        assert len(changed) >= 3
        assert all(planner.run(case).fired != planner.run(other).fired for case, other in changed)


def orphans(book: Book, case: Case) -> int:
    """How many findings are yes that make sense only by another, which is not yes."""
    return sum(
        case.finding(finding.id, side) == "yes" and "yes" not in {case.finding(i, side) for i in parents}
        for finding in book.vocabulary.findings.values()
        if (parents := finding.asked_after)
        for side in book.vocabulary.sides_of(finding.id)
    )


def test_no_variant_puts_a_wound_on_the_sole_of_whole_skin(book: Book) -> None:
    for case in demo_cases(book):
        for seed in range(1, 13):
            assert orphans(book, variant(book.planner, case, seed)) <= orphans(book, case)


@pytest.mark.parametrize("seed", [1, 2])
def test_trainees_are_ordered_on_variants_too(book: Book, seed: int) -> None:
    for case in demo_cases(book)[seed::5]:
        made = variant(book.planner, case, seed)
        best, forgets, harms = (walked(book.planner, made, t) for t in (perfect, careless, reckless))
        assert best.score == 100
        assert harms.score < forgets.score < 100
        assert forgets.tally.harm == 0
        stopped = any(step.moment.stopped for step in harms.steps)
        assert stopped == any(m.item == STOPPING for m in harms.marks)


def test_a_case_file_that_is_none_is_said_as_it_is(book: Book, tmp_path: Path) -> None:
    found = list(faults(book.planner, tmp_path / "none.yaml"))
    assert len(found) == 1
    assert isinstance(found[0], BadInput)
