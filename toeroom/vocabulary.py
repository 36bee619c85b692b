"""The words of a book: what may be said of a case and what a plan may hold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import cast

from toeroom.errors import BookFault, nearest
from toeroom.yamltree import Node, read_book_file

SIDES = ("left", "right")
PERSON = "person"
SECTIONS = (
    "stop",
    "footwear",
    "build",
    "insert",
    "alteration",
    "socks",
    "measuring",
    "advice",
    "paperwork",
    "followup",
)


@dataclass(frozen=True, slots=True)
class Term:
    """An entry that all kinds share.

    `scope` is `foot` (stated for each foot) or `person`; `words` are other words for it.
    """

    id: str
    label: str
    scope: str = PERSON
    page: str = ""
    question: str = ""
    look: str = ""
    group: str = ""
    words: tuple[str, ...] = ()
    means: str = ""

    def ask(self, side: str) -> str:
        """The question about this term for `side` (left, right or person)."""
        return self.question.replace("{foot}", f"{side} foot" if side in SIDES else "foot")


@dataclass(frozen=True, slots=True)
class Finding(Term):
    """Something that is yes, no or unknown. `said_by` is fitter, wearer or clinician.

    asked_after: it makes sense to ask once one of these is yes.
    asked_first: it is seen at once, and asked only of a foot of which nothing is stated.
    """

    said_by: str = "fitter"
    no_words: tuple[str, ...] = ()
    asked_after: tuple[str, ...] = ()
    asked_first: bool = False


@dataclass(frozen=True, slots=True)
class Measure(Term):
    """A number; the unit is part of the id. `low` and `high` bound what is accepted."""

    unit: str = ""
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class Choice(Term):
    """One of a few words."""

    one_of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DateTerm(Term):
    """A calendar day."""


@dataclass(frozen=True, slots=True)
class Calculated(Term):
    """A value that a function works out from what is stated, before any rule runs.

    `kind` is `number`, `yes-no` or `date`; `from_ids` are the ids it looks at.
    """

    kind: str = "number"
    from_ids: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class Derived(Term):
    """A state that rules conclude. `one_of` is empty for a plain yes."""

    one_of: tuple[str, ...] = ()
    otherwise: str = ""
    provisional_if: str = ""
    shown: bool = True


@dataclass(frozen=True, slots=True)
class PlanItem(Term):
    """Something a plan may hold: what is to be done (`act`), by whom, in which section.

    tell, write: for an item that stops, what the person is told and what is written down.
    routine: on the person it holds for every diabetic foot, and is folded.
    alternative: items of one name, advised together, are one choice between them.
    with_stop: it is done at once where a fitting is stopped, and is never folded there.
    opposite: the item that cannot be right where this one is advised.
    shoe: a kind of shoe; of several on one foot the text shows that with the lowest number.
    """

    section: str = ""
    by: str = ""
    act: str = ""
    tell: str = ""
    write: str = ""
    pages: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    routine: bool = False
    alternative: str = ""
    opposite: str = ""
    with_stop: bool = False
    shoe: int = 0
    rank: int = 0


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All terms of a book, each kind in the order of the file."""

    findings: dict[str, Finding]
    measures: dict[str, Measure]
    choices: dict[str, Choice]
    dates: dict[str, DateTerm]
    calculated: dict[str, Calculated]
    derived: dict[str, Derived]
    plan_items: dict[str, PlanItem]
    deferral: str
    cautions: tuple[str, ...]
    by_id: dict[str, Term] = field(default_factory=dict)

    def of_section(self, section: str) -> tuple[str, ...]:
        """Ids of the plan items of `section`, in order."""
        return tuple(i for i, item in self.plan_items.items() if item.section == section)

    def sides_of(self, term_id: str) -> tuple[str, ...]:
        """Where a term stands: both feet, or the person."""
        return SIDES if self.by_id[term_id].scope == "foot" else (PERSON,)


_PLAIN = {"label", "scope", "page", "question", "look", "group", "words", "means"}
_KINDS: dict[str, tuple[type[Term], set[str]]] = {
    "findings": (Finding, {"said_by", "no_words", "asked_after", "asked_first"}),
    "measures": (Measure, {"unit", "range"}),
    "choices": (Choice, {"one_of"}),
    "dates": (DateTerm, set()),
    "calculated": (Calculated, {"kind", "from", "source"}),
    "derived": (Derived, {"one_of", "otherwise", "provisional_if", "shown"}),
    "plan_items": (
        PlanItem,
        {
            "section",
            "by",
            "act",
            "tell",
            "write",
            "pages",
            "cautions",
            "routine",
            "alternative",
            "opposite",
            "with_stop",
            "shoe",
        },
    ),
}
_LISTS = {"words", "no_words", "asked_after", "one_of", "pages", "cautions", "from"}
_ALLOWED = {
    "scope": ("foot", PERSON),
    "said_by": ("fitter", "wearer", "clinician"),
    "by": ("fitter", "wearer", "clinician", "lab", "repairer"),
    "section": SECTIONS,
    "kind": ("number", "yes-no", "date"),
    "routine": ("yes", "no"),
    "shown": ("yes", "no"),
    "asked_first": ("yes", "no"),
    "with_stop": ("yes", "no"),
    "shoe": ("1", "2", "3", "4"),
}


