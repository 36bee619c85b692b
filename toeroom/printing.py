"""A sheet as text for a terminal or a file: colour only on a terminal, and never alone."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import StringIO

from rich.console import Console
from rich.text import Text

from toeroom.book import Book
from toeroom.plan import Match, Plan, Reason
from toeroom.rules.whatif import Change, stop_in_words
from toeroom.rules.whys import Silent, Why
from toeroom.sheet import Entry, Part, Sheet
from toeroom.wording import SECTION_TITLES, match_in_words, printable

WIDTH_WITHOUT_TERMINAL = 100
MARGIN = 11
MOST_QUESTIONS = 3


def console() -> Console:
    """Standard output; plain and of fixed width where it is no terminal."""
    terminal = sys.stdout.isatty()
    return Console(
        file=sys.stdout,
        width=None if terminal else WIDTH_WITHOUT_TERMINAL,
        highlight=False,
        markup=False,
        emoji=False,
        no_color=None if terminal else True,
    )


@dataclass(frozen=True, slots=True)
class Row:
    """A paragraph of the printed plan: `margin` names its section, on the first row of it."""

    margin: str
    indent: int
    text: Text


def print_sheet(out: Console, sheet: Sheet, *, full: bool = False) -> None:
    """The plan for a person, sections named in the margin. `full` opens what is folded."""
    for row in rows(sheet, full=full):
        print_text(out, row.text, row.indent, row.margin)


def sheet_text(sheet: Sheet, *, full: bool = False) -> str:
    """The same as plain text in lines of fixed width."""
    stream = StringIO()
    out = Console(
        file=stream, width=WIDTH_WITHOUT_TERMINAL, highlight=False, markup=False, emoji=False, no_color=True
    )
    print_sheet(out, sheet, full=full)
    return stream.getvalue()


def print_text(out: Console, text: Text, indent: int = 0, margin: str = "") -> None:
    """`text` wrapped to the width, each line with its indent and nothing behind it."""
    before = Text(margin.ljust(indent), "bold cyan")
    for line in text.wrap(out, max(20, out.width - indent)):
        line.rstrip()
        shown = before + line
        shown.rstrip()
        out.print(shown, soft_wrap=True)
        before = Text(" " * indent)


def rows(sheet: Sheet, *, full: bool = False) -> Iterator[Row]:
    """The paragraphs of a sheet, in order."""
    yield Row("", 0, Text(sheet.title, "bold"))
    facts = [f"case {sheet.case}", sheet.as_of, *([sheet.risk] if sheet.risk else [])]
    yield Row("", 0, Text(" · ".join(facts)))
    if sheet.stop:
        stop = Text.assemble(("STOP", "bold reverse red"), ("  " + sheet.headline, "bold"))
        yield Row("", 0, Text(""))
        yield Row("", 0, stop)
    yield Row("", 0, Text(""))
    yield from _named(SECTION_TITLES["stop"], _stops(sheet, full))
    if sheet.urgent and not full:
        yield from _named("Waits", iter([(0, _waiting(sheet))]))
    else:
        for part in sheet.parts:
            yield from _named(part.title, _part(part, full))
        yield from _named("Held back", _held(sheet, full))
        yield from _named("Ask next", _questions(sheet))
    yield from _named("Mind", _minded(sheet, full))
    yield Row("", 0, Text(""))
    yield Row("", 0, Text(sheet.deferral, "italic"))


def _named(name: str, paragraphs: Iterator[tuple[int, Text]]) -> Iterator[Row]:
    for number, (indent, text) in enumerate(paragraphs):
        yield Row("" if number else name, MARGIN + indent, text)


def _stops(sheet: Sheet, full: bool) -> Iterator[tuple[int, Text]]:
    """The referrals. What to say and to write down stands once, with the first."""
    later = [entry for entry in sheet.stops if sheet.urgent and not full and not entry.tell]
    said = False
    for entry in sheet.stops:
        if entry in later:
            continue
        yield 0, _head(entry, brief=not sheet.stop and not full)
        if entry.tell and sheet.stop and not said:
            said = True
            yield 2, Text.assemble(("say: ", "italic"), entry.tell)
            yield 2, Text.assemble(("write: ", "italic"), entry.write)
            yield from _cautions(entry, full=True)
        else:
            yield from _cautions(entry, full=full)
    for entry in sheet.at_once:
        yield 0, _head(entry, brief=not full)
        yield from _cautions(entry, full=full)
    if later:
        yield 0, Text(f"once that is settled: {', '.join(_with_sides(entry) for entry in later)}")


def _with_sides(entry: Entry) -> str:
    return f"{entry.label.lower()}{f' ({entry.sides})' if entry.sides else ''}"


def _waiting(sheet: Sheet) -> Text:
    """With an urgent referral everything else is one line."""
    planned = sum(len(part.entries) + len(part.folded) for part in sheet.parts)
    return Text(f"all else: {planned} things planned, {len(sheet.held)} held back (--full shows them)")


def _part(part: Part, full: bool) -> Iterator[tuple[int, Text]]:
    for entry in (*part.entries, *(part.folded if full else ())):
        yield 0, _head(entry, brief=not full)
        yield from _cautions(entry, full=full)
    if part.folded and not full:
        labels = ", ".join(entry.label.lower() for entry in part.folded)
        yield 0, Text(f"as for every foot at risk: {labels}", "dim")


def _head(entry: Entry, *, brief: bool = False) -> Text:
    sides = f" · {entry.sides}" if entry.sides else ""
    who = f" [{entry.by}]" if entry.by in ("the lab", "the repairer") else ""
    text = Text.assemble((entry.label + sides, "bold"), f"{who}: {entry.brief if brief else entry.act}")
    if entry.because:
        text.append(f" ({entry.because})", "dim")
    return text


def _cautions(entry: Entry, *, full: bool) -> Iterator[tuple[int, Text]]:
    for caution in (*entry.cautions, *(entry.more_cautions if full else ())):
        yield 2, _caution(caution)


def _held(sheet: Sheet, full: bool) -> Iterator[tuple[int, Text]]:
    if full:
        for entry in sheet.held:
            sides = f" · {entry.sides}" if entry.sides else ""
            yield 0, Text.assemble((entry.label + sides, "strike"), f": {entry.held_because}")
        return
    groups: dict[tuple[str, str], list[str]] = {}
    for entry in sheet.held:
        groups.setdefault((entry.sides, entry.held_because), []).append(entry.label.lower())
    for (sides, reason), labels in groups.items():
        yield 0, Text.assemble((f"{sides or 'the pair'}: ", "bold"), f"{', '.join(labels)} ({reason})")


def _questions(sheet: Sheet) -> Iterator[tuple[int, Text]]:
    for question in sheet.asked[:MOST_QUESTIONS]:
        yield 0, Text.assemble(question.text, (f" ({question.why})", "dim"))


def _minded(sheet: Sheet, full: bool) -> Iterator[tuple[int, Text]]:
    for caution in sheet.cautions:
        yield 0, _caution(caution)
    if not full and any(entry.more_cautions for entry in sheet.all_entries):
        yield 0, Text("--full adds the cautions that go with these items on any foot", "dim")


def _caution(text: str) -> Text:
    return Text.assemble(("! ", "bold yellow"), text)


# --- why and what if -------------------------------------------------------------------------------
def print_why(out: Console, whys: Sequence[Why], book: Book, deferral: str) -> None:
    """Why an item stands, down to what was stated; or which rules could have given it and what failed."""
    for why in whys:
        item = book.vocabulary.plan_items[why.item]
        side = "" if why.side == "person" else f", {why.side} foot"
        standing = "not in the plan" if why.line is None else why.line.standing.replace("_", " ")
        print_text(out, Text(f"{item.label}{side}: {standing}", "bold"))
        if why.line is not None:
            _print_reasons(out, why.line.reasons, book, 2)
            if why.line.held_back_by:
                print_text(out, Text("held back by", "bold"), 2)
                _print_reasons(out, why.line.held_back_by, book, 4)
            for term_id, side, value, reasons in why.chain:
                match = Match("derived", term_id, side, value)
                print_text(out, Text(f"that {match_in_words(match, book.vocabulary)}:"), 2)
                _print_reasons(out, reasons, book, 4)
        for silent in why.silent:
            _print_silent(out, silent, book)
    print_text(out, Text(deferral, "italic"))


def _print_reasons(out: Console, reasons: Sequence[Reason], book: Book, indent: int) -> None:
    for reason in reasons:
        rule = book.planner.by_id[reason.rule]
        print_text(out, Text(f"{reason.title} [{reason.rule}]"), indent)
        for match in reason.matched:
            words = f"- {match_in_words(match, book.vocabulary)}"
            if match.from_:
                by = f" read by {match.rule} from " if match.rule else " from "
                words += by + "; ".join(match_in_words(m, book.vocabulary) for m in match.from_)
            print_text(out, Text(words), indent + 2)
        sources = "; ".join(str(source) for source in rule.sources)
        print_text(out, Text(f"source: {sources}", "dim"), indent + 2)


def _print_silent(out: Console, silent: Silent, book: Book) -> None:
    side = "" if silent.side == "person" else f", {silent.side} foot"
    print_text(out, Text(f"{silent.title} [{silent.rule}{side}] did not speak:"), 2)
    for failed in silent.failed:
        term = book.vocabulary.by_id[failed.id]
        side = "" if failed.side == "person" else f", {failed.side}"
        print_text(out, Text(f"- {term.label}{side} is {failed.known}, not: {failed.wanted}"), 4)


def print_changes(
    out: Console, before: Plan, after: Plan, found: Sequence[Change], suppositions: Sequence[str]
) -> None:
    """What a supposition changes, item by item."""
    print_text(
        out,
        Text(f"{printable(before.title)}: what if {', '.join(printable(s) for s in suppositions)}", "bold"),
    )
    if turned := stop_in_words(before, after):
        print_text(out, Text(turned, "bold reverse"))
    for change in found:
        print_text(out, Text(change.words), 2)
    if not found:
        print_text(out, Text("nothing in the plan would change"), 2)
    print_text(out, Text(after.deferral, "italic"))
