"""Items of which only one can be right, and items that a rule speaks against: data, and checked as data."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.errors import BadInput


def changed(tmp_path: Path, file: str, old: str, new: str) -> Path:
    shutil.copytree(ROOT / "rules", tmp_path / "rules")
    path = tmp_path / "rules" / file
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    return tmp_path


@pytest.mark.parametrize("other", ["high_top", "longer_siz"])
def test_opposites_name_each_other(tmp_path: Path, other: str) -> None:
    book = changed(tmp_path, "vocabulary.yaml", "opposite: longer_size", f"opposite: {other}")
    with pytest.raises(BadInput, match="for its opposite"):
        open_book(book)


def test_what_a_rule_speaks_against_is_an_item(tmp_path: Path) -> None:
    book = changed(tmp_path, "refer.yaml", "rules out: [toe_spacer]", "rules out: [toe_spacr]")
    with pytest.raises(BadInput, match=r"'toe_spacr' is not a plan item.*toe_spacer"):
        open_book(book)
