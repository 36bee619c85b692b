"""A clinic's own book in a folder: copied, updated as a whole or not at all."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.errors import BadInput
from toeroom.upkeep import whole_change
from toeroom.upkeep.merging import Files, files_of
from toeroom.upkeep.own_book import new_book, update_book

RULES, PAGE = "rules/fit.yaml", "kb/feet/bunion.md"


@pytest.fixture
def own(tmp_path: Path) -> Path:
    new_book(tmp_path / "own", ROOT)
    return tmp_path / "own"


@pytest.fixture
def newer(tmp_path: Path) -> Path:
    for part in ("kb", "rules", "cases_demo"):
        shutil.copytree(ROOT / part, tmp_path / "newer" / part)
    return tmp_path / "newer"


def edit(book: Path, file: str, old: str, new: str) -> None:
    text = (book / file).read_text()
    assert old in text
    (book / file).write_text(text.replace(old, new, 1))


def all_of(folder: Path) -> Files:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and ".git/" not in path.as_posix()
    }


def test_a_new_book_is_the_shipped_one_with_a_record(own: Path) -> None:
    assert files_of(own) == files_of(ROOT)
    assert open_book(own).version == open_book(ROOT).version
    record = json.loads((own / ".toeroom-base/record.json").read_text())
    assert record["files"].keys() == files_of(ROOT).keys()
    assert files_of(own / ".toeroom-base/copy") == files_of(ROOT)
    assert not list(own.glob(".toeroom-new-*"))


def test_nothing_that_is_there_is_overwritten(tmp_path: Path) -> None:
    (tmp_path / "kb").mkdir()
    (tmp_path / "README").write_text("ours")
    with pytest.raises(BadInput, match="there is 'kb' here already"):
        new_book(tmp_path, ROOT)
    (tmp_path / "kb").rmdir()
    new_book(tmp_path, ROOT)
    assert (tmp_path / "README").read_text() == "ours"


def test_an_update_keeps_the_clinics_edit_and_brings_the_newer_one(own: Path, newer: Path) -> None:
    edit(own, RULES, "    pages: [bunion]", "    pages: [bunion, uppers]")
    edit(newer, RULES, "Overlapping toes, soft corns", "Overlapping toes, soft corns between them")
    (newer / "cases_demo/further.yaml").write_text("case: further\nleft: {bunion: yes}\n")
    before = all_of(own)
    told = update_book(own, newer=newer, dry_run=True)
    assert (told.changed, told.added, told.taken) == ((RULES,), ("cases_demo/further.yaml",), False)
    assert all_of(own) == before
    done = update_book(own, newer=newer)
    assert done.taken
    text = (own / RULES).read_text()
    assert "pages: [bunion, uppers]" in text
    assert "soft corns between them" in text
    assert (own / "cases_demo/further.yaml").is_file()
    assert files_of(own / ".toeroom-base/copy") == files_of(newer)
    assert files_of(own / ".toeroom-base/before") == {
        f: raw for f, raw in before.items() if not f.startswith(".")
    }
    again = update_book(own, newer=newer)
    assert again.nothing_new
    assert not again.taken


def test_what_the_newer_book_no_longer_has_goes(own: Path, newer: Path) -> None:
    (newer / "cases_demo/hot-swollen-foot.yaml").unlink()
    assert update_book(own, newer=newer).removed == ("cases_demo/hot-swollen-foot.yaml",)
    assert not (own / "cases_demo/hot-swollen-foot.yaml").exists()
    assert update_book(own, newer=newer).nothing_new


def test_a_conflict_changes_nothing_until_it_is_settled(own: Path, newer: Path) -> None:
    edit(
        own,
        RULES,
        "advise: [extra_width, stretch_upper, seamless_lining]",
        "advise: [extra_width, stretch_upper]",
    )
    edit(newer, RULES, "    when: [bunion]\n", "    when: [bunion, tailors_bunion]\n")
    edit(newer, PAGE, "review_by: 2027-11-25", "review_by: 2028-11-25")
    before = all_of(own)
    told = update_book(own, newer=newer)
    assert [conflict.name for conflict in told.conflicts] == ["rule:bunion-build"]
    after = all_of(own)
    aside = after.keys() - before.keys()
    assert {file: raw for file, raw in after.items() if file not in aside} == before
    assert {Path(file).name for file in aside} == {
        f"rule-bunion-build.{whose}.yaml" for whose in ("was", "yours", "newer")
    }
    assert update_book(own, newer=newer, take={"bunion-build": "ours"}).taken
    assert "advise: [extra_width, stretch_upper]}" in (own / RULES).read_text()
    assert "review_by: 2028-11-25" in (own / PAGE).read_text()
    assert not (own / ".toeroom-base/conflicts").exists()
    with pytest.raises(BadInput, match="nothing is to be settled about 'bunion-build'"):
        update_book(own, newer=newer, take={"bunion-build": "ours"})


def test_a_merged_book_that_fails_its_checks_is_not_taken(own: Path, newer: Path) -> None:
    # A rule of the clinic's names a page that is not there.
    rule = (ROOT / RULES).read_text().partition("  - id: bunion-build")[2].partition("\n\n")[0]
    rule = rule.replace("pages: [bunion]", "pages: [our-page]").replace("when: [bunion]", "when: [callus]")
    (own / RULES).write_text(
        (own / RULES).read_text() + "\n  - id: ours" + rule.replace("bunion: ", "callus: ") + "\n"
    )
    before = all_of(own)
    told = update_book(own, newer=newer)
    assert told.nothing_new
    edit(newer, PAGE, "review_by: 2027-11-25", "review_by: 2028-11-25")
    told = update_book(own, newer=newer)
    assert not told.taken
    assert any("there is no page 'our-page'" in fault for fault in told.faults)
    assert all(fault.startswith(("rules/", "kb/")) for fault in told.faults)
    assert all_of(own) == before


def test_an_update_that_is_broken_off_is_finished(
    own: Path, newer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    edit(newer, RULES, "Overlapping toes, soft corns", "Overlapping toes, corns")
    edit(newer, PAGE, "review_by: 2027-11-25", "review_by: 2028-11-25")
    (newer / "cases_demo/hot-swollen-foot.yaml").unlink()
    replace, done = Path.replace, 0

    def breaks(self: Path, target: Path) -> Path:
        nonlocal done
        if ".toeroom-base/ready" in self.as_posix():
            done += 1
            if done == 3:
                raise OSError(28, "No space left on device", str(target))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", breaks)
    with pytest.raises(BadInput, match="goes on from here"):
        update_book(own, newer=newer)
    with pytest.raises(BadInput, match="was broken off; run 'toeroom book update"):
        open_book(own)
    monkeypatch.undo()
    told = update_book(own, newer=newer)
    assert told.finished
    assert told.nothing_new
    assert files_of(own) == files_of(newer) == files_of(own / ".toeroom-base/copy")
    open_book(own)


def test_nothing_is_begun_where_it_cannot_be_laid_ready(
    own: Path, newer: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    edit(newer, RULES, "Overlapping toes, soft corns", "Overlapping toes, corns")
    before = files_of(own)

    def full(path: Path, text: str) -> None:
        raise BadInput("cannot be written", file=str(path))

    monkeypatch.setattr(whole_change, "write_whole", full)
    with pytest.raises(BadInput, match="cannot be written"):
        update_book(own, newer=newer)
    assert files_of(own) == before
    open_book(own)


def test_a_copy_without_a_record_needs_to_be_told_what_it_came_from(tmp_path: Path, newer: Path) -> None:
    for part in ("kb", "rules"):
        shutil.copytree(ROOT / part, tmp_path / "old" / part)
    edit(tmp_path / "old", RULES, "    pages: [bunion]", "    pages: [bunion, uppers]")
    edit(newer, RULES, "Overlapping toes, soft corns", "Overlapping toes, corns")
    with pytest.raises(BadInput, match="no record is kept"):
        update_book(tmp_path / "old", newer=newer)
    base = tmp_path / "base"
    for part in ("kb", "rules"):
        shutil.copytree(ROOT / part, base / part)
    assert update_book(tmp_path / "old", newer=newer, base=base).taken
    assert "pages: [bunion, uppers]" in (tmp_path / "old" / RULES).read_text()
    assert update_book(tmp_path / "old", newer=newer).nothing_new
    with pytest.raises(BadInput, match="there is no book here"):
        update_book(tmp_path / "none", newer=newer)


def test_it_works_in_a_checkout(own: Path, newer: Path) -> None:
    def git(*words: str) -> str:
        told = ["git", "-C", str(own), "-c", "user.name=x", "-c", "user.email=x@y.z", *words]
        return subprocess.run(told, check=True, capture_output=True, text=True).stdout

    git("init", "-q")
    git("add", "-A")
    git("commit", "-qm", "our book")
    edit(own, RULES, "    pages: [bunion]", "    pages: [bunion, uppers]")
    edit(newer, RULES, "Overlapping toes, soft corns", "Overlapping toes, corns")
    assert update_book(own, newer=newer).taken
    changed = {line[3:] for line in git("status", "--porcelain").splitlines()}
    assert changed == {RULES, f".toeroom-base/copy/{RULES}", ".toeroom-base/record.json"}
