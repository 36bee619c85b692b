"""Guarantees: what must hold of the plan of every case, in the rules' own language.

`rules/guarantees.yaml` is written by who answers for the rules; it is described in docs/proving.md.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

from toeroom.errors import BadInput, BookFault, nearest
from toeroom.rules.model import All, Condition, Source
from toeroom.rules.reading import NUMBER_WORDS, RuleFile
from toeroom.vocabulary import PERSON, SIDES, Vocabulary
from toeroom.yamltree import Node, read_book_file

ABOUT = ("foot", PERSON, "missing foot")
FEET_CLAIMS = ("either foot", "each foot", "other foot")
STANDINGS = ("advised", "held back", "in the plan")
WHERE = {"": "here", " for the person": PERSON, " anywhere": "anywhere"}
CLAIM_KEYS = (
    *(f"{standing}{where}" for standing in STANDINGS for where in WHERE),
    "conclude",
    "one value of",
    "figures",
    "done by",
    "any of",
    "all of",
    *FEET_CLAIMS,
)
KEYS = {
    "id",
    "title",
    "about",
    "without_feet",
    "when",
    "never",
    "always",
    "source",
    "status",
    "reviewed",
    "reviewed_by",
    "review_by",
}
LONGEST_ID = 48


@dataclass(frozen=True, slots=True)
class Standing:
    """A plan item is `advised` (and not held back), `held back`, or `in the plan` as either.

    where: `here` (the foot looked at, or the person), `person`, or `anywhere`.
    """

    item: str
    how: str
    where: str


@dataclass(frozen=True, slots=True)
class Concluded:
    """A state is concluded with `value`, of this foot or of the person."""

    id: str
    value: str


@dataclass(frozen=True, slots=True)
class OneValue:
    """A state with several values has exactly one of them."""

    id: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A number that a plan item carries here stands to `limit` as `op` (=, <, <=, >, >=) says."""

    item: str
    name: str
    op: str
    limit: Decimal


@dataclass(frozen=True, slots=True)
class DoneBy:
    """A plan item, where it is in the plan, is done by `who`."""

    item: str
    who: str


@dataclass(frozen=True, slots=True)
class Claims:
    """Several claims together: `every` of them holds, or else at least one."""

    parts: tuple[Claim, ...]
    every: bool


@dataclass(frozen=True, slots=True)
class OnFeet:
    """A claim about feet that are there: `either foot`, `each foot` or `other foot`."""

    which: str
    part: Claim


Claim = Standing | Concluded | OneValue | Figure | DoneBy | Claims | OnFeet


@dataclass(frozen=True, slots=True)
class Guarantee:
    """A statement about every case.

    about: foot (each that is there), person, or missing foot (each side whose leg is amputated).
    never, always: what no such plan holds, and what each holds; None where nothing is said.
    status: active, or draft (tried only where it is named). reviewed, review_by: days; '' where nobody
    looked at it yet.
    """

    id: str
    title: str
    about: str
    without_feet: bool
    when: Condition
    never: Claim | None
    always: Claim | None
    sources: tuple[Source, ...]
    status: str = "active"
    reviewed: str = ""
    reviewed_by: str = ""
    review_by: str = ""
    file: str = ""
    line: int = 0
    sides: tuple[str, ...] = field(default=SIDES)


def guarantees_file(folder: Path) -> Path:
    """Where the guarantees of the book in `folder` stand."""
    return folder / "rules" / "guarantees.yaml"


def read_guarantees(path: Path, vocabulary: Vocabulary) -> tuple[Guarantee, ...]:
    """The guarantees in the file at `path`, drafts too. `BookFault` for what it should not hold."""
    found: dict[str, Guarantee] = {}
    for guarantee in _Guarantees(path, vocabulary).read():
        if guarantee.id in found:
            raise BookFault(
                f"the id '{guarantee.id}' is used already on line {found[guarantee.id].line}",
                file=str(path),
                line=guarantee.line,
                mend="give this guarantee an id of its own",
            )
        found[guarantee.id] = guarantee
    return tuple(found.values())


def chosen(guarantees: tuple[Guarantee, ...], ids: list[str]) -> tuple[Guarantee, ...]:
    """The guarantees named by `ids`, drafts too; all active ones where none is named."""
    if not ids:
        return tuple(g for g in guarantees if g.status == "active")
    by_id = {g.id: g for g in guarantees}
    for named in ids:
        if named not in by_id:
            raise BadInput(f"there is no guarantee '{named}'", mend=nearest(named, by_id))
    return tuple(by_id[named] for named in dict.fromkeys(ids))


