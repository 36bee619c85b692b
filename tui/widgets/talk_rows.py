"""A conversation as blocks: each line and what was answered to it.

An emergency stands first. A passage can be chosen and leads to its page: the key ends in `page:id#heading`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from rich.text import Text

from toeroom.answers.answering import Answer
from toeroom.answers.conversation import Turn
from toeroom.answers.quoting import Rows
from toeroom.sheet import Entry, Sheet
from toeroom.vocabulary import PERSON
from tui.talk import Said
from tui.widgets.blocks import LINK, Block, space

MOST_ITEMS = 5
QUOTED = 5
"""Columns before a passage."""

Table = Callable[[Rows], Sequence[Text]]


def talk_blocks(history: Sequence[Said], deferral: str, laid: Table) -> Iterator[Block]:
    """The whole history; the line that defers stands last. `laid` puts rows of a table into lines."""
    before: Sheet | None = None
    for number, said in enumerate(history):
        if number:
            yield space()
        yield Block(((3, Text(said.text, "you")),), marker="› ", key="")
        if said.fault:
            yield Block(((3, Text(said.fault, "fault")),))
        elif said.turn is None:
            yield Block(((3, Text("working it out", "quiet")),))
        else:
            yield from _turn(number, said, said.turn, before, laid, last=number == len(history) - 1)
            before = before if said.turn.changes else said.sheet
    if history:
        yield space()
        yield Block(((1, Text(deferral, "say")),))


def copied(answer: Answer) -> str:
    """A passage with where it stands and its cautions, as text."""
    lines = [*answer.lines, f"({answer.title}; {answer.heading}; page {answer.page})"]
    return "\n".join([*lines, *(f"Caution: {caution}" for caution in answer.cautions)]) + "\n"


def _turn(
    number: int, said: Said, turn: Turn, before: Sheet | None, laid: Table, *, last: bool
) -> Iterator[Block]:
    reply = turn.reply
    if reply and reply.emergency:
        yield Block(((1, Text(f"EMERGENCY  {reply.emergency}")),), band="stop")
    stopped = before.headline if before is not None and before.stop else ""
    if said.sheet and said.sheet.stop and (said.sheet.headline != stopped or turn.changes):
        yield Block(
            ((1, Text(f"STOP  {'if so: ' if turn.changes else ''}{said.sheet.headline}")),), band="stop"
        )
    if reply and reply.corrected:
        yield Block(((3, Text(f"read as: {reply.corrected}", "say")),))
    if turn.said:
        yield Block(((3, Text(turn.said, "head")),))
    for change in turn.changes:
        side = "" if change.side == PERSON else f", {change.side}"
        words = f"{change.label}{side}: {change.before} → {change.after}".replace("_", " ")
        yield Block(((5, Text(words)),), marker="- ")
    if said.sheet and not turn.changes:
        yield from _plan(said.sheet, before)
    for place, answer in enumerate(reply.answers if reply else ()):
        yield _answer(f"{number}.{place}", answer, laid)
    if reply and reply.related:
        yield _related(number, said)
    if turn.question and not last:
        yield Block(((3, Text(f"asked next: {turn.question.text}", "quiet")),))


def _answer(key: str, answer: Answer, laid: Table) -> Block:
    head = Text.assemble((answer.title, "head"), (f"  {answer.heading}  [{answer.page}]", "quiet"))
    lines = [(0, Text("")), (3, head)]
    # A passage that is a caution stands among the cautions, once.
    if answer.text.removeprefix("Caution. ") not in " ".join(answer.cautions):
        lines += [(QUOTED, line) for line in _quote(answer, laid)]
    lines += [(QUOTED, Text.assemble(("! ", "caution"), caution)) for caution in answer.cautions]
    return Block(tuple(lines), key=f"{key}:page:{answer.page}#{answer.heading}")


def _quote(answer: Answer, laid: Table) -> Iterator[Text]:
    """The passage: words between marks, rows of a table in its columns."""
    for piece in answer.quote or (answer.text,):
        if isinstance(piece, Rows):
            yield from laid(piece)
        else:
            yield Text(f"“{piece}”")


def _related(number: int, said: Said) -> Block:
    text = Text("see also: ", "quiet")
    for place, (page, title) in enumerate(said.titles.items()):
        text.append(" · " if place else "", "quiet")
        text.append(title, f"{LINK}{number}.{place}+:page:{page}")
    return Block(((0, Text("")), (3, text)))


def _plan(sheet: Sheet, before: Sheet | None) -> Iterator[Block]:
    """The plan in brief, where it is not that of the turn before."""
    entries = _first(sheet)
    if before is not None and [_told(e).plain for e in _first(before)] == [_told(e).plain for e in entries]:
        if entries:
            yield Block(((3, Text("The plan stays as it was.", "quiet")),))
        return
    if entries:
        yield Block(((3, Text("Plan in brief", "title")),))
    for entry in entries[:MOST_ITEMS]:
        yield Block(((5, _told(entry)),), marker="- ")
        for caution in entry.cautions:
            yield Block(((5, Text.assemble(("! ", "caution"), caution)),))
    if len(entries) > MOST_ITEMS:
        words = (
            f"and {len(entries) - MOST_ITEMS} more: F5 takes this into a case, where the whole plan stands"
        )
        yield Block(((5, Text(words, "quiet")),))


def _first(sheet: Sheet) -> list[Entry]:
    """What is done first: the referrals; without a stop all that is planned."""
    entries = [*sheet.stops, *sheet.at_once]
    if not sheet.stop:
        entries += [entry for part in sheet.parts for entry in part.entries]
    return entries


def _told(entry: Entry) -> Text:
    sides = f" · {entry.sides}" if entry.sides else ""
    return Text.assemble((f"{entry.label}{sides}", "head"), f": {entry.brief}")
