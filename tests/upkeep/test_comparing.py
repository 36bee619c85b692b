"""Whose plan an edit changes, the worst first."""

from __future__ import annotations

import argparse
import json
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.case import parse_case
from toeroom.commands.upkeep import add_compare
from toeroom.errors import BadInput
from toeroom.upkeep import comparing
from toeroom.upkeep.comparing import Comparison, compare
from toeroom.upkeep.differences import KINDS, differences, said
from toeroom.upkeep.revisions import folder_of

MADE = 1200


@pytest.fixture
def other(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "rules", tmp_path / "rules")
    shutil.copytree(ROOT / "cases_demo", tmp_path / "cases_demo")
    return tmp_path


def edited(book: Path, file: str, before: str, after: str) -> None:
    path = book / "rules" / file
    assert before in path.read_text()
    path.write_text(path.read_text().replace(before, after, 1))


def without(book: Path, file: str, rule_id: str) -> None:
    """Takes a rule out of a file."""
    path = book / "rules" / file
    head, _, rest = path.read_text().partition(f"  - id: {rule_id}\n")
    _, mark, tail = rest.partition("  - id: ")
    path.write_text(head + mark + tail)


def compared(other: Path, made: int = MADE) -> Comparison:
    return compare(ROOT, other, made=made, workers=1)


def reproduces(found: Comparison, other: Path) -> None:
    """Every made case shown does show what it is shown for."""
    old, new = open_book(ROOT), open_book(other)
    for group in found.groups:
        case = parse_case(found.smallest[group.kind, group.what], new.vocabulary)
        before, after = (said(book.planner, book.planner.run(case)) for book in (old, new))
        changes = differences(new.planner, before, after)
        assert (group.kind, group.what) in {(one.kind, one.what) for one in changes}


def test_the_cases_of_a_record_store_are_looked_at(other: Path) -> None:
    shutil.rmtree(other / "cases_demo")
    (other / "cases_demo").mkdir()
    without(other, "fit.yaml", "bunion-build")
    kept = [("kept", "case: k\nleft: {bunion: yes}\n"), ("plain", "case: p\n"), ("bad", "case: b\nx: y\n")]
    found = compare(ROOT, other, kept=kept, made=0, workers=1)
    assert found.files == 2
    assert found.files_changed == ("kept",)
    assert "'x' is not known here" in found.unread[0]


def test_a_dropped_guard_is_shown_first(other: Path) -> None:
    without(other, "stops.yaml", "hot-foot-today")
    found = compared(other)
    assert found.removed == ("hot-foot-today",)
    assert (found.groups[0].kind, found.groups[0].what) == ("stop lost", "refer_suspected_charcot")
    assert found.groups[0].named == ["hot-swollen-foot.yaml"]
    assert "hot_swollen_foot: yes" in found.smallest["stop lost", "refer_suspected_charcot"]
    reproduces(found, other)


def test_the_kinds_come_worst_first(other: Path) -> None:
    without(other, "stops.yaml", "nothing-for-a-stopped-foot")
    edited(
        other,
        "stops.yaml",
        "    when: [infection_signs]\n    then: {conclude",
        "    when: [blister]\n    then: {conclude",
    )
    edited(
        other, "fit.yaml", "advise: [extra_width, stretch_upper, seamless_lining]", "advise: [extra_width]"
    )
    found = compared(other)
    ranks = [KINDS.index(group.kind) for group in found.groups]
    assert ranks == sorted(ranks)
    kinds = [group.kind for group in found.groups]
    assert kinds[0] == "stop lost"
    assert {"held back no longer", "stop gained", "item lost"} <= set(kinds)
    counts = [group.cases for group in found.groups if group.kind == "held back no longer"]
    assert counts == sorted(counts, reverse=True)


def test_what_is_held_back_no_longer_is_told(other: Path) -> None:
    edited(other, "stops.yaml", "        - section insert\n", "")
    found = compared(other)
    assert found.changed == ("nothing-for-a-stopped-foot",)
    assert {group.kind for group in found.groups} == {"held back no longer"}
    assert found.groups[0].what in ("custom_insert", "heat_moulded_insert", "replace_inserts", "toe_spacer")
    reproduces(found, other)


def test_a_limit_moved_a_little_is_noticed(other: Path) -> None:
    edited(other, "inserts.yaml", "insert_age_months: at least 4", "insert_age_months: more than 4")
    found = compared(other)
    assert (found.groups[0].kind, found.groups[0].what) == ("item lost", "replace_inserts")
    assert "insert_age_months: 4" in found.smallest["item lost", "replace_inserts"]


def test_a_new_rule_is_reached(other: Path) -> None:
    own = (ROOT / "rules/fit.yaml").read_text().partition("rules:\n")[0]
    own += """rules:
  - id: three-at-once
    title: A rare three get a boot
    when: [corn_between_toes, drop_foot, material_allergy]
    then: {advise: [high_top]}
    source: [common-practice]
    examples:
      fires: {left: {corn_between_toes: yes, drop_foot: yes}, person: {material_allergy: yes}}
      silent: {left: {drop_foot: yes}}
"""
    (other / "rules/own.yaml").write_text(own)
    found = compared(other)
    assert found.added == ("three-at-once",)
    assert ("item gained", "high_top") in {(group.kind, group.what) for group in found.groups}


