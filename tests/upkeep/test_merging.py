"""A newer shipped book merged into a clinic's own: rule by rule, and no edit of the clinic's is lost."""

from __future__ import annotations

import pytest

from tests.conftest import ROOT
from tests.upkeep.small_books import BOOK, FIT, edited, rule_text
from toeroom.errors import BookFault
from toeroom.upkeep.merging import Files, Merged, files_of, merge_books
from toeroom.upkeep.merging_rules import RuleText, rules_in

RULES, SOCKS, PAGE = "rules/fit.yaml", "rules/socks.yaml", "kb/feet/bunion.md"


def rules(files: Files) -> dict[str, RuleText]:
    return rules_in({file: raw.decode() for file, raw in files.items()})


def merged(ours: Files, theirs: Files, **take: str) -> Files:
    found = merge_books(BOOK, ours, theirs, take)
    assert not found.conflicts
    return found.files


def conflict(ours: Files, theirs: Files) -> Merged:
    found = merge_books(BOOK, ours, theirs)
    assert len(found.conflicts) == 1
    assert found.files.keys() >= ours.keys()
    return found


def test_the_shipped_book_merges_with_itself_byte_by_byte() -> None:
    shipped = files_of(ROOT)
    found = merge_books(shipped, shipped, shipped)
    assert found == Merged(shipped, (), (), ())


@pytest.mark.parametrize("swap", [False, True])
def test_an_edit_on_one_side_alone_stands_byte_by_byte(swap: bool) -> None:
    other = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]  # ours")
    other = edited(other, PAGE, "A bump", "A hard bump")
    other = edited(other, "kb/sources.yaml", '"From memory"', '"From our memory"')
    assert merged(BOOK, other) == merged(other, BOOK) == other
    assert merged(other, other) == other


def test_two_rules_of_a_file_changed_one_on_either_side() -> None:
    ours = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]")
    theirs = edited(BOOK, RULES, "{advise: [spot_stretch]}", "{advise: [spot_stretch, extra_width]}")
    text = merged(ours, theirs)[RULES].decode()
    both = FIT.replace("when: [bunion]", "when: [bunion, lops]").replace(
        "{advise: [spot_stretch]}", "{advise: [spot_stretch, extra_width]}"
    )
    assert text == both


def test_one_rule_changed_in_two_parts() -> None:
    ours = edited(BOOK, RULES, "pages: [bunion]", "pages: [bunion, uppers]")
    theirs = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]")
    found = merge_books(BOOK, ours, theirs)
    assert found.both == ("rule bunion-width",)
    rule = rules(found.files)["bunion-width"]
    assert rule.holds["pages"] == ["bunion", "uppers"]
    assert rule.holds["when"] == ["bunion", "lops"]


def test_the_meaning_of_a_rule_changed_on_both_sides_is_a_conflict() -> None:
    ours = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]")
    theirs = edited(BOOK, RULES, "{advise: [extra_width]}", "{advise: [depth_shoe]}")
    found = conflict(ours, theirs)
    assert found.conflicts[0].name == "rule:bunion-width"
    assert found.conflicts[0].why == "meaning changed on both sides"
    assert found.files == ours
    shown = "\n".join(found.conflicts[0].changes())
    assert "+    when: [bunion, lops]" in shown
    assert "+    then: {advise: [depth_shoe]}" in shown
    for name in ("rule:bunion-width", "bunion-width", "all"):
        assert merge_books(BOOK, ours, theirs, {name: "ours"}).files == ours
        assert merge_books(BOOK, ours, theirs, {name: "theirs"}).files == theirs


def test_the_same_edit_on_both_sides_is_none() -> None:
    ours = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]")
    theirs = edited(ours, RULES, "A bump gets", "Every bump gets")
    assert merged(ours, theirs) == theirs


