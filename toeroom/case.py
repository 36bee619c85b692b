"""A case: what was seen, measured and read of one person's feet, and reading it from a file.

The file format is strict: what is not understood is refused with its line and the nearest word
that would have been, because a misspelt wound that is passed over in silence is a missed wound.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from toeroom.errors import BadInput, nearest
from toeroom.fit_check.block import KEY as FIT_CHECK
from toeroom.fit_check.block import block_lines, read_block
from toeroom.fit_check.points import FitCheck
from toeroom.lesson import Lesson, read_lesson
from toeroom.vocabulary import PERSON, SIDES, Measure, Vocabulary
from toeroom.yamltree import Node, parse, read_text

LARGEST_CASE = 200_000
FIRST_YEAR, LAST_YEAR = 1900, 2200
VALUES = {"yes": "yes", "true": "yes", "no": "no", "false": "no", "unknown": "unknown"}
_TOP = ("case", "title", "as_of", "measures", "choices", "dates", "notes", "training")
CASE_ID = r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,62}[A-Za-z0-9])?"
"""What a case id looks like: safe as the name of a file, too."""

Place = tuple[str, str]
"""A term's id and its side: left, right or person."""


@dataclass(frozen=True, slots=True)
class Case:
    """What is stated of one person.

    findings: (id, side) to yes, no or unknown; what is not in it is unknown.
    measures: (id, side) to a number in the unit of the id.
    fit_check: what was found at hand-over; the plan never reads it.
    """

    id: str
    as_of: date
    title: str = ""
    findings: dict[Place, str] = field(default_factory=dict)
    measures: dict[Place, Decimal] = field(default_factory=dict)
    choices: dict[str, str] = field(default_factory=dict)
    dates: dict[str, date] = field(default_factory=dict)
    notes: str = ""
    lesson: Lesson = field(default_factory=Lesson)
    fit_check: FitCheck | None = None

    @property
    def teaches(self) -> str:
        """What the case teaches, in one sentence; '' where it is no training case."""
        return self.lesson.teaches

    @property
    def grade(self) -> str:
        """simple, middling or hard; '' where it is no training case."""
        return self.lesson.grade

    def finding(self, term_id: str, side: str) -> str:
        """yes, no or unknown."""
        return self.findings.get((term_id, side), "unknown")

    def with_finding(self, term_id: str, side: str, value: str) -> Case:
        """The same case with one finding set."""
        return replace(self, findings={**self.findings, (term_id, side): value})


def read_case(path: str | os.PathLike[str], vocabulary: Vocabulary, *, today: date | None = None) -> Case:
    """The case in the file at `path`; `BadInput` names the line of what is wrong."""
    text = read_text(path, largest=LARGEST_CASE)
    return parse_case(text, vocabulary, name=str(path), today=today)


def parse_case(text: str, vocabulary: Vocabulary, *, name: str = "case", today: date | None = None) -> Case:
    """The case that a YAML `text` states; `name` is the file as faults call it."""
    return _Reader(vocabulary, name).case(parse(text, name), today or date.today())


