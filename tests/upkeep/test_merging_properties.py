"""Whatever both sides do to a book, no edit of the clinic's is lost."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.upkeep.small_books import BOOK, rule_text
from toeroom.upkeep.cutting import cut, joined
from toeroom.upkeep.merging import Files, merge_books
from toeroom.upkeep.merging_rules import PARTS, RuleText, is_rule_file, rules_in

RULE_FILES = ("rules/fit.yaml", "rules/socks.yaml")
PAGE = "kb/feet/bunion.md"
VALUES = {
    "title": ["Another title", "A third title"],
    "when": ["[bunion, lops]", "[swelling]"],
    "then": ["{advise: [depth_shoe]}", "{advise: [depth_shoe], ask: [blister]}"],
    "pages": ["[uppers]", "[bunion, uppers]"],
    "source": ["[from-memory]"],
    "step": ["1", "2", "3"],
    "reviewed": ["2027-02-02", "2027-03-03"],
    "review_by": ["2028-02-02"],
    "reviewed_by": ["ab", "cd"],
    "status": ["draft"],
}
"""What may become of a field."""

Edit = tuple[str, ...]
rule_ids = st.sampled_from(["bunion-width", "bump-stretch", "damp-socks"])
fields = st.sampled_from(sorted(VALUES)).flatmap(
    lambda key: st.tuples(st.just("set"), rule_ids, st.just(key), st.sampled_from(VALUES[key]))
)
edits = st.lists(
    st.one_of(
        fields,
        fields,
        st.tuples(st.just("drop"), rule_ids),
        st.tuples(st.just("move"), rule_ids),
        st.tuples(st.just("comment"), rule_ids, st.sampled_from(["one", "two"])),
        st.tuples(st.just("default"), st.sampled_from(["reviewed", "step"]), st.sampled_from(["2", "3"])),
        st.tuples(st.just("add"), st.sampled_from(["new-a", "new-b"]), st.sampled_from(["2", "3"])),
        st.tuples(st.just("page"), st.integers(0, 20), st.sampled_from(["A line", "Another line"])),
        st.tuples(st.just("drop line"), st.integers(14, 20)),
    ).map(lambda edit: tuple(str(part) for part in edit)),
    max_size=5,
)


def apply(files: Files, edit: Edit, whose: str) -> Files:
    """The book after one edit; one that cannot be made changes nothing."""
    kind, *more = edit
    if kind in ("page", "drop line"):
        return _on_page(files, kind, more, whose)
    texts = {file: files[file].decode() for file in RULE_FILES}
    found = rules_in(texts)
    if kind == "add" and more[0] not in found:
        texts[RULE_FILES[0]] += rule_text(more[0], f"    step: {more[1]}\n")
    elif kind == "default":
        value = f"2027-0{more[1]}-01" if more[0] == "reviewed" else more[1]
        texts = {f: _with_default(text, more[0], value) for f, text in texts.items()}
    elif more[0] in found and kind != "add":
        rule = found[more[0]]
        own = [p for p in cut(texts[rule.file], "") if p.id == rule.id]
        texts[rule.file] = texts[rule.file].replace(own[0].text, "")
        into, text = rule.file, own[0].text
        if kind == "set":
            text = rule.fields.setting(more[1], more[2]).joined()
        elif kind == "comment":
            text = f"\n  # {whose} says {more[1]}\n{text.lstrip(chr(10))}"
        elif kind == "move":
            into = next(f for f in RULE_FILES if f != rule.file)
        if kind != "drop":
            texts[into] += text
    return {**files, **{file: text.encode() for file, text in texts.items()}}


def _with_default(text: str, key: str, value: str) -> str:
    pieces = cut(text, "")
    old = next((p for p in pieces if p.key == f"defaults/{key}"), None)
    if old is None:
        return text
    return joined(pieces).replace(old.text, f"  {key}: {value}\n", 1)


def _on_page(files: Files, kind: str, more: list[str], whose: str) -> Files:
    lines = files[PAGE].decode().split("\n")
    at = 14 + int(more[0]) % max(1, len(lines) - 14)
    if kind == "page":
        lines.insert(at, f"{more[1]} of {whose}.")
    elif at < len(lines):
        del lines[at]
    return {**files, PAGE: "\n".join(lines).encode()}


def changed(base: dict[str, RuleText], side: dict[str, RuleText]) -> dict[tuple[str, str], object]:
    """What a side made of each part of a rule, where that is not what it was; None: taken out."""
    found: dict[tuple[str, str], object] = {}
    for rule_id in base.keys() | side.keys():
        for name in PARTS:
            was = base[rule_id].part(name) if rule_id in base else None
            now = side[rule_id].part(name) if rule_id in side else None
            if was != now:
                found[rule_id, name] = now
    return found


def rules(files: Files) -> dict[str, RuleText]:
    return rules_in({file: raw.decode() for file, raw in files.items() if is_rule_file(file)})


def comments(files: Files, whose: str) -> set[str]:
    lines = [
        line.strip() for file in RULE_FILES if file in files for line in files[file].decode().split("\n")
    ]
    return {line for line in lines if line.startswith(f"# {whose} says")}


@settings(max_examples=150, deadline=None)
@given(edits, edits)
def test_no_edit_of_the_clinic_is_lost(by_us: list[Edit], by_them: list[Edit]) -> None:
    ours, theirs = BOOK, BOOK
    for edit in by_us:
        ours = apply(ours, edit, "clinic")
    for edit in by_them:
        theirs = apply(theirs, edit, "maker")
    # With conflicts nothing is written; settled for ours, the clinic's edits must all be there.
    plain = merge_books(BOOK, ours, theirs)
    found = merge_books(BOOK, ours, theirs, {"all": "ours"} if plain.conflicts else {})
    assert not found.conflicts
    base, mine, newer, merged = (rules(files) for files in (BOOK, ours, theirs, found.files))
    of_ours = changed(base, mine)
    for (rule_id, name), wanted in of_ours.items():
        got = merged[rule_id].part(name) if rule_id in merged else None
        assert got == wanted, (rule_id, name)
    assert comments(ours, "clinic") <= comments(found.files, "clinic")
    kept = found.files[PAGE].decode().split("\n")
    assert all(line in kept for line in ours[PAGE].decode().split("\n") if "clinic" in line)
    if not plain.conflicts:
        # What only the newer book changed has come in, but for its reviews of what the clinic rewrote.
        touched = {rule_id for rule_id, name in of_ours}
        for (rule_id, name), wanted in changed(base, newer).items():
            if (rule_id, name) not in of_ours and not (name == "review" and rule_id in touched):
                got = merged[rule_id].part(name) if rule_id in merged else None
                assert got == wanted, (rule_id, name)
        again = merge_books(theirs, found.files, theirs)
        assert again.files == found.files
