"""Edits of a book are tried before they are saved; a book that fails its checks is never saved nor used."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.errors import BadInput
from toeroom.upkeep import in_use as in_use_module
from toeroom.upkeep import places
from toeroom.upkeep.drafting import Draft, Entry
from toeroom.upkeep.in_use import in_use
from toeroom.upkeep.merging import files_of
from toeroom.upkeep.own_book import new_book


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    new_book(tmp_path / "own", ROOT)
    return tmp_path / "own"


def entry(draft: Draft, name: str) -> Entry:
    return next(e for e in draft.entries() if e.name == name)


def change(draft: Draft, name: str, old: str, new: str) -> Entry:
    one = entry(draft, name)
    text = draft.text_of(one)
    assert old in text
    draft.write(one, text.replace(old, new, 1))
    return one


def test_everything_of_the_book_is_an_entry(own: Path) -> None:
    draft = Draft(own)
    entries = draft.entries()
    book = open_book(own)
    assert {e.id for e in entries if e.kind == "rule" and e.status == "active"} == set(book.planner.by_id)
    assert {e.id for e in entries if e.kind == "page"} == {path.stem for path in (own / "kb").glob("*/*.md")}
    assert {e.kind for e in entries} == {"rule", "guarantee", "page"}
    assert all(e.title for e in entries)
    one = entry(draft, "rule:bunion-build")
    lines = (own / one.file).read_text().split("\n")
    written = draft.text_of(one).split("\n")
    assert lines[draft.first_line(one) - 1 :][: len(written) - 1] == written[:-1]


def test_an_edit_is_saved_where_the_book_passes_its_checks(own: Path) -> None:
    draft = Draft(own)
    one = change(draft, "rule:bunion-build", "A bunion gets", "Every bunion gets")
    assert draft.edited(one)
    assert not draft.edited(entry(draft, "rule:tailors-bunion-build"))
    assert files_of(own) == files_of(ROOT)
    assert draft.save() == []
    assert not draft.unsaved
    assert "Every bunion gets" in (own / "rules/fit.yaml").read_text()
    assert open_book(own).planner.by_id["bunion-build"].title.startswith("Every bunion gets")
    assert not (own / ".toeroom-base/ready").exists()


def test_a_book_that_fails_is_not_saved(own: Path) -> None:
    draft = Draft(own)
    one = change(draft, "rule:bunion-build", "when: [bunion]", "when: [callus]")
    assert any("stays silent" in fault for fault in draft.save())
    assert files_of(own) == files_of(ROOT)
    assert draft.unsaved
    draft.drop(one)
    assert not draft.unsaved
    assert draft.save() == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("when: [bunion]", "when: [bunyon]", "line 5: 'bunyon' cannot stand in a condition; did you mean"),
        ("when: [bunion]", "when: [callus]", "stays silent in its example 'fires'"),
        ("when: [bunion]", "when: [bunion", "line 6: is not valid YAML"),
        ("when: [bunion]", "when: [{bunion: Yes}]", "line 5: "),
        ("title: A", "title: …\n    # A", "line 4: rule 'bunion-build': 'title' is still to be filled in"),
        ("id: bunion-build", "id: bunion-built", "keep the id 'bunion-build'"),
    ],
)
def test_what_is_typed_is_checked_as_it_stands(own: Path, old: str, new: str, said: str) -> None:
    draft = Draft(own)
    one = entry(draft, "rule:bunion-build")
    text = draft.text_of(one)
    assert draft.faults_of(one, text) == []
    assert old in text
    faults = draft.faults_of(one, text.replace(old, new, 1))
    assert said in faults[0]


def test_pages_and_guarantees_are_checked_too(own: Path) -> None:
    draft = Draft(own)
    page = entry(draft, "page:bunion")
    assert draft.faults_of(page, draft.text_of(page)) == []
    assert "line 4: " in draft.faults_of(page, draft.text_of(page).replace("shelf: feet", "shelf: foot"))[0]
    guarantee = entry(draft, "guarantee:nothing-to-sell-for-a-wound")
    text = draft.text_of(guarantee)
    assert draft.faults_of(guarantee, text) == []
    assert "'open_wand'" in draft.faults_of(guarantee, text.replace("[open_wound]", "[open_wand]"))[0]


def test_a_text_that_cannot_be_read_is_kept_and_keeps_all_from_being_saved(own: Path) -> None:
    draft = Draft(own)
    one = change(draft, "rule:bunion-build", "when: [bunion]", "when: [bunion")
    assert draft.edited(one)
    assert "when: [bunion\n" in draft.text_of(one)
    assert draft.save()[0].startswith("rule:bunion-build: line 6: is not valid YAML")
    assert files_of(own) == files_of(ROOT)
    change(draft, "rule:bunion-build", "when: [bunion\n", "when: [bunion]\n")
    assert not draft.unsaved


def test_what_somebody_else_changed_meanwhile_is_not_overwritten(own: Path) -> None:
    draft = Draft(own)
    change(draft, "rule:bunion-build", "A bunion gets", "Every bunion gets")
    fit = own / "rules/fit.yaml"
    fit.write_text(fit.read_text().replace("Overlapping toes, soft", "Overlapping toes, very soft"))
    with pytest.raises(BadInput, match="changed by somebody else"):
        draft.save()
    assert draft.read_anew() == []
    assert draft.save() == []
    text = fit.read_text()
    assert "Every bunion gets" in text
    assert "very soft" in text
    change(draft, "rule:bunion-build", "Every bunion", "Any bunion")
    fit.write_text(text.replace("Every bunion", "Each bunion"))
    assert draft.read_anew() == ["rule:bunion-build"]
    assert "Any bunion" in draft.text_of(entry(draft, "rule:bunion-build"))


# --- the book in use ------------------------------------------------------------------------------
def test_the_book_of_an_installed_toeroom_is_used_as_it_is(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shipped = own.rename(own.parent / "shipped")
    monkeypatch.setattr(places, "shipped_folder", lambda: shipped)
    monkeypatch.setattr(in_use_module, "shipped_folder", lambda: shipped)
    assert in_use(None).book.folder == in_use(shipped).book.folder == shipped


def test_that_of_a_checkout_is_checked_as_any_other(own: Path) -> None:
    now = in_use(None)
    assert now.working == ROOT
    assert now.book.version == open_book(ROOT).version
    assert now.book.folder.is_relative_to(own.parent / "state")


def test_the_last_good_one_stays_in_use(own: Path) -> None:
    first = in_use(own)
    assert (first.working, first.banner) == (own, "")
    assert first.book.version == open_book(own).version
    fit = own / "rules/fit.yaml"
    good = fit.read_text()
    fit.write_text(good.replace("when: [bunion]", "when: [callus]"))
    again = in_use(own)
    assert again.book.folder == first.book.folder
    assert again.book.version == first.book.version
    assert "rules/fit.yaml" in again.banner
    assert "stays silent" in again.banner
    fit.write_text("rules: [")
    assert "is not valid YAML" in in_use(own).banner
    (own / "rules/vocabulary.yaml").write_text("findings: [")
    assert in_use(own).book.version == first.book.version
    fit.write_text(good)
    (own / "rules/vocabulary.yaml").write_bytes((ROOT / "rules/vocabulary.yaml").read_bytes())
    assert in_use(own).banner == ""


def test_a_good_change_is_taken_into_use_and_old_versions_go(own: Path) -> None:
    fit = own / "rules/fit.yaml"
    text = fit.read_text()
    versions = set()
    for number in range(4):
        fit.write_text(text.replace("A bunion gets", f"A bunion ({number}) gets"))
        now = in_use(own)
        assert f"({number})" in now.book.planner.by_id["bunion-build"].title
        versions.add(now.book.folder)
    assert sum(folder.is_dir() for folder in versions) == 2


def test_a_book_that_never_passed_is_refused(own: Path) -> None:
    fit = own / "rules/fit.yaml"
    fit.write_text(fit.read_text().replace("when: [bunion]", "when: [callus]"))
    with pytest.raises(BadInput, match="the book fails its checks"):
        in_use(own)
    with pytest.raises(BadInput, match="there is no book here"):
        in_use(own / "kb")
