"""What is shown of a rule, guarantee or page of the book, line by line."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from rich.text import Text

from toeroom.book import Book, open_book
from toeroom.errors import BadInput
from toeroom.handbook.pages import page_from
from toeroom.handbook.render import plain_text
from toeroom.rules.explaining import Explainer
from toeroom.upkeep.drafting import Draft, Entry
from toeroom.upkeep.examples import example_case
from toeroom.upkeep.rule_lines import about_in_words, then_in_words, when_in_words
from toeroom.upkeep.trial import on_trial
from toeroom.vocabulary import PERSON


def entry_lines(entry: Entry, draft: Draft, book: Book) -> list[Text]:
    """An entry to be read: in words where it is saved and in use, then as it is written."""
    state = "edited, not saved" if draft.edited(entry) else entry.status if entry.status != "active" else ""
    lines = [Text(entry.title or entry.id, "title"), Text(_facts(entry, state), "quiet"), Text("")]
    text = draft.text_of(entry)
    if entry.kind == "page":
        return [*lines, *_page(text, entry)]
    rule = book.planner.by_id.get(entry.id) if entry.kind == "rule" and not draft.edited(entry) else None
    if rule is not None:
        by = rule.reviewed_by or rule.author
        lines += [
            Text(about_in_words(rule), "quiet"),
            Text("When", "head"),
            Text(f"  {when_in_words(rule.when, book.vocabulary)}"),
            Text("Then", "head"),
            *(Text(f"  {line}") for line in then_in_words(rule.then, book.vocabulary)),
            Text("Source", "head"),
            *(Text(f"  {source}") for source in rule.sources),
            Text("Reviewed", "head"),
            Text(f"  {rule.reviewed} by {by}, again by {rule.review_by}"),
            Text(""),
        ]
    return [*lines, Text("As it is written", "head"), *map(Text, text.strip("\n").split("\n"))]


def _facts(entry: Entry, state: str) -> str:
    return " · ".join(part for part in (entry.kind, entry.id, entry.place, state) if part)


def _page(text: str, entry: Entry) -> list[Text]:
    try:
        shown = plain_text(page_from(text, Path("kb") / entry.place / f"{entry.id}.md"))
    except BadInput as fault:
        return [Text(str(fault), "fault"), Text(""), *map(Text, text.split("\n"))]
    return list(map(Text, shown.split("\n")))


def example_lines(entry: Entry, draft: Draft) -> list[Text]:
    """What the examples of a rule show of it, as it is now written; not a plan of them."""
    faults = draft.faults_of(entry, draft.text_of(entry))
    lines = [Text(f"The examples of {entry.id}", "title")]
    if entry.kind != "rule":
        lines = [Text(f"What is wrong with {entry.id}", "title")]
    lines += [Text(fault, "fault") for fault in faults] or [Text("nothing is wrong with it by itself")]
    if entry.kind == "rule" and not draft.broken:
        rules = {file: raw for file, raw in draft.files.items() if file.startswith("rules/")}
        # What keeps the examples from being run stands among the faults already.
        with contextlib.suppress(BadInput), on_trial(rules) as folder:
            lines += list(_examples(entry, open_book(folder)))
    return lines


def _examples(entry: Entry, book: Book) -> Iterator[Text]:
    rule = book.planner.by_id.get(entry.id)
    if rule is None:
        yield Text("a draft does nothing yet: take out 'status: draft' to run its examples", "quiet")
        return
    side = PERSON if rule.about == PERSON else "left"
    for kind in ("fires", "silent"):
        case = example_case(rule, kind, book.vocabulary)
        outcome = book.planner.run(case)
        speaks = (rule.id, side) in outcome.read | outcome.fired
        yield Text("")
        where = "of the person" if side == PERSON else "on the left foot"
        yield Text(f"{kind}: it {'speaks' if speaks else 'stays silent'} {where}", "head")
        yield Text(f"  {rule.fires if kind == 'fires' else rule.silent}".replace("'", ""), "quiet")
        if speaks:
            yield from (Text(f"  {line}") for line in then_in_words(rule.then, book.vocabulary))
        else:
            explainer: Explainer = book.planner.explainer(case, outcome)
            for failed in explainer.failed(rule, side):
                label = book.vocabulary.by_id[failed.id].label
                yield Text(f"  {label}: wanted {failed.wanted}, is {failed.known}")