class _Guarantees(RuleFile):
    """Reads the file; conditions and plan items are read as in rules."""

    def read(self) -> list[Guarantee]:
        top = self.mapping(read_book_file(self.path), "the file")
        self.known(top, {"topic", "defaults", "guarantees"})
        defaults = self.mapping(top["defaults"], "defaults") if "defaults" in top else {}
        self.known(defaults, {"reviewed", "reviewed_by", "review_by"})
        return [
            self.guarantee({**defaults, **self.mapping(n, "a guarantee")}, n)
            for n in self.listed(top.get("guarantees"))
        ]

    def guarantee(self, entries: dict[str, Node], node: Node) -> Guarantee:
        self.known(entries, KEYS)
        for needed in ("id", "title", "about", "source"):
            if needed not in entries:
                raise self.fault(f"the guarantee has no '{needed}'", node, f"write '{needed}: …'")
        guarantee_id = self.word(entries["id"])
        if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", guarantee_id) or len(guarantee_id) > LONGEST_ID:
            mend = f"use small letters, digits and dashes, at most {LONGEST_ID}"
            raise self.fault(f"'{guarantee_id}' cannot be an id", entries["id"], mend)
        if "never" not in entries and "always" not in entries:
            raise self.fault("the guarantee guarantees nothing", node, "write 'never: …' or 'always: …'")
        about = self.one_of(entries["about"], ABOUT)
        home = "foot" if about == "foot" else PERSON
        in_feet = "foot" if about != PERSON else PERSON
        return Guarantee(
            id=guarantee_id,
            title=self.word(entries["title"]),
            about=about,
            without_feet="without_feet" in entries
            and self.one_of(entries["without_feet"], ("yes", "no")) == "yes",
            when=self.condition(entries["when"], home) if "when" in entries else All(()),
            never=self.claims(entries["never"], in_feet, every=False) if "never" in entries else None,
            always=self.claims(entries["always"], in_feet, every=True) if "always" in entries else None,
            sources=tuple(self.source(text) for text in self.words(entries["source"])),
            status=self.one_of(entries["status"], ("active", "draft")) if "status" in entries else "active",
            reviewed=self.day(entries["reviewed"]) if "reviewed" in entries else "",
            reviewed_by=self.word(entries["reviewed_by"]) if "reviewed_by" in entries else "",
            review_by=self.day(entries["review_by"]) if "review_by" in entries else "",
            file=self.file,
            line=entries["id"].line,
            sides=(PERSON,) if about == PERSON else SIDES,
        )

    # --- claims ------------------------------------------------------------------------------------
    def claims(self, node: Node, about: str, every: bool) -> Claim:
        """What follows `never` or `always`, or stands in a list of claims."""
        entries = self.mapping(node, "a claim")
        if not entries:
            raise self.fault("the claim is empty", node, f"use {', '.join(CLAIM_KEYS)}")
        parts = [self.claim(key, inner, about, every) for key, inner in entries.items()]
        return parts[0] if len(parts) == 1 else Claims(tuple(parts), every)

    def claim(self, key: str, node: Node, about: str, every: bool) -> Claim:
        if key in ("any of", "all of"):
            inner = tuple(self.claims(part, about, every) for part in self.listed(node))
            return Claims(inner, key == "all of")
        if key in FEET_CLAIMS:
            if key == "other foot" and about != "foot":
                raise self.fault("only of a foot there is an 'other foot'", node, "use 'either foot'")
            return OnFeet(key, self.claims(node, "foot", every))
        leaves = self.leaves(key, node, about)
        if not leaves:
            raise self.fault(f"'{key}' names nothing", node, "name at least one")
        return leaves[0] if len(leaves) == 1 else Claims(tuple(leaves), every)

    def leaves(self, key: str, node: Node, about: str) -> list[Claim]:
        if key == "conclude":
            return [Concluded(i, value) for i, value in self.states(node, about)]
        if key == "one value of":
            return [self.one_value(word, node) for word in self.words(node)]
        if key == "figures":
            return self.figures(node)
        if key == "done by":
            return [self.done_by(item, inner) for item, inner in self.mapping(node, "'done by'").items()]
        for standing in STANDINGS:
            where = WHERE.get(key.removeprefix(standing)) if key.startswith(standing) else None
            if where:
                return [Standing(item, standing, where) for item in self.items(node)]
        raise self.fault(f"'{key}' is not a claim", node, nearest(key, CLAIM_KEYS))

    def states(self, node: Node, about: str) -> list[tuple[str, str]]:
        """As a rule concludes them; `a or b` names several values."""
        if not isinstance(node.value, dict):
            return list(self.concluded(node, about))
        found: list[tuple[str, str]] = []
        for key, inner in node.value.items():
            for value in self.word(inner).split(" or "):
                one = Node({key: Node(value.strip(), inner.line)}, node.line)
                found += self.concluded(one, about)
        return found

    def one_value(self, word: str, node: Node) -> OneValue:
        derived = self.vocabulary.derived.get(word)
        if derived is None or not derived.one_of:
            several = [i for i, d in self.vocabulary.derived.items() if d.one_of]
            raise self.fault(f"'{word}' has no values", node, f"use {', '.join(several)}")
        return OneValue(word)

    def figures(self, node: Node) -> list[Claim]:
        found: list[Claim] = []
        for item, inner in self.mapping(node, "'figures'").items():
            self.item(item, inner)
            for name, value in self.mapping(inner, "'figures'").items():
                found.append(self.figure(item, name, value))
        return found

    def figure(self, item: str, name: str, node: Node) -> Figure:
        words = self.word(node)
        match = re.fullmatch(rf"(?:({'|'.join(NUMBER_WORDS)}) )?(-?\d+(?:\.\d+)?)", words)
        if not match:
            raise self.fault(f"'{name}' cannot be '{words}'", node, "write a number, or 'at most 10'")
        return Figure(item, name, NUMBER_WORDS[match[1]] if match[1] else "=", Decimal(match[2]))

    def done_by(self, item: str, node: Node) -> DoneBy:
        self.item(item, node)
        return DoneBy(item, self.one_of(node, ("fitter", "wearer", "clinician", "lab", "repairer")))