@pytest.mark.parametrize("by_us", [True, False])
def test_a_rule_taken_out_on_one_side(by_us: bool) -> None:
    start = FIT.index("\n  - id: bump-stretch")
    less = edited(BOOK, RULES, FIT[start:], "")
    assert (merged(less, BOOK) if by_us else merged(BOOK, less)) == less
    changed = edited(BOOK, RULES, "A bump gets", "Every bump gets")
    found = conflict(less, changed) if by_us else conflict(changed, less)
    assert found.conflicts[0].id == "bump-stretch"
    assert found.files[RULES] == (less if by_us else changed)[RULES]


def test_rules_added_on_both_sides() -> None:
    ours = {**BOOK, RULES: BOOK[RULES] + rule_text("our-own").encode()}
    theirs = {**BOOK, RULES: BOOK[RULES] + rule_text("newly-shipped").encode()}
    found = merged(ours, theirs)
    assert list(rules(found)) == ["bunion-width", "bump-stretch", "newly-shipped", "our-own", "damp-socks"]
    assert rule_text("our-own") in found[RULES].decode()
    assert rule_text("newly-shipped") in found[RULES].decode()
    same_id = {**BOOK, SOCKS: BOOK[SOCKS] + rule_text("our-own", "    step: 3\n").encode()}
    assert conflict(ours, same_id).conflicts[0].why == "added on both sides, and not alike"


def test_a_rule_moved_to_a_file_of_other_defaults_says_what_it_said() -> None:
    start = FIT.index("\n  - id: bump-stretch")
    moved = edited(BOOK, RULES, FIT[start:], "")
    moved[SOCKS] += FIT[start:].encode()
    was = rules(moved)["bump-stretch"]
    assert was.holds["step"] == "2"
    # Moved by hand the rule runs in another step: that is a change of ours, and it stands.
    theirs = edited(BOOK, RULES, "topic: Fit", "topic: Fit and build")
    assert rules(merged(moved, theirs))["bump-stretch"].holds == was.holds
    # Moved so that it says the same, while the newer book changes it: it goes along, as changed.
    stays = edited(
        moved, SOCKS, "    title: A bump gets a stretch\n", "    title: A bump gets a stretch\n    step: 1\n"
    )
    theirs = edited(BOOK, RULES, "A bump gets a stretch", "Every bump gets a stretch")
    for found in (merged(stays, theirs), merged(theirs, stays)):
        rule = rules(found)["bump-stretch"]
        assert rule.file == SOCKS
        assert rule.holds["title"] == "Every bump gets a stretch"
        assert rule.holds["step"] == "1"


def test_changed_defaults_do_not_reach_a_rule_the_clinic_changed() -> None:
    ours = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]")
    theirs = edited(BOOK, RULES, "reviewed: 2026-11-25", "reviewed: 2027-11-01")
    found = rules(merged(ours, theirs))
    assert found["bunion-width"].holds["reviewed"] == "2026-11-25"
    assert found["bump-stretch"].holds["reviewed"] == "2027-11-01"


def test_a_review_of_the_clinic_is_not_carried_over_to_another_meaning() -> None:
    ours = edited(BOOK, RULES, "    pages: [bunion]\n", "    pages: [bunion]\n    reviewed: 2027-01-10\n")
    rule = rules(merged(ours, edited(BOOK, RULES, "A bunion gets", "Any bunion gets")))["bunion-width"]
    assert (rule.holds["title"], rule.holds["reviewed"]) == ("Any bunion gets width", "2027-01-10")
    theirs = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]")
    assert "reviewed by you" in conflict(ours, theirs).conflicts[0].why
    page = edited(BOOK, PAGE, "reviewed: 2026-11-25", "reviewed: 2027-01-10")
    found = conflict(page, edited(BOOK, PAGE, "A bump", "A hard bump"))
    assert found.conflicts[0].name == "page:bunion"
    assert "reviewed by you" in found.conflicts[0].why


