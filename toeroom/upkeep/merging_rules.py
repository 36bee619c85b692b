"""Rules of three books merged rule by rule, wherever in the files they stand.

A rule is merged part by part. Its meaning (when, then, stage, examples and the like) is one part, so
that no rule comes about which neither side wrote. Who reviewed it, and when, belongs to the text that
was reviewed: it is never carried over to another meaning.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath

from toeroom.errors import BookFault
from toeroom.upkeep.cutting import Fields, Piece, as_flow, cut, fields_of
from toeroom.upkeep.three_ways import OURS, THEIRS, Conflict, Settling, Three
from toeroom.yamltree import Node, parse

PARTS = {
    "meaning": (
        "about",
        "stage",
        "step",
        "without_feet",
        "when",
        "then",
        "status",
        "replaced_by",
        "examples",
    ),
    "title": ("title",),
    "source": ("source",),
    "pages": ("pages",),
    "review": ("author", "reviewed", "reviewed_by", "review_by"),
}
IN_ITS_PLACE: dict[str, object] = {"step": "1", "pages": []}
"""What a field says where it is left out."""
RULES = "rules/"


@dataclass(frozen=True)
class RuleText:
    """A rule as it is written: its file, text and fields, and what holds with the file's defaults."""

    id: str
    file: str
    text: str
    fields: Fields
    holds: Mapping[str, object]

    def part(self, name: str) -> tuple[object, ...]:
        """What a part says."""
        return tuple(self.holds.get(key, IN_ITS_PLACE.get(key)) for key in PARTS[name])

    def written(self, name: str) -> list[str]:
        """How a part is written, comments too, without regard to indents."""
        texts = (self.fields.texts[key] for key in PARTS[name] if key in self.fields.texts)
        return [line.strip() for text in texts for line in text.splitlines() if line.strip()]


def is_rule_file(file: str) -> bool:
    """Whether a file of a book, named from its folder, holds rules."""
    path = PurePosixPath(file)
    return (
        path.parent == PurePosixPath("rules")
        and path.suffix == ".yaml"
        and path.name not in ("vocabulary.yaml", "guarantees.yaml")
    )


def rules_in(files: Mapping[str, str]) -> dict[str, RuleText]:
    """The rules of the files of a book by id. `BookFault` where a file cannot be read or cut."""
    found: dict[str, RuleText] = {}
    for file in sorted(files):
        if is_rule_file(file):
            for rule in rules_of(files[file], file):
                if rule.id in found:
                    raise BookFault(f"'{rule.id}' stands also in {found[rule.id].file}", file=file)
                found[rule.id] = rule
    return found


def rules_of(text: str, file: str) -> list[RuleText]:
    """The rules of one file."""
    found: list[RuleText] = []
    top = parse(text, file, fault=BookFault).value
    defaults = _plain(top.get("defaults")) if isinstance(top, dict) else {}
    written = top["rules"].value if isinstance(top, dict) and "rules" in top else None
    pieces = {piece.id: piece for piece in cut(text, file) if piece.key.startswith(RULES)}
    for node in written if isinstance(written, list) else []:
        own = _plain(node)
        rule_id = str(own.get("id", ""))
        if rule_id not in pieces:
            what = "the rules cannot be told apart" if rule_id else "a rule has no 'id'"
            mend = "begin each with '- id: …' on a line of its own"
            raise BookFault(what, file=file, line=node.line, mend=mend)
        piece = pieces[rule_id].text
        found.append(RuleText(rule_id, file, piece, fields_of(piece, file), {**defaults, **own}))
    return found


def _plain(node: Node | None) -> dict[str, object]:
    plain = node.plain() if node is not None else None
    return plain if isinstance(plain, dict) else {}


@dataclass(frozen=True)
class MergedRule:
    """A rule of the merged book: its file, its fields as far as they are written, and what must hold."""

    file: str
    text: str
    holds: Mapping[str, object]
    both: bool

    def under(self, defaults: Mapping[str, object]) -> str:
        """Its text in a file with these defaults: what they would say otherwise is written out."""
        fields = fields_of(self.text, self.file)
        for key, other in defaults.items():
            wanted = self.holds.get(key, IN_ITS_PLACE.get(key))
            if key not in fields.texts and other != wanted:
                fields = fields.setting(key, as_flow(wanted))
        missing = [key for key in self.holds if key not in fields.texts and key not in defaults]
        for key in missing:
            fields = fields.setting(key, as_flow(self.holds[key]))
        return fields.joined()


def merge_rules(
    base: Mapping[str, RuleText],
    ours: Mapping[str, RuleText],
    theirs: Mapping[str, RuleText],
    settling: Settling,
) -> dict[str, MergedRule]:
    """The rules of the merged book by id."""
    found: dict[str, MergedRule] = {}
    for rule_id in dict.fromkeys([*ours, *theirs]):
        three = Three(base.get(rule_id), ours.get(rule_id), theirs.get(rule_id))
        merged = _merged(three, settling)
        if merged is not None:
            found[rule_id] = merged
    return found