class _Reader:
    """Turns a tree into a case; every fault names the file and the line."""

    def __init__(self, vocabulary: Vocabulary, file: str) -> None:
        self.vocabulary, self.file = vocabulary, file

    def fault(self, what: str, node: Node, mend: str) -> BadInput:
        return BadInput(what, file=self.file, line=node.key_line or node.line, mend=mend)

    def case(self, tree: Node, today: date) -> Case:
        if not isinstance(tree.value, dict):
            raise BadInput("is not a case", file=self.file, line=tree.line, mend="begin with 'case: some-id'")
        top = tree.value
        keys = (*_TOP, PERSON, *SIDES, FIT_CHECK)
        for key, node in top.items():
            if key not in keys:
                raise self.unknown(key, node, keys)
        findings: dict[Place, str] = {}
        for side in (PERSON, *SIDES):
            self.findings(top.get(side), side, findings)
        return Case(
            id=self.case_id(top.get("case")),
            title=self.text(top.get("title"), "title"),
            as_of=self.day(top["as_of"], "as_of") if "as_of" in top else today,
            findings=findings,
            measures=self.measures(top.get("measures")),
            choices=self.choices(top.get("choices")),
            dates={
                k: self.day(n, k) for k, n in self.entries(top.get("dates"), "dates", self.vocabulary.dates)
            },
            notes=self.text(top.get("notes"), "notes"),
            fit_check=read_block(top.get(FIT_CHECK), self.fault, self.day),
            lesson=read_lesson(top.get("training"), self.vocabulary, self.file),
        )

    def unknown(self, key: str, node: Node, known: object) -> BadInput:
        mend = nearest(key, list(known))  # type: ignore[call-overload]
        term = self.vocabulary.by_id.get(key)
        if term is not None:
            mend = f"'{key}' belongs under {self.home(key)}"
        return self.fault(f"'{key}' is not known here", node, mend or "see the list with 'toeroom words'")

    def home(self, term_id: str) -> str:
        vocabulary = self.vocabulary
        scope = vocabulary.by_id[term_id].scope
        where = "left or right" if scope == "foot" else PERSON
        if term_id in vocabulary.findings:
            return where
        if term_id in vocabulary.measures:
            return f"measures, {where}"
        if term_id in vocabulary.choices:
            return "choices"
        if term_id in vocabulary.dates:
            return "dates"
        return "the plan, which a case never states"

    def entries(self, node: Node | None, what: str, known: object) -> list[tuple[str, Node]]:
        if node is None or node.value is None:
            return []
        if not isinstance(node.value, dict):
            raise self.fault(f"'{what}' must hold 'name: value' lines", node, "write {name: value}")
        for key, inner in node.value.items():
            if key not in known:  # type: ignore[operator]
                raise self.unknown(key, inner, known)
        return list(node.value.items())

    def findings(self, node: Node | None, side: str, into: dict[Place, str]) -> None:
        scope = PERSON if side == PERSON else "foot"
        known = [i for i, f in self.vocabulary.findings.items() if f.scope == scope]
        for key, inner in self.entries(node, side, known):
            word = inner.value.lower() if isinstance(inner.value, str) else ""
            if word not in VALUES:
                shown = (
                    inner.value
                    if isinstance(inner.value, str)
                    else "nothing"
                    if inner.value is None
                    else "a list"
                )
                raise self.fault(f"'{key}' cannot be '{shown}'", inner, "write yes, no or unknown")
            into[key, side] = VALUES[word]

    def measures(self, node: Node | None) -> dict[Place, Decimal]:
        found: dict[Place, Decimal] = {}
        for side, inner in self.entries(node, "measures", (PERSON, *SIDES)):
            scope = PERSON if side == PERSON else "foot"
            known = {i: m for i, m in self.vocabulary.measures.items() if m.scope == scope}
            for key, value in self.entries(inner, side, known):
                found[key, side] = self.number(known[key], value)
        return found

    def number(self, measure: Measure, node: Node) -> Decimal:
        try:
            return number_in_range(measure, node.value if isinstance(node.value, str) else "")
        except ValueError as error:
            what, _, mend = str(error).partition("; ")
            raise self.fault(what, node, mend) from None

    def choices(self, node: Node | None) -> dict[str, str]:
        found: dict[str, str] = {}
        for key, inner in self.entries(node, "choices", self.vocabulary.choices):
            allowed = self.vocabulary.choices[key].one_of
            if not isinstance(inner.value, str) or inner.value not in allowed:
                mend = f"write one of {', '.join(allowed)}"
                raise self.fault(f"'{key}' cannot be '{inner.value or 'nothing'}'", inner, mend)
            found[key] = inner.value
        return found

    def day(self, node: Node, key: str) -> date:
        text = node.value if isinstance(node.value, str) else ""
        try:
            return day_from(text)
        except ValueError as error:
            what, _, mend = str(error).partition("; ")
            raise self.fault(f"'{key}': {what}", node, mend) from None

    def case_id(self, node: Node | None) -> str:
        text = node.value if node is not None and isinstance(node.value, str) else ""
        if node is None:
            raise BadInput("the case has no id", file=self.file, line=1, mend="write 'case: some-id'")
        if not re.fullmatch(CASE_ID, text):
            raise self.fault("the case id is not usable", node, "use letters, digits and dashes, at most 64")
        return text

    def text(self, node: Node | None, key: str) -> str:
        if node is None or node.value is None:
            return ""
        if not isinstance(node.value, str):
            raise self.fault(f"'{key}' must be text", node, "put it in quotes")
        return node.value


