"""A new rule or page begins as a draft that shows what is to be filled in."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.errors import BadInput
from toeroom.handbook.check import check
from toeroom.upkeep import places
from toeroom.upkeep.beginning import new_page, new_rule
from toeroom.upkeep.checking import check_rules
from toeroom.upkeep.merging_rules import rules_of
from toeroom.upkeep.own_book import new_book

TODAY = date(2026, 11, 25)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    new_book(tmp_path / "own", ROOT)
    return tmp_path / "own"


def open_holes(book: Path) -> list[str]:
    return [fault.what.partition(": ")[2] for fault in check_rules(book, TODAY)]


def test_a_new_rule_is_read_does_nothing_and_is_not_accepted_yet(own: Path) -> None:
    before = (own / "rules/socks.yaml").read_text()
    path, line = new_rule(own, "our-rule", "socks", today=TODAY, by="ab")
    text = path.read_text()
    assert text.startswith(before)
    assert text.split("\n")[line - 1] == "  - id: our-rule"
    assert open_book(own).planner.by_id.keys() == open_book(ROOT).planner.by_id.keys()
    assert open_holes(own) == [
        f"'{key}' is still to be filled in"
        for key in ("title", "when", "then", "source", "pages", "examples")
    ]


def test_filled_in_it_is_accepted_and_speaks(own: Path) -> None:
    path, _ = new_rule(own, "our-rule", "own", today=TODAY, by="ab")
    text = path.read_text()
    for hole, words in (
        ("title: …", "title: A foot that rolls out gets a firm counter"),
        ("when: []", "when: [weak_ankle]"),
        ("then: {}", "then: {advise: [soft_padded_upper]}"),
        ("source: […]", "source: [common-practice]"),
        ("pages: […]", "pages: [uppers]"),
        ("{…: yes}", "{weak_ankle: yes}"),
        ("{…: no}", "{weak_ankle: no}"),
    ):
        assert hole in text
        text = text.replace(hole, words)
    path.write_text(text)
    assert check_rules(own, TODAY) == []
    assert "our-rule" not in open_book(own).planner.by_id
    path.write_text(text.replace("    status: draft\n", ""))
    assert check_rules(own, TODAY) == []
    assert "our-rule" in open_book(own).planner.by_id
    path.write_text(text.replace("    status: draft\n", "").replace("{weak_ankle: yes}", "{bunion: yes}"))
    assert "stays silent in its example" in check_rules(own, TODAY)[0].what


def test_an_active_rule_that_asks_nothing_is_refused(own: Path) -> None:
    path, _ = new_rule(own, "our-rule", "own", today=TODAY)
    path.write_text(path.read_text().replace("    status: draft\n", ""))
    with pytest.raises(BadInput, match="would speak in every case"):
        open_book(own)


def test_a_rule_may_begin_from_another(own: Path) -> None:
    path, _ = new_rule(own, "bunion-two", "own", today=TODAY, like="bunion-build")
    new = rules_of(path.read_text(), "own")[0]
    old = next(r for r in rules_of((own / "rules/fit.yaml").read_text(), "fit") if r.id == "bunion-build")
    left = {"id", "title", "author", "status"}
    assert {k: v for k, v in new.holds.items() if k not in left} == {
        k: v for k, v in old.holds.items() if k not in left
    }
    assert open_holes(own) == ["'title' is still to be filled in", "'author' is still to be filled in"]
    # In the other's own file it says the same, with its comments.
    new_rule(own, "category-again", "fit", today=TODAY, like="category-0")
    again = rules_of((own / "rules/fit.yaml").read_text(), "fit")[-1]
    assert (again.id, again.holds["step"], again.holds["about"]) == ("category-again", "2", "person")


@pytest.mark.parametrize(
    ("rule_id", "topic", "like", "said"),
    [
        ("bunion-build", "own", "", "is used already"),
        ("nothing-to-sell-for-a-wound", "own", "", "is used already"),
        ("Our Rule", "own", "", "cannot be an id"),
        ("own", "vocabulary", "", "holds no rules"),
        ("own", "../own", "", "cannot be an id"),
        ("own", "own", "bunion-bild", "did you mean 'bunion-build'"),
    ],
)
def test_what_will_not_do_is_said_and_nothing_written(
    own: Path, rule_id: str, topic: str, like: str, said: str
) -> None:
    before = {path: path.read_bytes() for path in own.rglob("*.yaml")}
    with pytest.raises(BadInput, match=said):
        new_rule(own, rule_id, topic, today=TODAY, like=like)
    assert {path: path.read_bytes() for path in own.rglob("*.yaml")} == before


def test_retired_ids_are_not_used_again(own: Path) -> None:
    fit = own / "rules/fit.yaml"
    fit.write_text(fit.read_text().replace("id: bunion-build", "id: old-build\n    status: retired", 1))
    with pytest.raises(BadInput, match="is used already"):
        new_rule(own, "old-build", "own", today=TODAY)


def test_the_dash_stands_where_the_others_stand(own: Path) -> None:
    path, _ = new_rule(own, "one", "own", today=TODAY)
    lines = path.read_text().split("\n")
    path.write_text("\n".join(line.removeprefix("  ") for line in lines))
    new_rule(own, "two", "own", today=TODAY, like="one")
    assert [line for line in path.read_text().split("\n") if line.startswith("- id")] == [
        "- id: one",
        "- id: two",
    ]


def test_a_file_laid_out_otherwise_is_left_alone(own: Path) -> None:
    path = own / "rules/own.yaml"
    path.write_text("topic: Own\nrules: []\n")
    with pytest.raises(BadInput, match="no rule can be appended here"):
        new_rule(own, "one", "own", today=TODAY)
    assert path.read_text() == "topic: Own\nrules: []\n"


def test_a_new_page_is_a_draft_with_holes(own: Path) -> None:
    path, line = new_page(own, "our-page", "feet", 'Cold feet: "warm"', today=TODAY, by="ab")
    assert path == own / "kb/feet/our-page.md"
    assert path.read_text().split("\n")[line - 1] == "…"
    faults = [f for f in check(own, TODAY).faults if f.severity == "error"]
    assert {fault.file for fault in faults} == {str(path)}
    assert sum("still to be filled in" in fault.what for fault in faults) == 5
    with pytest.raises(BadInput, match="is there already"):
        new_page(own, "bunion", "safety", "Bunion", today=TODAY)
    with pytest.raises(BadInput, match="did you mean 'feet'"):
        new_page(own, "own", "foot", "Own", today=TODAY)
    with pytest.raises(BadInput, match="has no title"):
        new_page(own, "own", "feet", " ", today=TODAY)


def test_the_book_inside_an_installed_toeroom_is_not_changed(
    own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own.rename(own.parent / "shipped")
    monkeypatch.setattr(places, "shipped_folder", lambda: own.parent / "shipped")
    for named in (None, own.parent / "shipped"):
        with pytest.raises(BadInput, match="copy it with 'toeroom book new DIR'"):
            places.writable_book(named)
    with pytest.raises(BadInput, match="there is no book here"):
        places.writable_book(own.parent)
    assert places.writable_book(ROOT) == ROOT
