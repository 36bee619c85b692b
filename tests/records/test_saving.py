"""A case's versions: what is kept of each, what two desks come to, and that neither loses anything."""

from __future__ import annotations

import json
import re
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.records.quick import QuickPlanning
from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.errors import BadInput
from toeroom.records.checking import check_store
from toeroom.records.document import changes_between, fields_of, text_of, tree_of
from toeroom.records.merging import merge
from toeroom.records.store import Conflict, Document, Saved, Store, open_store
from toeroom.rules.asking import with_questions

FIRST = """\
# seen on Tuesday
case: demo-01
title: "Both feet: wide"
as_of: 2026-11-25
left: {bunion: yes, open_wound: no}
measures: {left: {foot_length_mm: 262}}
notes: bring the old shoes
training: {teaches: width before length}
"""


def saved(result: Saved | Conflict) -> Saved:
    assert isinstance(result, Saved), result
    return result


def conflict(result: Saved | Conflict) -> Conflict:
    assert isinstance(result, Conflict), result
    return result


def test_a_version_keeps_the_file_letter_by_letter_who_when_and_its_rules(store: Store, book: Book) -> None:
    kept = saved(store.save(FIRST, "kl")).version
    assert (kept.case, kept.number, kept.who, kept.book) == ("demo-01", 1, "KL", book.version)
    assert re.fullmatch(r"20\d\d-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z", kept.at)
    assert kept.text == FIRST
    assert store.load("demo-01") == kept
    assert store.load("demo-01").read(book.vocabulary) == parse_case(FIRST, book.vocabulary)


def test_changes_are_listed_by_field(store: Store) -> None:
    store.save(FIRST, "KL")
    text = FIRST.replace("bunion: yes", "bunion: no, hammertoe: yes").replace(
        "notes: bring the old shoes\n", ""
    )
    changes = saved(store.save(text, "AB", 1)).version.changes
    assert changes == (
        {"field": "left.bunion", "from": "yes", "to": "no"},
        {"field": "left.hammertoe", "from": None, "to": "yes"},
        {"field": "notes", "from": "bring the old shoes", "to": None},
    )
    assert [version.who for version in store.history("demo-01")] == ["KL", "AB"]


def test_the_plan_of_a_version_stays_as_it_was(store: Store, book: Book) -> None:
    store.save(FIRST, "KL")
    store.save(FIRST.replace("open_wound: no", "open_wound: yes"), "KL", 1)
    case = parse_case(FIRST, book.vocabulary)
    then = with_questions(book.planner, case, book.planner.plan(case)).as_json()
    assert store.plan("demo-01", 1) == json.loads(json.dumps(then))
    assert (store.plan("demo-01", 1)["stop"], store.plan("demo-01")["stop"]) == (False, True)
    assert [listed.stop for listed in store.cases()] == [True]


def test_a_case_without_a_day_keeps_the_day_it_was_saved(store: Store, book: Book) -> None:
    kept = saved(store.save("case: a-1\nleft: {bunion: yes}\n", "KL")).version
    assert kept.read(book.vocabulary).as_of.isoformat() == kept.as_of
    assert "as_of" not in kept.text


def test_saving_the_same_again_writes_nothing(store: Store) -> None:
    store.save(FIRST, "KL")
    again = saved(store.save(FIRST, "AB", 1))
    assert not again.new
    assert len(store.history("demo-01")) == 1


def test_other_rules_make_another_version_of_the_same_words(tmp_path: Path, store: Store) -> None:
    store.save(FIRST, "KL")
    with open_store(str(store.address.file), planning=QuickPlanning()) as later:
        again = saved(later.save(FIRST, "KL", 1))
    assert (again.new, again.version.number, again.version.book) == (True, 2, "quick")


@pytest.mark.parametrize("who", ["", "K", "KLMNO", "K1", "K L", "../", "KL;"])
def test_who_is_initials(quick_store: Store, who: str) -> None:
    with pytest.raises(BadInput, match="not initials"):
        quick_store.save(FIRST, who)
    assert quick_store.count() == 0


def test_a_code_that_differs_in_capitals_alone_is_refused(quick_store: Store) -> None:
    quick_store.save(FIRST, "KL")
    with pytest.raises(BadInput, match="capitals alone"):
        quick_store.save(FIRST.replace("demo-01", "Demo-01"), "KL")


def test_the_file_is_for_its_owner_and_the_database_as_safe_as_it_can_be(quick_store: Store) -> None:
    quick_store.save(FIRST, "KL")
    assert quick_store.address.file is not None
    for path in quick_store.address.file.parent.glob("quick.db*"):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600, path
    with quick_store.reading() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        }
        assert found == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