def number_in_range(measure: Measure, text: str) -> Decimal:
    """`text` as a number of `measure`; `ValueError` ("what; mend") where it is none or out of range."""
    if not re.fullmatch(r"[+-]?[0-9]{1,9}(\.[0-9]{1,9})?", text):
        what = f"'{measure.id}' cannot be '{text}'" if text else f"'{measure.id}' has no number"
        raise ValueError(
            f"{what}; write a plain number such as {measure.low} in {measure.unit or 'its unit'}"
        )
    value = Decimal(text)
    if not measure.low <= value <= measure.high:
        raise ValueError(
            f"'{measure.id}' {value} is out of range; {measure.low} to {measure.high}{_slip(measure, value)}"
        )
    return value


def _slip(measure: Measure, value: Decimal) -> str:
    """A guess at the unit meant, where a factor of ten or an inch would bring `value` into range."""
    guesses: tuple[tuple[str, Callable[[Decimal], Decimal]], ...] = (
        ("centimetres", lambda v: v * 10),
        ("inches", lambda v: v * Decimal("25.4")),
    )
    if measure.unit == "mm":
        for unit, to_mm in guesses:
            if measure.low <= to_mm(value) <= measure.high:
                return f"; {value} {unit} would be {to_mm(value)} mm"
    return ""


def day_from(text: str) -> date:
    """An ISO date; `ValueError` ("what; mend") where the text is none or the day does not exist."""
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise ValueError(f"'{text or 'nothing'}' is not a date; write year-month-day, as 2026-11-25")
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"{text} does not exist; check day and month") from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(f"{text} is too far away; a year from {FIRST_YEAR} to {LAST_YEAR}")
    return day


def case_as_yaml(case: Case, vocabulary: Vocabulary) -> str:
    """The case as a file that `read_case` reads back to the same case."""
    lines = [f"case: {case.id}", f"title: {_quoted(case.title)}", f"as_of: {case.as_of}"]
    for side in (PERSON, *SIDES):
        stated = [f"{i}: {case.findings[i, side]}" for i in vocabulary.findings if (i, side) in case.findings]
        if stated:
            lines += [f"{side}:", *(f"  {s}" for s in stated)]
    if case.measures:
        lines.append("measures:")
        for side in (PERSON, *SIDES):
            stated = [
                f"{i}: {case.measures[i, side]}" for i in vocabulary.measures if (i, side) in case.measures
            ]
            if stated:
                lines.append(f"  {side}: {{{', '.join(stated)}}}")
    for key, values in (("choices", case.choices), ("dates", case.dates)):
        if values:
            lines += [f"{key}:", *(f"  {k}: {v}" for k, v in values.items())]
    lines += block_lines(case.fit_check)
    if lesson := case.lesson.as_yaml():
        lines += ["training:", *(f"  {key}: {_flow(value)}" for key, value in lesson.items())]
    if case.notes:
        lines.append(f"notes: {_quoted(case.notes)}")
    return "\n".join(lines) + "\n"


def _flow(value: object) -> str:
    """A text, list or mapping on one line."""
    if isinstance(value, dict):
        return f"{{{', '.join(f'{k}: {_flow(v)}' for k, v in value.items())}}}"
    if isinstance(value, list):
        return f"[{', '.join(map(_flow, value))}]"
    return _quoted(str(value))


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    printable = "".join(c if c.isprintable() else f"\\U{ord(c):08X}" for c in escaped)
    return f'"{printable}"'
