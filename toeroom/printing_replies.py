"""A reply of Ask as text: an emergency first, then what was understood, what it means, what the book says."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from toeroom.answers.answering import Answer, Reply
from toeroom.answers.conversation import Turn
from toeroom.answers.understand import Understood
from toeroom.plan import Plan
from toeroom.printing import print_text
from toeroom.sheet import Entry, make_sheet
from toeroom.vocabulary import Vocabulary
from toeroom.wording import number_in_words, printable

MOST_ITEMS = 8


def print_reply(out: Console, reply: Reply, vocabulary: Vocabulary) -> None:
    """The whole reply; the line that defers stands last."""
    if reply.emergency:
        print_text(out, Text.assemble(("EMERGENCY  ", "bold reverse red"), (reply.emergency, "bold")))
    if reply.corrected:
        print_text(out, Text(f"read as: {printable(reply.corrected)}", "italic"))
    if reply.understood:
        words = "; ".join(understood_in_words(one, vocabulary) for one in reply.understood)
        print_text(out, Text(words), 11, "Understood")
    if reply.plan:
        _print_plan(out, reply.plan, vocabulary)
    if reply.said:
        print_text(out, Text(reply.said, "bold"), 11, "Not here")
    for answer in reply.answers:
        _print_answer(out, answer)
    if reply.related:
        print_text(out, Text(", ".join(reply.related)), 11, "See also")
    for number, question in enumerate(reply.asked[:1]):
        print_text(out, Text(f"{question.text} ({question.why})"), 11, "" if number else "Ask next")
    print_text(out, Text(reply.deferral, "italic"))


def print_turn(out: Console, turn: Turn, vocabulary: Vocabulary) -> None:
    """One exchange of a conversation: the answer, the list that can be corrected, what is asked next."""
    if turn.reply:
        if turn.reply.emergency:
            print_text(
                out, Text.assemble(("EMERGENCY  ", "bold reverse red"), (turn.reply.emergency, "bold"))
            )
        for answer in turn.reply.answers:
            _print_answer(out, answer)
    if turn.said:
        print_text(out, Text(turn.said, "bold"))
    for change in turn.changes:
        side = "" if change.side == "person" else f" · {change.side}"
        print_text(out, Text(f"{change.label}{side}: {change.before} → {change.after}".replace("_", " ")), 2)
    for number, one in enumerate(turn.stated, 1):
        print_text(
            out, Text(f"{number}. {understood_in_words(one, vocabulary)}"), 11, "" if number > 1 else "Known"
        )
    if turn.plan and not turn.changes:
        _print_plan(out, turn.plan, vocabulary)
    if turn.question:
        print_text(out, Text(f"{turn.question.text} ({turn.question.why})"), 11, "Ask next")
    print_text(out, Text(vocabulary.deferral, "italic"))


def understood_in_words(one: Understood, vocabulary: Vocabulary) -> str:
    """`bunion, left: yes (from "big bunion on the left")`."""
    label = vocabulary.by_id[one.id].label
    side = "" if one.side == "person" else ", side not said" if one.side == "unsaid" else f", {one.side}"
    unit = getattr(vocabulary.by_id[one.id], "unit", "")
    value = one.state if one.value is None else f"{number_in_words(one.value)} {unit}"
    return f'{label}{side}: {value} ("{printable(one.text)}")'


def _print_plan(out: Console, plan: Plan, vocabulary: Vocabulary) -> None:
    """The plan in brief: the stop, else the first things to do."""
    sheet = make_sheet(plan, vocabulary)
    if sheet.stop:
        print_text(out, Text.assemble(("STOP  ", "bold reverse red"), (sheet.headline, "bold")))
    entries = [*sheet.stops, *sheet.at_once]
    if not sheet.stop:
        entries += [entry for part in sheet.parts for entry in part.entries]
    for number, entry in enumerate(entries[:MOST_ITEMS]):
        print_text(out, _entry(entry), 11, "" if number else "Plan")
    if len(entries) > MOST_ITEMS:
        print_text(out, Text(f"and {len(entries) - MOST_ITEMS} more", "dim"), 11)


def _entry(entry: Entry) -> Text:
    sides = f" · {entry.sides}" if entry.sides else ""
    return Text.assemble((entry.label + sides, "bold"), f": {entry.brief}")


def _print_answer(out: Console, answer: Answer) -> None:
    print_text(
        out,
        Text.assemble((printable(answer.title), "bold"), f"  [{answer.page}] {printable(answer.heading)}"),
    )
    for line in answer.lines:
        print_text(out, Text(printable(line)), 2)
    for caution in answer.cautions:
        print_text(out, Text.assemble(("! ", "bold yellow"), printable(caution)), 2)
