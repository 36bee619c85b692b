"""What a case file says for training: the `training:` part, written by whoever teaches with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from toeroom.errors import BadInput, nearest
from toeroom.vocabulary import SIDES, Vocabulary
from toeroom.yamltree import Node

GRADES = ("simple", "middling", "hard")
STAGES = ("referral", "look", "touch", "measuring", "shoe", "papers")
"""The stages of a fitting, in order; what is found at each stands in `toeroom.training.stages`."""
KEYS = ("teaches", "grade", "title", "opening", "told", "volunteers", "notes", "say", "covers")


@dataclass(frozen=True, slots=True)
class Lesson:
    """What a trainer wrote beside a case.

    title, opening: shown to the trainee instead of the title and notes of the case, which may give
    the answer away. told: a few lines shown as a stage opens. volunteers: findings that need not be
    asked for, as (id, side). notes: the trainer's remarks, shown in the debrief. say: what the
    trainer would tell the wearer. covers: plan items that the case is there to teach.
    """

    teaches: str = ""
    grade: str = ""
    title: str = ""
    opening: str = ""
    told: dict[str, str] = field(default_factory=dict)
    volunteers: tuple[tuple[str, str], ...] = ()
    notes: dict[str, str] = field(default_factory=dict)
    say: str = ""
    covers: tuple[str, ...] = ()

    def as_yaml(self) -> dict[str, object]:
        """The entries that say something, in the order of the keys, as plain values."""
        found = {key: getattr(self, key) for key in KEYS}
        found["volunteers"] = [f"{i}@{side}" if side in SIDES else i for i, side in self.volunteers]
        found["covers"] = list(self.covers)
        return {key: value for key, value in found.items() if value}


def read_lesson(node: Node | None, vocabulary: Vocabulary, file: str) -> Lesson:
    """The lesson in the `training:` part of a case file; `BadInput` names the line of what is wrong."""
    if node is None or node.value is None:
        return Lesson()
    return _Reader(vocabulary, file).lesson(node)


class _Reader:
    def __init__(self, vocabulary: Vocabulary, file: str) -> None:
        self.vocabulary, self.file = vocabulary, file

    def lesson(self, node: Node) -> Lesson:
        top = dict(self.entries(node, "training", KEYS))
        grade = self.text(top.get("grade"), "grade")
        if grade and grade not in GRADES:
            raise self.fault(
                f"the grade cannot be '{grade}'", top["grade"], f"use one of {', '.join(GRADES)}"
            )
        return Lesson(
            teaches=self.text(top.get("teaches"), "teaches"),
            grade=grade,
            title=self.text(top.get("title"), "title"),
            opening=self.text(top.get("opening"), "opening"),
            told=self.by_stage(top.get("told"), "told"),
            volunteers=tuple(p for n in self.items(top.get("volunteers")) for p in self.places(n)),
            notes=self.by_stage(top.get("notes"), "notes"),
            say=self.text(top.get("say"), "say"),
            covers=tuple(self.plan_item(n) for n in self.items(top.get("covers"))),
        )

    def by_stage(self, node: Node | None, key: str) -> dict[str, str]:
        return {stage: self.text(n, stage) for stage, n in self.entries(node, key, STAGES)}

    def fault(self, what: str, node: Node, mend: str) -> BadInput:
        return BadInput(what, file=self.file, line=node.key_line or node.line, mend=mend)

    def entries(self, node: Node | None, what: str, known: tuple[str, ...]) -> list[tuple[str, Node]]:
        if node is None or node.value is None:
            return []
        if not isinstance(node.value, dict):
            raise self.fault(f"'{what}' must hold 'name: value' lines", node, "write {name: value}")
        for key, inner in node.value.items():
            if key not in known:
                mend = nearest(key, known) or f"use one of {', '.join(known)}"
                raise self.fault(f"'{key}' is not known here", inner, mend)
        return list(node.value.items())

    def text(self, node: Node | None, key: str) -> str:
        if node is None or node.value is None:
            return ""
        if not isinstance(node.value, str):
            raise self.fault(f"'{key}' must be text", node, "put it in quotes")
        return node.value

    def items(self, node: Node | None) -> Iterator[Node]:
        if node is None or node.value is None:
            return
        if not isinstance(node.value, list) or any(not isinstance(n.value, str) for n in node.value):
            raise self.fault("a list of words is wanted here", node, "write [one, two]")
        yield from node.value

    def places(self, node: Node) -> list[tuple[str, str]]:
        """`bunion@left` is one place; `bunion` means both feet."""
        term_id, _, side = str(node.value).partition("@")
        if term_id not in self.vocabulary.findings:
            mend = nearest(term_id, self.vocabulary.findings) or "see 'toeroom words'"
            raise self.fault(f"'{term_id}' is no finding", node, mend)
        sides = self.vocabulary.sides_of(term_id)
        if side and side not in sides:
            raise self.fault(f"'{term_id}' does not stand on '{side}'", node, f"use {' or '.join(sides)}")
        return [(term_id, one) for one in ((side,) if side else sides)]

    def plan_item(self, node: Node) -> str:
        item = str(node.value)
        if item not in self.vocabulary.plan_items:
            raise self.fault(f"'{item}' is not a plan item", node, nearest(item, self.vocabulary.plan_items))
        return item
