"""A plan arranged for a person: what is particular first, routine folded, nothing said twice.

Text, screen and print show a sheet; none of them decides anything.
"""

from __future__ import annotations

from dataclasses import dataclass

from toeroom.plan import Line, Plan, Question
from toeroom.vocabulary import PERSON, SECTIONS, SIDES, Vocabulary
from toeroom.wording import SECTION_TITLES, because, number_in_words, printable, sides_in_words

BY_WORDS = {
    "fitter": "you",
    "wearer": "the wearer",
    "clinician": "a clinician",
    "lab": "the lab",
    "repairer": "the repairer",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the sheet: one or several plan lines that are one thing to do.

    cautions are those of this foot; more_cautions are those that go with the item on any foot.
    """

    label: str
    sides: str
    act: str
    by: str
    because: str
    cautions: tuple[str, ...]
    more_cautions: tuple[str, ...]
    tell: str
    write: str
    held_because: str
    pages: tuple[str, ...]
    lines: tuple[Line, ...]

    @property
    def brief(self) -> str:
        """What to do in one clause; the rest of `act` says how to see that it is done."""
        clause, more, _ = self.act.partition(";")
        figures = f" ({self.act.rpartition(' (')[2]}" if more and self.act.endswith(")") else ""
        return f"{clause}{figures}" + ("." if more else "")


@dataclass(frozen=True, slots=True)
class Part:
    """A section of the sheet. `folded` are routine entries, to be shown as one line."""

    section: str
    title: str
    entries: tuple[Entry, ...]
    folded: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, for one foot or both, and why it matters."""

    text: str
    sides: str
    why: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A plan ready to be shown. `urgent`: a clinician comes before everything else.

    at_once: what is done beside the referral where a fitting is stopped, such as less walking.
    """

    title: str
    case: str
    as_of: str
    risk: str
    stop: bool
    urgent: bool
    headline: str
    stops: tuple[Entry, ...]
    at_once: tuple[Entry, ...]
    parts: tuple[Part, ...]
    held: tuple[Entry, ...]
    cautions: tuple[str, ...]
    asked: tuple[Asked, ...]
    deferral: str
    version: str

    @property
    def all_entries(self) -> tuple[Entry, ...]:
        """Everything advised, in order."""
        parts = (entry for part in self.parts for entry in (*part.entries, *part.folded))
        return (*self.stops, *self.at_once, *parts)


def make_sheet(plan: Plan, vocabulary: Vocabulary) -> Sheet:
    """The sheet of a plan."""
    return _Maker(plan, vocabulary).sheet()


class _Maker:
    def __init__(self, plan: Plan, vocabulary: Vocabulary) -> None:
        self.plan, self.vocabulary = plan, vocabulary
        self.said: set[str] = set()

    def sheet(self) -> Sheet:
        plan = self.plan
        advised = [line for line in plan.lines if line.advised]
        stops = self._entries([line for line in advised if line.section == "stop"])
        urgent = bool(plan.state("urgent_referral", PERSON))
        beside = [line for line in advised if plan.stop and self.vocabulary.plan_items[line.id].with_stop]
        at_once = self._entries(beside)
        others = [line for line in advised if line not in beside]
        parts = tuple(self._part(section, others) for section in SECTIONS[1:])
        return Sheet(
            title=printable(plan.title) or plan.case,
            case=plan.case,
            as_of=plan.as_of.isoformat(),
            risk=self._risk(),
            stop=plan.stop,
            urgent=urgent,
            headline=self._headline(urgent),
            stops=stops,
            at_once=at_once,
            parts=tuple(part for part in parts if part.entries or part.folded),
            held=self._entries([line for line in plan.lines if not line.advised]),
            cautions=tuple(c for c in plan.cautions if c not in self.said),
            asked=asked(plan.ask_next),
            deferral=plan.deferral,
            version=plan.book_version,
        )

    def _risk(self) -> str:
        for state in self.plan.states:
            if state.id == "ulcer_risk":
                text = f"{state.label.lower()} {state.value}"
                review = self.plan.line("review_by_risk", PERSON)
                if review and review.detail:
                    low, high = review.detail["months_min"], review.detail["months_max"]
                    span = f"{low}" if low == high else f"{low} to {high}"
                    text += f", screened every {span} months"
                return text + (" (provisional: diabetes not settled)" if state.provisional else "")
        return ""

    def _headline(self, urgent: bool) -> str:
        stopped = [side for side in SIDES if self.plan.state("no_fitting_today", side)]
        feet = sides_in_words(stopped)
        words = []
        if feet:
            words.append(
                "neither foot is fitted today" if len(stopped) == 2 else f"{feet} foot is not fitted today"
            )
        if urgent:
            words.append("a clinician today, before anything else")
        return "; ".join(words)

    def _part(self, section: str, advised: list[Line]) -> Part:
        lines = [line for line in advised if line.section == section]
        routine = [
            line for line in lines if line.routine and line.side == PERSON and not self._particular(line)
        ]
        if section == "followup" and self._risk():
            # The interval stands beside the category at the top.
            routine += [line for line in lines if line.id == "review_by_risk" and not self._particular(line)]
        own = [line for line in lines if line not in routine]
        return Part(section, SECTION_TITLES[section], self._entries(own), self._entries(routine))

    def _particular(self, line: Line) -> bool:
        """Whether the same item also stands on a foot, and so is not mere routine."""
        return any(self.plan.line(line.id, side) is not None for side in SIDES)

    def _entries(self, lines: list[Line]) -> tuple[Entry, ...]:
        groups: dict[tuple[object, ...], list[Line]] = {}
        for line in lines:
            groups.setdefault(self._group(line), []).append(line)
        return tuple(self._entry(group) for group in self._merge_shoes(list(groups.values())))

    def _group(self, line: Line) -> tuple[object, ...]:
        item = self.vocabulary.plan_items[line.id]
        if item.alternative:
            return ("alternative", item.alternative, line.standing)
        if item.shoe:
            return ("shoe", line.side, line.standing)
        return (line.id, line.standing, tuple(sorted(line.detail.items())))

    def _merge_shoes(self, groups: list[list[Line]]) -> list[list[Line]]:
        """Two feet that get the same kinds of shoe are one line."""
        kept: list[list[Line]] = []
        for group in groups:
            kinds = {line.id for line in group}
            shoes = self.vocabulary.plan_items[group[0].id].shoe
            same = [g for g in kept if shoes and {line.id for line in g} == kinds]
            if same:
                same[0].extend(group)
            else:
                kept.append(list(group))
        return kept

    def _entry(self, lines: list[Line]) -> Entry:
        items = self.vocabulary.plan_items
        lead = min(lines, key=lambda line: (items[line.id].shoe, line.section, items[line.id].rank))
        own = {caution for line in lines for caution in items[line.id].cautions}
        cautions = list(dict.fromkeys(c for line in lines for c in line.cautions))
        particular = tuple(c for c in cautions if c not in own and c not in self.said)
        general = tuple(c for c in cautions if c in own and c not in self.said)
        self.said.update(cautions)
        sides = [line.side for line in lines]
        reasons = [r for line in lines for r in line.reasons]
        held = [r for line in lines for r in line.held_back_by]
        return Entry(
            label=self._label(lines, lead),
            sides=sides_in_words(sides),
            act=f"{lead.act}{_figures(lead)}",
            by=BY_WORDS[lead.by],
            because=because(reasons, self.plan, self.vocabulary, sides),
            cautions=particular,
            more_cautions=general,
            tell=items[lead.id].tell,
            write=items[lead.id].write,
            held_because=because(held, self.plan, self.vocabulary, sides),
            pages=tuple(dict.fromkeys(p for line in lines for p in line.pages)),
            lines=tuple(lines),
        )

    def _label(self, lines: list[Line], lead: Line) -> str:
        items = self.vocabulary.plan_items
        ids = list(dict.fromkeys(line.id for line in lines))
        if items[lead.id].alternative and len(ids) > 1:
            first, *others = (items[i].label for i in ids)
            return " or ".join([first, *(o.lower() for o in others)])
        if items[lead.id].shoe and len(ids) > 1:
            others = [items[i].label.lower() for i in ids if i != lead.id]
            return f"{lead.label}, as {' and '.join(others)}"
        return lead.label


def _figures(line: Line) -> str:
    """Lengths and days of a line: ` (heel 14 mm, ball 7 mm)`, ` (inside 272 to 282 mm)`, ` (due from …)`."""
    words = []
    for name, value in line.detail.items():
        if isinstance(value, str):
            words.append(f"{name.replace('_', ' ')} {value}")
            continue
        number = number_in_words(value)
        upper = line.detail.get(name.replace("_from_mm", "_to_mm"))
        if name.endswith("_from_mm") and isinstance(upper, int | float):
            words.append(
                f"{name.removesuffix('_from_mm').replace('_', ' ')} {number} to {number_in_words(upper)} mm"
            )
        elif name.endswith("_mm") and not name.endswith("_to_mm"):
            words.append(f"{name.removesuffix('_mm').replace('_', ' ')} {number} mm")
    return f" ({', '.join(words)})" if words else ""


def asked(questions: tuple[Question, ...]) -> tuple[Asked, ...]:
    """Questions, those about left and right of one finding in one."""
    groups: dict[str, list[Question]] = {}
    for question in questions:
        groups.setdefault(question.id, []).append(question)
    found = []
    for same in groups.values():
        sides = sides_in_words(q.side for q in same)
        text = (
            same[0].text
            if len(same) == 1
            else same[0].text.replace(f"the {same[0].side} foot", "either foot")
        )
        text = text if len(same) == 1 else text.replace(f"{same[0].side} foot", "foot")
        found.append(Asked(text, sides, same[0].why.partition("; if no:")[0]))
    return tuple(found)
