"""`--fix`: what is mechanical is mended, and not a character besides."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.upkeep.test_seeded_faults import HEAD, OWN, ROCKER, rule
from toeroom.upkeep.checking import check_rules
from toeroom.upkeep.mending import mend_rules
from toeroom.upkeep.traps import day_meant, traps_in

MECHANICAL = (
    "cut at a hash",
    "Yes",
    "off",
    "Unknown",
    "a sign for a limit",
    "a decimal comma",
    "a limit that folds",
    "a source cut at its comma",
    "a list without brackets",
    "an item twice",
    "a page twice, on lines of its own",
    "a day with dots",
    "a day without noughts",
    "curly quotes",
    "an unseen space",
    "a tab",
)


@pytest.fixture
def own_book(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "rules", tmp_path / "rules")
    (tmp_path / "kb").symlink_to(ROOT / "kb")
    return tmp_path


@pytest.mark.parametrize("name", MECHANICAL)
def test_a_mechanical_fault_is_mended(name: str, own_book: Path) -> None:
    own = own_book / "rules/own.yaml"
    text = "# ours, not to be lost\n" + HEAD + OWN[name][0] + "# nor this\n"
    own.write_text(text)
    shipped = {path: path.read_bytes() for path in (own_book / "rules").glob("*.yaml") if path != own}
    done = mend_rules(own_book)
    assert len(done) == 1
    assert traps_in(own) == []
    after = own.read_text()
    assert after.startswith("# ours, not to be lost\n")
    assert after.endswith("# nor this\n")
    unlike = [(a, b) for a, b in zip(text.splitlines(), after.splitlines(), strict=False) if a != b]
    assert len(unlike) == 1 or name.startswith("a page twice")
    assert {path: path.read_bytes() for path in shipped} == shipped


def test_mended_rules_hold_together(own_book: Path) -> None:
    (own_book / "rules/own.yaml").write_text(
        HEAD
        + rule(when="[bunion: Yes, {callus: off}]", then=ROCKER, fires="{left: {bunion: yes, callus: no}}")
        + "\n"
    )
    assert len(mend_rules(own_book)) == 2
    assert check_rules(own_book) == []


def test_the_shipped_rules_are_left_alone(own_book: Path) -> None:
    before = {path.name: path.read_bytes() for path in (own_book / "rules").glob("*.yaml")}
    assert mend_rules(own_book) == []
    assert {path.name: path.read_bytes() for path in (own_book / "rules").glob("*.yaml")} == before


def test_spaces_at_the_ends_of_lines_go(own_book: Path) -> None:
    own = own_book / "rules/own.yaml"
    own.write_text(HEAD + rule(then=ROCKER).replace("when: [bunion]", "when: [bunion]  "))
    assert mend_rules(own_book) == [f"{own}: spaces at the ends of lines removed"]
    assert own.read_text() == HEAD + rule(then=ROCKER)


def test_a_file_that_is_no_yaml_is_left_as_it_was(own_book: Path) -> None:
    own = own_book / "rules/own.yaml"
    own.write_text("rules: [\n")
    assert mend_rules(own_book) == []
    assert own.read_text() == "rules: [\n"


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-1-5", "2026-01-05"),
        ("2026/11/25", "2026-11-25"),
        ("25.11.2026", "2026-11-25"),
        ("25 November 2026", "2026-11-25"),
        ("11/25/2026", None),
        ("soon", None),
    ],
)
def test_a_day_is_taken_only_where_it_is_plain(text: str, day: str | None) -> None:
    assert day_meant(text) == day