def read_vocabulary(path: Path) -> Vocabulary:
    """The vocabulary in the file at `path`; `BookFault` for what it should not hold."""
    top = _mapping(read_book_file(path), str(path), "the file")
    _known(top, {*_KINDS, "deferral", "cautions"}, str(path))
    kinds: dict[str, dict[str, Term]] = {}
    by_id: dict[str, Term] = {}
    for kind in _KINDS:
        kinds[kind] = {}
        if kind not in top:
            continue
        for term_id, node in _mapping(top[kind], str(path), kind).items():
            if term_id in by_id:
                raise BookFault(
                    f"'{term_id}' is in the vocabulary twice",
                    file=str(path),
                    line=node.key_line,
                    mend="an id stands for one thing; choose another",
                )
            kinds[kind][term_id] = by_id[term_id] = _term(kind, term_id, node, str(path), len(by_id))
    for item in kinds["plan_items"].values():
        _opposed(cast(PlanItem, item), kinds["plan_items"], top["plan_items"], str(path))
    deferral = top.get("deferral")
    if deferral is None or not isinstance(deferral.value, str):
        raise BookFault(
            "the line that defers to clinicians is missing", file=str(path), mend="write 'deferral: …'"
        )
    cautions = _texts(top["cautions"], str(path)) if "cautions" in top else ()
    return Vocabulary(**kinds, deferral=deferral.value.strip(), cautions=cautions, by_id=by_id)  # type: ignore[arg-type]


def _opposed(item: PlanItem, items: dict[str, Term], node: Node, file: str) -> None:
    """An item's opposite is an item, and has it for its own opposite."""
    other = items.get(item.opposite)
    if item.opposite and (not isinstance(other, PlanItem) or other.opposite != item.id):
        line = _mapping(node, file, "plan_items")[item.id].key_line
        mend = f"write 'opposite: {item.id}' there" if other else nearest(item.opposite, items)
        raise BookFault(
            f"'{item.opposite}' does not have '{item.id}' for its opposite", file=file, line=line, mend=mend
        )


def _term(kind: str, term_id: str, node: Node, file: str, rank: int) -> Term:
    made, own = _KINDS[kind]
    entries = _mapping(node, file, f"'{term_id}'")
    _known(entries, _PLAIN | own, file)
    values: dict[str, object] = {}
    for key, value in entries.items():
        if key in _LISTS:
            values["from_ids" if key == "from" else key] = _texts(value, file)
        elif key == "range":
            values["low"], values["high"] = (Decimal(v) for v in _texts(value, file))
        else:
            values[key] = _text(key, value, file)
    for flag in ("routine", "shown", "with_stop", "asked_first"):
        if flag in values:
            values[flag] = values[flag] == "yes"
    if kind == "plan_items":
        values["rank"] = rank
        values["shoe"] = int(str(values.get("shoe", "0")))
    if "label" not in values:
        raise BookFault(f"'{term_id}' has no label", file=file, line=node.key_line, mend="write 'label: …'")
    return made(id=term_id, **values)  # type: ignore[arg-type]


def _text(key: str, node: Node, file: str) -> str:
    if not isinstance(node.value, str):
        raise BookFault(
            f"'{key}' must be one line of text", file=file, line=node.line, mend="write words after it"
        )
    text = " ".join(node.value.split())
    if key in _ALLOWED and text not in _ALLOWED[key]:
        mend = nearest(text, _ALLOWED[key]) or f"use one of {', '.join(_ALLOWED[key])}"
        raise BookFault(f"'{key}' cannot be '{text}'", file=file, line=node.line, mend=mend)
    return text


def _texts(node: Node, file: str) -> tuple[str, ...]:
    nodes = node.value if isinstance(node.value, list) else [] if node.value is None else [node]
    for inner in nodes:
        if not isinstance(inner.value, str):
            raise BookFault(
                "a list of words is wanted here", file=file, line=inner.line, mend="write [one, two]"
            )
    return tuple(" ".join(str(inner.value).split()) for inner in nodes)


def _mapping(node: Node, file: str, what: str) -> dict[str, Node]:
    if not isinstance(node.value, dict):
        raise BookFault(
            f"{what} must be a list of 'name: value' lines", file=file, line=node.line, mend="see docs"
        )
    return node.value


def _known(entries: dict[str, Node], known: Iterable[str], file: str) -> None:
    known = set(known)
    for key, node in entries.items():
        if key not in known:
            raise BookFault(
                f"'{key}' is not a known key", file=file, line=node.key_line, mend=nearest(key, known)
            )