def _merged(three: Three[RuleText], settling: Settling) -> MergedRule | None:
    alike = Three(*(_essence(rule) for rule in (three.base, three.ours, three.theirs)))
    plain, _ = alike.settled()
    if plain:
        # Which of two that say the same: the clinic's own writing where it was touched at all.
        ours = alike.theirs == alike.base or (alike.ours == alike.theirs and alike.ours != alike.base)
        return _as_is(three.ours if ours else three.theirs, _file(three))
    there = three.all_there()
    if there is not None:
        chosen = _parts(*there)
        if chosen is not None:
            return _put_together(*there, chosen, _file(three))
    conflict = _conflict(three, there)
    return _as_is(three.ours if settling.choose(conflict) == OURS else three.theirs, _file(three))


def _essence(rule: RuleText | None) -> tuple[object, ...] | None:
    """What counts as a change: what holds, and what is written, comments too."""
    if rule is None:
        return None
    lead = [line.strip() for line in rule.fields.lead.splitlines() if line.strip()]
    return (lead, *((rule.part(name), rule.written(name)) for name in PARTS))


def _as_is(rule: RuleText | None, file: str) -> MergedRule | None:
    return None if rule is None else MergedRule(file, rule.text, rule.holds, False)


def _file(three: Three[RuleText]) -> str:
    """Where the rule stands: where the clinic moved it, else where the newer book has it."""
    base, ours, theirs = (rule.file if rule else "" for rule in (three.base, three.ours, three.theirs))
    return theirs if theirs and (not ours or ours == base) else ours


# --- part by part ---------------------------------------------------------------------------------
def _parts(base: RuleText, ours: RuleText, theirs: RuleText) -> dict[str, str] | None:
    """From which side each part is taken; None where that cannot be said."""
    chosen = {name: _side(name, base, ours, theirs) for name in PARTS if name != "review"}
    if "" in chosen.values() or not _same_lead(base, ours, theirs):
        return None
    touched = {name for name in chosen if ours.part(name) != base.part(name)}
    reviewed = ours.part("review") != base.part("review")
    if reviewed and not touched and theirs.part("meaning") != base.part("meaning"):
        return None
    return {**chosen, "review": OURS if touched or reviewed or _rewritten("review", base, ours) else THEIRS}


def _side(name: str, base: RuleText, ours: RuleText, theirs: RuleText) -> str:
    """The side from which a part is taken; '' where both changed it."""
    if ours.part(name) == theirs.part(name):
        return OURS if ours.part(name) != base.part(name) or _rewritten(name, base, ours) else THEIRS
    if theirs.part(name) == base.part(name):
        return OURS
    return THEIRS if ours.part(name) == base.part(name) and not _rewritten(name, base, ours) else ""


def _rewritten(name: str, base: RuleText, other: RuleText) -> bool:
    return other.written(name) != base.written(name)


def _same_lead(base: RuleText, ours: RuleText, theirs: RuleText) -> bool:
    return Three(base.fields.lead, ours.fields.lead, theirs.fields.lead).settled()[0]


def _put_together(
    base: RuleText, ours: RuleText, theirs: RuleText, chosen: Mapping[str, str], file: str
) -> MergedRule:
    taken = [name for name, side in chosen.items() if side == THEIRS]
    keys = {key for name in taken for key in PARTS[name]}
    texts = {key: text for key, text in theirs.fields.texts.items() if key in keys}
    # What the newer book no longer says goes; what it says anew comes; all else is as the clinic wrote it.
    fields = ours.fields.without(keys - texts.keys()).putting(texts, theirs.fields.depth)
    _, lead = Three(base.fields.lead, ours.fields.lead, theirs.fields.lead).settled()
    text = Fields(lead or "", fields.texts, fields.dash, fields.depth).joined()
    holds = {key: value for key, value in ours.holds.items() if key not in keys}
    holds |= {key: value for key, value in theirs.holds.items() if key in keys}
    return MergedRule(file, text, holds, any(ours.part(name) != base.part(name) for name in PARTS))


def _conflict(three: Three[RuleText], there: tuple[RuleText, RuleText, RuleText] | None) -> Conflict:
    one = three.ours or three.theirs or three.base
    assert one is not None
    why = three.why()
    if there is not None:
        base, ours, theirs = there
        both = [n for n in PARTS if n != "review" and not _side(n, base, ours, theirs)]
        why = f"{' and '.join(both)} changed on both sides" if both else "comments changed on both sides"
        if not both and _same_lead(*there):
            why = "reviewed by you as it was; its meaning changed in the newer book"
    texts = [rule.text if rule else "" for rule in (three.base, three.ours, three.theirs)]
    return Conflict("rule", one.id, one.file, why, *texts)


# --- what must hold of the merged files -----------------------------------------------------------
def pieces_of(rules: Iterable[tuple[str, MergedRule]], defaults: Mapping[str, object]) -> list[Piece]:
    """The rules of one file, written for its defaults."""
    return [Piece(f"{RULES}{rule_id}", rule.under(defaults)) for rule_id, rule in rules]


def lost(merged: Mapping[str, MergedRule], written: Mapping[str, RuleText]) -> list[str]:
    """Rules that do not hold in the written files as they should: there must be none."""
    bad = list(merged.keys() ^ written.keys())
    for rule_id in merged.keys() & written.keys():
        wanted = RuleText(rule_id, "", "", written[rule_id].fields, merged[rule_id].holds)
        if any(wanted.part(name) != written[rule_id].part(name) for name in PARTS):
            bad.append(rule_id)
    return sorted(bad)
