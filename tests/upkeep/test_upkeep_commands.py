"""`rules test` and `rules check` with their further options."""

from __future__ import annotations

import argparse
import json
import shutil
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.upkeep.test_seeded_faults import HEAD, OWN
from toeroom.commands.upkeep import add_coverage, add_fix, add_mutation, run_fix, run_test
from toeroom.errors import BadInput

KEPT = Path(__file__).parent / "cases"


def options(*words: str, book: Path | None = None) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    parser.add_argument("--json", action="store_true")
    for add in (add_coverage, add_mutation, add_fix):
        add(parser)
    return parser.parse_args(words, argparse.Namespace(book=book))


def test_without_options_the_plain_test_goes_on() -> None:
    assert run_test(options()) is None


def test_coverage(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_test(options("--coverage", "--cases", str(KEPT))) == 0
    assert "rules speak in an example" in capsys.readouterr().out
    assert run_test(options("--coverage", "--json", "--cases", str(KEPT))) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["rules_never"] == told["tests_one_way"] == []


def test_mutations_of_a_small_book(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "rules").mkdir()
    shutil.copy(ROOT / "rules/vocabulary.yaml", tmp_path / "rules")
    rule = OWN["duplicate in another order"][0].partition("  - id: b")[0]
    (tmp_path / "rules/own.yaml").write_text(HEAD + rule)
    assert run_test(options("--mutations", "--suggest", str(tmp_path / "cases"), book=tmp_path)) == 1
    shown = capsys.readouterr().out
    assert "rule 'a': no example notices 'rocker_sole' no longer advised" in shown
    assert "written to" in shown
    kept = ("--mutations", "--json", "--cases", str(tmp_path / "cases"))
    assert run_test(options(*kept, book=tmp_path)) == 0
    assert json.loads(capsys.readouterr().out)["score"] == 1.0
    assert run_test(options("--mutations", "--least", "0.2", book=tmp_path)) == 0


def test_plans_are_kept_and_looked_at(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copy(KEPT / "wound-index-just-over-the-limit.yaml", tmp_path)
    assert run_test(options("--keep", str(tmp_path))) == 0
    assert capsys.readouterr().out == "plans kept; 1 differ from those kept before\n"
    assert run_test(options("--cases", str(tmp_path))) == 0
    plans = tmp_path / "plans.yaml"
    plans.write_text(plans.read_text().replace("refer_wound_care@left", "refer_vascular@left"))
    assert run_test(options("--cases", str(tmp_path))) == 1
    assert "'refer_vascular@left' was agreed to be advised, and is absent" in capsys.readouterr().out


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    for words in (("--coverage", "--cases"), ("--keep",)):
        with pytest.raises(BadInput, match="no such folder"):
            run_test(options(*words, str(tmp_path / "none")))


def test_fix_mends_before_the_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "rules").mkdir()
    own = tmp_path / "rules/own.yaml"
    own.write_text(HEAD + OWN["Yes"][0])
    run_fix(options(book=tmp_path))
    assert "bunion: Yes" in own.read_text()
    run_fix(options("--fix", book=tmp_path))
    assert "bunion: yes" in own.read_text()
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("mended: ")
