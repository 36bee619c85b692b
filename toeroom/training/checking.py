"""What is wrong with a training case, one line a fault, for the trainer who writes one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from toeroom.case import LARGEST_CASE, Case, read_case
from toeroom.errors import BadInput
from toeroom.rules.planning import Planner
from toeroom.training.marking import moment_of
from toeroom.training.stages import STAGES, is_told, terms_of_stage
from toeroom.training.unfolding import Unfolding
from toeroom.yamltree import Node, parse, read_text

NEEDED = {
    "grade": "write 'grade: simple', middling or hard",
    "teaches": "write in one sentence what it teaches",
    "title": "write a title for the trainee that gives nothing away",
    "opening": "write what the trainee is told at the start",
    "covers": "name the plan items it is there to teach",
}
ALWAYS_MET = ("referral", "look", "touch")
"""Stages at which there is something to find in every fitting; the others may be empty."""


def faults(planner: Planner, path: Path) -> Iterator[BadInput]:
    """What keeps the case file at `path` from being walked through and learnt from."""
    try:
        case = read_case(path, planner.vocabulary)
    except BadInput as fault:
        yield fault
        return
    tree = parse(read_text(path, largest=LARGEST_CASE), str(path))
    yield from _Check(planner, case, str(path), _lines(tree)).faults()


def _lines(tree: Node) -> dict[str, int]:
    """The line of each key of the training part; that of the part itself under ''."""
    top = tree.value if isinstance(tree.value, dict) else {}
    training = top.get("training")
    if training is None:
        return {"": tree.line}
    inner = training.value if isinstance(training.value, dict) else {}
    return {"": training.key_line, **{key: node.key_line for key, node in inner.items()}}


class _Check:
    def __init__(self, planner: Planner, case: Case, file: str, lines: dict[str, int]) -> None:
        self.planner, self.case, self.file, self.lines = planner, case, file, lines
        self.vocabulary = planner.vocabulary
        self.unfolding = Unfolding(planner, case)

    def fault(self, key: str, what: str, mend: str) -> BadInput:
        return BadInput(what, file=self.file, line=self.lines.get(key, self.lines[""]), mend=mend)

    def faults(self) -> Iterator[BadInput]:
        for key, mend in NEEDED.items():
            if not getattr(self.case.lesson, key):
                yield self.fault("", f"the training part has no '{key}'", mend)
        yield from self.given_away()
        yield from self.empty_stages()
        yield from self.never_taught()
        yield from self.not_volunteered()

    def given_away(self) -> Iterator[BadInput]:
        """A title or opening that names what is still to be found."""
        lesson = self.case.lesson
        for key, text in (("title", lesson.title), ("opening", lesson.opening)):
            for finding in self.vocabulary.findings.values():
                sides = self.vocabulary.sides_of(finding.id)
                if is_told(finding) or all(self.case.finding(finding.id, side) != "yes" for side in sides):
                    continue
                names = (finding.label, *finding.words)
                said = next((name for name in names if _says(text, name)), "")
                if said:
                    yield self.fault(
                        key, f"the {key} gives '{finding.id}' away ('{said}')", "let the trainee find it"
                    )

    def empty_stages(self) -> Iterator[BadInput]:
        lesson, over = self.case.lesson, False
        for index, stage in enumerate(STAGES):
            expected = stage.id in ALWAYS_MET or stage.id in lesson.told or stage.id in lesson.notes
            if expected and not over and not self._holds_something(index):
                key = "told" if stage.id in lesson.told else "notes"
                yield self.fault(
                    key, f"the stage '{stage.id}' has nothing to find", "state what is seen or said there"
                )
            asked = tuple(t.id for n in range(index + 1) for t in terms_of_stage(self.vocabulary, n))
            over = over or moment_of(self.planner, self.unfolding.known(index, asked)).over

    def _holds_something(self, index: int) -> bool:
        terms = terms_of_stage(self.vocabulary, index)
        return any(fact.value != "unknown" for term in terms for fact in self.unfolding.answer(term.id))

    def never_taught(self) -> Iterator[BadInput]:
        plan = self.planner.plan(self.case)
        for item in self.case.lesson.covers:
            lines = [line for line in plan.lines if line.id == item]
            if not lines:
                yield self.fault(
                    "covers", f"'{item}' is never in the plan", "state what leads to it, or leave it out"
                )
            elif not any(line.advised for line in lines):
                yield self.fault("covers", f"'{item}' is held back in the plan", "teach it with another case")

    def not_volunteered(self) -> Iterator[BadInput]:
        for term_id, side in self.case.lesson.volunteers:
            if self.case.finding(term_id, side) == "unknown":
                yield self.fault(
                    "volunteers",
                    f"'{term_id}' is volunteered and not stated ({side})",
                    "state it as yes or no, or leave it out",
                )


def _says(text: str, name: str) -> bool:
    return re.search(rf"\b{re.escape(name.lower())}\b", text.lower()) is not None