def test_comments_of_the_clinic_are_kept() -> None:
    ours = edited(BOOK, RULES, "  - id: bump-stretch", "  # agreed on in May\n  - id: bump-stretch")
    theirs = edited(BOOK, RULES, "when: [bunion]", "when: [bunion, lops]")
    theirs = edited(theirs, RULES, "A bump gets", "Every bump gets")
    text = merged(ours, theirs)[RULES].decode()
    assert "  # agreed on in May\n  - id: bump-stretch\n    title: Every bump gets a stretch" in text
    assert "# Words of the owner above the file." in text


def test_a_file_of_rules_is_taken_out_while_the_clinic_changes_a_rule_in_it() -> None:
    ours = edited(BOOK, SOCKS, "[damp_feet]", "[damp_feet, lops]")
    theirs = {file: raw for file, raw in BOOK.items() if file != SOCKS}
    assert merged(BOOK, theirs) == theirs
    found = conflict(ours, theirs)
    assert found.files[SOCKS] == ours[SOCKS]
    new = {**BOOK, "rules/own.yaml": BOOK[SOCKS].replace(b"damp-socks", b"other-socks")}
    assert merged(new, theirs).keys() == theirs.keys() | {"rules/own.yaml"}


def test_words_and_sources_are_merged_by_entry() -> None:
    ours = edited(BOOK, "rules/vocabulary.yaml", "measures:", "  ticklish:\n    label: Ticklish\nmeasures:")
    theirs = edited(BOOK, "rules/vocabulary.yaml", "measures:", "  warts:\n    label: Warts\nmeasures:")
    text = merged(ours, theirs)["rules/vocabulary.yaml"].decode()
    assert "  warts:\n    label: Warts\n" in text
    assert "  ticklish:\n    label: Ticklish\n" in text
    assert text.index("ticklish") < text.index("measures:")
    other = edited(ours, "rules/vocabulary.yaml", "label: Bunion", "label: Hallux")
    theirs = edited(BOOK, "rules/vocabulary.yaml", "label: Bunion", "label: Bump")
    assert conflict(other, theirs).conflicts[0].name == "entry:vocabulary.yaml/findings/bunion"


def test_pages_are_merged_by_lines() -> None:
    ours = edited(BOOK, PAGE, "A bump at the big toe.", "A bump at the big toe, often red.")
    theirs = edited(BOOK, PAGE, "Width, and", "Width, depth and")
    theirs = edited(theirs, PAGE, "reviewed: 2026-11-25", "reviewed: 2027-11-01")
    found = merge_books(BOOK, ours, theirs)
    text = found.files[PAGE].decode()
    assert not found.conflicts
    assert found.both == (PAGE,)
    assert "often red" in text
    assert "Width, depth and" in text
    assert "reviewed: 2026-11-25" in text
    theirs = edited(BOOK, PAGE, "A bump at the big toe.", "A lump at the big toe.")
    assert "same lines" in conflict(ours, theirs).conflicts[0].why


def test_what_is_no_text_is_taken_whole() -> None:
    raw = b"\xff\xfe\x00"
    assert merged({**BOOK, "kb/picture.bin": raw}, BOOK)["kb/picture.bin"] == raw
    found = merge_books(BOOK, {**BOOK, "kb/a.bin": raw}, {**BOOK, "kb/a.bin": raw + b"\x01"})
    assert [c.name for c in found.conflicts] == ["file:kb/a.bin"]
    assert found.files["kb/a.bin"] == raw


def test_a_file_of_rules_that_cannot_be_read_is_said() -> None:
    broken = edited(BOOK, RULES, "when: [bunion]", "when: [bunion")
    with pytest.raises(BookFault, match=r"rules/fit\.yaml"):
        merge_books(BOOK, broken, edited(BOOK, SOCKS, "Damp feet", "Wet feet"))
    twice = {**BOOK, SOCKS: BOOK[SOCKS] + rule_text("bunion-width").encode()}
    with pytest.raises(BookFault, match="stands also in"):
        merge_books(BOOK, twice, BOOK)


def test_a_decision_about_nothing_is_told() -> None:
    assert merge_books(BOOK, BOOK, BOOK, {"bunion-width": "ours"}).unused == ("bunion-width",)
