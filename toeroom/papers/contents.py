"""What a template is given: everything a paper may show of a case and its plan, by name (docs/papers.md)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from toeroom.book import Book
from toeroom.case import Case
from toeroom.due import due_report, opened
from toeroom.due.entries import PAPERS, STOP
from toeroom.fit_check.judging import judge
from toeroom.handbook.sources import read_sources
from toeroom.measures.calculated import present_sides
from toeroom.papers import payer
from toeroom.papers.accommodating import accommodations
from toeroom.papers.drawings import Drawing, drawings_of
from toeroom.papers.feet import EXAMINED, Findings, examined, measured, of_the_person
from toeroom.papers.kinds import Kind
from toeroom.papers.order import ORDERED, order_of
from toeroom.papers.wearer import items_told, plain, told
from toeroom.papers.words import ItemWords, read_words
from toeroom.plan import Line, Plan
from toeroom.sheet import Entry, Sheet, make_sheet
from toeroom.vocabulary import PERSON, SIDES


@dataclass(frozen=True, slots=True)
class Referral:
    """A referral: what is asked, of whom, how fast, what the wearer was told, what is written down."""

    label: str
    sides: str
    to: str
    urgency: str
    act: str
    because: str
    tell: str
    write: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Contents:
    """What a template sees, the drawings it may name, and the plan it rests on."""

    names: dict[str, object]
    drawings: dict[str, Drawing]


def contents_of(kind: Kind, case: Case, plan: Plan, book: Book, folders: Sequence[Path]) -> Contents:
    """The contents of a paper of `kind`; `folders` are where the book's papers stand."""
    vocabulary = book.vocabulary
    sheet = make_sheet(plan, vocabulary)
    known = Findings(case, vocabulary, book.planner.run(case).findings)
    words = read_words(folders, vocabulary)
    said = told(sheet, words)
    order = order_of(sheet, case, known)
    stated, unasked = examined(known)
    due = due_report(opened(case, plan))
    drawings = drawings_of(case, due.papers, order, plan)
    entries = _entries(kind, sheet, said_items := items_told(said))
    names: dict[str, object] = {
        "paper": kind,
        "case": case,
        "sheet": sheet,
        "feet": present_sides(case),
        "findings": stated,
        "person": of_the_person(known),
        "not_asked": unasked,
        "present": {s: known.labels_of(s, EXAMINED) for s in SIDES},
        "measures": measured(case, vocabulary),
        "measured_standing": _standing(known),
        "conditions": payer.conditions(known),
        "diabetes": known.in_words("diabetes", PERSON),
        "care_plan": known.in_words("care_plan_for_diabetes", PERSON),
        "benefit": known.of("us_medicare", PERSON),
        "accommodations": accommodations(plan, known),
        "products": () if sheet.stop else payer.products(sheet, words),
        "dates": payer.dated(known),
        "papers": payer.paper_rows(due.papers) if due.papers else (),
        "due": due,
        "dated": [one for one in due.due if one.id != STOP and one.category != PAPERS],
        "fit": judge(case),
        "referrals": tuple(_referral(e, words) for e in (*sheet.stops, *sheet.at_once)),
        "held": _held(sheet),
        "order": order,
        "said": said,
        "told": said_items,
        "advised": {line.id for line in plan.lines if line.advised},
        "cautions": _cautions(kind, entries, plan),
        "sources": _sources([line for e in entries for line in e.lines], book),
        "drawings": tuple(drawings),
        "says": {name: drawing.says for name, drawing in drawings.items()},
    }
    return Contents(names, drawings)


def _standing(known: Findings) -> str:
    """How the feet were measured: standing, sitting, or not asked."""
    return {"yes": "sitting", "no": "standing", "unknown": "not asked"}[known.of("measured_sitting", PERSON)]


def _entries(kind: Kind, sheet: Sheet, said: set[str]) -> tuple[Entry, ...]:
    """The entries of the plan that a paper speaks of: its cautions and sources are theirs."""
    stops = (*sheet.stops, *sheet.at_once)
    if kind.id == "referral-note" or (sheet.stop and kind.id != "plan"):
        return stops
    if kind.id == "work-order":
        return tuple(entry for entry in sheet.all_entries if entry.by in ORDERED)
    if kind.id == "wearer-sheet":
        return tuple(entry for entry in sheet.all_entries if any(line.id in said for line in entry.lines))
    return (*sheet.all_entries, *(sheet.held if kind.id == "plan" else ()))


def _cautions(kind: Kind, entries: Iterable[Entry], plan: Plan) -> tuple[str, ...]:
    """Cautions that stand at the foot of a paper: those of the plan, and those of these feet.

    Order, referral and plan say the cautions of an item beside it; the wearer is told in plain words.
    """
    beside = kind.id in ("work-order", "referral-note", "plan", "wearer-sheet")
    own = [] if beside else [caution for entry in entries for caution in entry.cautions]
    return tuple(dict.fromkeys((*own, *plan.cautions)))


def _referral(entry: Entry, words: Mapping[str, ItemWords]) -> Referral:
    item = next((words[line.id] for line in entry.lines if line.id in words), ItemWords())
    cautions = (*entry.cautions, *entry.more_cautions)
    return Referral(
        entry.label,
        entry.sides,
        item.to,
        item.urgency,
        entry.act,
        entry.because,
        entry.tell or plain(item, entry),
        entry.write,
        cautions,
    )


def _held(sheet: Sheet) -> tuple[tuple[str, str, str], ...]:
    """What was not done: (things, side, reason), the things of one reason together."""
    groups: dict[tuple[str, str], list[str]] = {}
    for entry in sheet.held:
        groups.setdefault((entry.sides or "the pair", entry.held_because), []).append(entry.label)
    return tuple((", ".join(labels), sides, reason) for (sides, reason), labels in groups.items())


def _sources(lines: Iterable[Line], book: Book) -> tuple[str, ...]:
    """The sources that lines rest on, each once, by name, in the order they are met."""
    path = book.folder / "kb" / "sources.yaml"
    known = read_sources(path) if path.is_file() else {}
    keys = dict.fromkeys(source.partition(",")[0].strip() for line in lines for source in line.sources)
    texts = [
        _named(known[key].title, known[key].body, known[key].year) if key in known else key for key in keys
    ]
    return tuple(texts)


def _named(title: str, body: str, year: str) -> str:
    return ", ".join(part for part in (title, body, year) if part not in ("", "None", "n.d."))