def test_a_caution_and_a_figure_that_change_are_told(other: Path) -> None:
    edited(other, "risk.yaml", "{months_min: 3, months_max: 6}", "{months_min: 3, months_max: 7}")
    edited(other, "advice.yaml", "After that, footwear", "From then on, footwear")
    found = compared(other)
    kinds = [group.kind for group in found.groups]
    assert kinds == ["caution lost", "caution gained", "figures changed"]
    assert list(found.groups[2].ways) == ["months_min 3, months_max 6 → months_min 3, months_max 7"]


def test_wording_and_order_change_no_plan(other: Path) -> None:
    edited(other, "fit.yaml", "title: A bunion gets width", "title: A bunion asks for width")
    edited(other, "fit.yaml", "any of: [bunion, tailors_bunion]", "any of: [tailors_bunion, bunion]")
    found = compared(other, 400)
    assert found.groups == ()
    assert found.made_changed == 0
    assert found.files == len(list((ROOT / "cases_demo").glob("*.yaml")))


def test_every_rule_is_reached_and_pairs_are_counted(other: Path) -> None:
    found = compared(other)
    assert found.rules_reached == found.rules
    assert (
        0.5 * found.rules * (found.rules - 1) / 2 < found.pairs_reached < found.rules * (found.rules - 1) / 2
    )


def test_several_processes_find_what_one_finds(other: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(comparing, "CHUNK", 300)
    without(other, "stops.yaml", "wound-to-service")
    alone = compare(ROOT, other, made=600, workers=1)
    assert compare(ROOT, other, made=600, workers=2) == alone


def test_a_guarantee_that_changed_is_told(other: Path) -> None:
    found = compare(ROOT, other, made=0, guarantees=lambda old, new: ["broken: a wound leaves no shoe"])
    assert found.guarantees == ("broken: a wound leaves no shoe",)


def test_a_case_that_cannot_be_read_is_told(other: Path, tmp_path: Path) -> None:
    case = tmp_path / "odd.yaml"
    case.write_text("case: x\nleft: {bunyon: yes}\n")
    found = compare(ROOT, other, files=[case], made=0)
    assert len(found.unread) == 1
    assert "bunyon" in found.unread[0]


# --- naming a book ----------------------------------------------------------------------------------
def git(folder: Path, *words: str) -> None:
    name = ["-c", "user.name=test", "-c", "user.email=test@example.org"]
    subprocess.run(["git", *name, *words], cwd=folder, check=True, capture_output=True)


def test_a_revision_is_unpacked_aside(other: Path) -> None:
    git(other, "init", "-q")
    git(other, "add", ".")
    git(other, "commit", "-qm", "first")
    without(other, "stops.yaml", "hot-foot-today")
    with folder_of("HEAD", other) as old:
        assert old != other
        assert "hot-foot-today" in {rule.id for rule in open_book(old).rules}
    assert not old.exists()
    assert "hot-foot-today" not in {rule.id for rule in open_book(other).rules}


@pytest.mark.parametrize("name", ["nowhere", "--output=x", "", "HEAD~999999", "a b", "HEAD; true"])
def test_what_is_no_book_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="neither a folder nor a revision"), folder_of(name, tmp_path):
        pass


def test_a_folder_without_a_book_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="there is no book here"), folder_of(str(tmp_path), tmp_path):
        pass


# --- the command ----------------------------------------------------------------------------------------
def run(*words: str) -> int:
    parser = argparse.ArgumentParser()
    add_compare(parser.add_subparsers())
    options = parser.parse_args(["compare", *words], argparse.Namespace(book=None))
    code: int = options.run(options)
    return code


def test_the_command_tells_the_worst_first(other: Path, capsys: pytest.CaptureFixture[str]) -> None:
    without(other, "stops.yaml", "hot-foot-today")
    assert run("--made", "300", str(ROOT), str(other)) == 0
    shown = capsys.readouterr().out
    assert "rules removed: hot-foot-today" in shown
    assert shown.index("STOP LOST: refer_suspected_charcot") < shown.index("ITEM LOST")
    assert run("--made", "300", "--json", str(ROOT), str(other)) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["groups"][0]["kind"] == "stop lost"


EDITS = (
    ("stops.yaml", "toe_pressure_mmhg: less than 30", "toe_pressure_mmhg: less than 45"),
    ("risk.yaml", "- either foot: [sensation_lost]", "- each foot: [sensation_lost]"),
    ("risk.yaml", "- ulcer_history: not yes\n    then", "- pad\n    then"),
    ("footwear.yaml", "other foot:\n          - advised: extra_depth_shoe", "other foot: [toes_need_depth]"),
    ("footwear.yaml", "[therapeutic_shoe, extra_depth_shoe, custom_moulded_shoe]", "[therapeutic_shoe]"),
    ("reading.yaml", "filament_sites_missed: at least 1", "filament_sites_missed: at least 2"),
    ("stops.yaml", "        - section build\n", ""),
)


@pytest.mark.parametrize("edit", EDITS)
def test_the_short_way_says_what_running_both_books_says(edit: tuple[str, str, str], other: Path) -> None:
    edited(other, *edit)
    short = comparing.Pair(open_book(ROOT), open_book(other))
    long = comparing.Pair(open_book(ROOT), open_book(other))
    long.unlike.never_told = True
    parts = [comparing.Part(), comparing.Part()]
    for number in range(700):
        case = short.case(1, number)
        for pair, part in zip((short, long), parts, strict=True):
            pair.look(case, part, number)
    assert parts[0] == parts[1]
    assert parts[0].changed