# --- two desks -----------------------------------------------------------------------------------
def test_a_save_from_an_old_version_is_offered_a_merge(either: str) -> None:
    with open_store(either, planning=QuickPlanning()) as store:
        store.save(FIRST, "KL")
        store.save(FIRST.replace("bunion: yes", "bunion: no"), "AB", 1)
        mine = FIRST.replace("foot_length_mm: 262", "foot_length_mm: 264")
        met = conflict(store.save(mine, "CD", 1))
        assert len(store.history("demo-01")) == 2
        assert met.offer.text is not None
        both = saved(store.save(met.offer.text, "CD", met.latest.number)).version
        fields = fields_of(both.text)
        assert (fields["left.bunion"], fields["measures.left.foot_length_mm"]) == ("no", "264")
        assert fields["training.teaches"] == "width before length"
        assert not check_store(store).faults


def test_one_field_changed_by_both_is_a_clash_that_somebody_settles(quick_store: Store) -> None:
    quick_store.save(FIRST, "KL")
    quick_store.save(FIRST.replace("old shoes", "new shoes").replace("262", "260"), "AB", 1)
    mine = FIRST.replace("old shoes", "insoles").replace("bunion: yes", "bunion: unknown")
    met = conflict(quick_store.save(mine, "CD", 1))
    assert [(c.field, c.base, c.mine, c.theirs) for c in met.clashes] == [
        ("notes", "bring the old shoes", "bring the insoles", "bring the new shoes")
    ]
    assert met.offer.text is None
    for side, notes in (("mine", "bring the insoles"), ("theirs", "bring the new shoes")):
        settled = conflict(quick_store.save(mine, "CD", 1, take={"notes": side}))
        fields = fields_of(settled.offer.text or "")
        assert (fields["notes"], fields["left.bunion"]) == (notes, "unknown")
        assert fields["measures.left.foot_length_mm"] == "260"


def test_a_new_case_that_is_there_already_is_a_conflict(quick_store: Store) -> None:
    quick_store.save(FIRST, "KL")
    assert conflict(quick_store.save(FIRST + "# more\n", "AB")).base is None


def test_a_version_that_is_not_there_is_said(quick_store: Store) -> None:
    with pytest.raises(BadInput, match="no case 'demo-01'"):
        quick_store.save(FIRST, "KL", 1)
    quick_store.save(FIRST, "KL")
    with pytest.raises(BadInput, match="no version 7"):
        quick_store.save(FIRST + "# more\n", "KL", 7)
    with pytest.raises(BadInput, match="no version 7"):
        quick_store.load("demo-01", 7)


def test_many_are_saved_together_or_not_at_all(either: str) -> None:
    with open_store(either, planning=QuickPlanning()) as store:
        store.save(FIRST, "KL")
        other = FIRST.replace("demo-01", "demo-02")
        changed = FIRST.replace("yes", "no")
        files = [Document("b", other, None), Document("a", changed, None)]
        results = store.save_all(files, "AB")
        assert [type(result) for result in results] == [Saved, Conflict]
        assert store.count() == 1
        assert [type(result) for result in store.save_all(files, "AB", over=True)] == [Saved, Saved]
        assert store.load("demo-01").text == changed
        assert [r.new for r in store.save_all(files, "AB") if isinstance(r, Saved)] == [False, False]


# --- fields and merging, for any case file ---------------------------------------------------------
words = st.text(st.characters(exclude_categories=("Cs", "Cc", "Co", "Cn")), max_size=12)
values = words | st.sampled_from(
    ["yes", "no", "~", "null", "262", "2026-11-25", "- a", "a: b", "#x", "'", '"']
)
fields = st.dictionaries(
    st.sampled_from(
        ["title", "notes", "left.bunion", "left.callus", "right.callus", "measures.left.x", "new.y"]
    ),
    values,
)


@given(fields)
def test_any_fields_are_written_so_that_they_read_back(stated: dict[str, str]) -> None:
    whole = {"case": "a-1", **stated}
    read = fields_of(text_of(tree_of(whole)))
    assert not changes_between(fields_of(text_of(tree_of(read))), read)
    assert {k: v for k, v in read.items() if not k.startswith("left")} == {
        k: v for k, v in whole.items() if not k.startswith("left")
    }


@given(fields, fields, fields)
def test_a_merge_has_every_change_of_both_and_no_other(
    base: dict[str, str], mine: dict[str, str], theirs: dict[str, str]
) -> None:
    texts = [text_of(tree_of({"case": "a-1", **stated})) for stated in (base, mine, theirs)]
    before, ours, others = (fields_of(text) for text in texts)
    found = merge(*texts)
    if found.text is None:
        assert found.clashes
        for clash in found.clashes:
            assert len({before.get(clash.field), ours.get(clash.field), others.get(clash.field)}) == 3
        return
    merged = fields_of(found.text)
    for field in {*before, *ours, *others, *merged}:
        sides = {ours.get(field), others.get(field)} - {before.get(field)}
        assert merged.get(field) == (sides.pop() if sides else before.get(field)), field
