"""The plan as blocks to be shown and chosen: the sheet in the order of the desk.

The sheet has decided what is shown; here it is only put into lines. Stops come first, then what to
ask next, then the rest; the headline of a stop stands above form and plan.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.text import Text

from toeroom.sheet import Asked, Entry, Part, Sheet
from tui.widgets.blocks import Block

MOST_QUESTIONS = 3


@dataclass(frozen=True, slots=True)
class PlanBlock(Block):
    """A block with an entry or a question can be chosen."""

    entry: Entry | None = None
    question: int | None = None


def plan_blocks(
    sheet: Sheet, asked: Sequence[Asked], *, full: bool = False, asked_anew: bool = False
) -> Iterator[PlanBlock]:
    """The blocks of a sheet. `asked_anew`: the questions are of the plan before, new ones are on the way."""
    folded = sheet.urgent and not full
    if sheet.stop:
        yield PlanBlock(((1, Text("STOP: this first")),), band="stop")
    if sheet.stops:
        yield from _stops(sheet, full)
    if asked and not folded:
        yield from _questions(asked, asked_anew)
    if folded:
        yield _waiting(sheet)
    else:
        for part in sheet.parts:
            yield from _part(part, full)
        yield from _held(sheet, full)
    yield from _end(sheet, full)


def _title(text: str) -> PlanBlock:
    return PlanBlock(((0, Text("")), (1, Text(text, "title"))))


def _caution(text: str) -> tuple[int, Text]:
    return 4, Text.assemble(("! ", "caution"), text)


def _key(entry: Entry, standing: str = "") -> str:
    return standing + " ".join(f"{line.id}@{line.side}" for line in entry.lines)


def _head(entry: Entry, *, brief: bool) -> Text:
    sides = f" · {entry.sides}" if entry.sides else ""
    who = "" if entry.by == "you" else f" [{entry.by}]"
    text = Text.assemble((f"{entry.label}{sides}", "head"), f"{who}: {entry.brief if brief else entry.act}")
    if entry.because:
        text.append(f" ({entry.because})", "quiet")
    return text


def _entry(entry: Entry, *, brief: bool, more: bool, said: bool = False) -> PlanBlock:
    lines = [(2, _head(entry, brief=brief))]
    if said:
        lines.append((4, Text.assemble(("say: ", "say"), entry.tell)))
        lines.append((4, Text.assemble(("write: ", "say"), entry.write)))
    lines += [_caution(caution) for caution in entry.cautions]
    if more or said:
        lines += [_caution(caution) for caution in entry.more_cautions]
    return PlanBlock(tuple(lines), entry=entry, key=_key(entry))


def _stops(sheet: Sheet, full: bool) -> Iterator[PlanBlock]:
    """The referrals. What to say and to write down stands once, with the first."""
    if not sheet.stop:
        yield _title("Refer")
    later = [entry for entry in sheet.stops if sheet.urgent and not full and not entry.tell]
    said = False
    for entry in sheet.stops:
        if entry not in later:
            says = bool(entry.tell) and sheet.stop and not said
            said = said or says
            yield _entry(entry, brief=False, more=full, said=says)
    for entry in sheet.at_once:
        yield _entry(entry, brief=False, more=full)
    if later:
        labels = (f"{e.label.lower()}{f' ({e.sides})' if e.sides else ''}" for e in later)
        yield PlanBlock(((2, Text(f"once that is settled: {', '.join(labels)}")),))


def _questions(asked: Sequence[Asked], anew: bool) -> Iterator[PlanBlock]:
    yield _title("Ask next")
    for number, question in enumerate(asked[:MOST_QUESTIONS]):
        text = Text.assemble(question.text, (f" ({question.why})", "quiet"))
        if anew:
            text = Text(text.plain, "quiet")
        yield PlanBlock(((2, text),), question=number, key=f"ask {number}")


def _waiting(sheet: Sheet) -> PlanBlock:
    planned = sum(len(part.entries) + len(part.folded) for part in sheet.parts)
    text = f"All else waits: {planned} things planned, {len(sheet.held)} held back; F4 shows them."
    return PlanBlock(((0, Text("")), (1, Text(text))))


def _part(part: Part, full: bool) -> Iterator[PlanBlock]:
    yield _title(part.title)
    for entry in (*part.entries, *(part.folded if full else ())):
        yield _entry(entry, brief=not full, more=full)
    if part.folded and not full:
        labels = ", ".join(entry.label.lower() for entry in part.folded)
        yield PlanBlock(((2, Text(f"as for every foot at risk: {labels}", "quiet")),))


def _held(sheet: Sheet, full: bool) -> Iterator[PlanBlock]:
    if not sheet.held:
        return
    yield _title("Held back")
    for entry in sheet.held:
        sides = f" · {entry.sides}" if entry.sides else ""
        text = Text.assemble(
            (f"not now: {entry.label}{sides}", "held"), (f" ({entry.held_because})", "quiet")
        )
        yield PlanBlock(((2, text),), entry=entry, key=_key(entry, "held "))


def _end(sheet: Sheet, full: bool) -> Iterator[PlanBlock]:
    cautions = tuple((1, Text.assemble(("! ", "caution"), caution)) for caution in sheet.cautions)
    lines: list[tuple[int, Text]] = [(0, Text("")), *cautions]
    more = sum(len(entry.more_cautions) for entry in sheet.all_entries)
    if more and not full:
        lines.append((1, Text("F4 adds the cautions that go with these items on any foot", "quiet")))
    yield PlanBlock((*lines, (1, Text(sheet.deferral, "say"))))
