"""A plan as the cards of an HL7 CDS Hooks 2.0 service response (cds-hooks.hl7.org/2.0, Card Attributes).

A card tells; it never acts: there are no suggestions and no system actions. Stops carry no override reasons,
since a stop is lifted by a clinician's finding on the case and not by a tick. There are no links, since the
handbook has no address on the web; pages are named in the detail.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from uuid import UUID, uuid5

from toeroom.errors import one_line
from toeroom.exchange.codes import OWN
from toeroom.handbook.sources import Source
from toeroom.plan import Plan
from toeroom.sheet import Asked, Entry, Part, Sheet, make_sheet
from toeroom.vocabulary import Vocabulary
from toeroom.wording import SECTION_TITLES

LONGEST_SUMMARY = 139
"""The specification asks for less than 140 characters."""
_UUIDS = UUID("1f2d4c1e-7a55-5c0e-8f0b-6f6f3f0c9d21")
Card = dict[str, Any]


def cards_response(
    plan: Plan, vocabulary: Vocabulary, sources: Mapping[str, Source]
) -> dict[str, list[Card]]:
    """The response: stops first as `critical`, other referrals and what is held back as `warning`.

    sources: of the book by key, for citing them by name.

    The same plan gives the same cards with the same uuids. Where a clinician comes before everything else,
    the rest of the plan is one card that says so.
    """
    return {"cards": list(_Cards(plan, make_sheet(plan, vocabulary), sources).all())}


class _Cards:
    def __init__(self, plan: Plan, sheet: Sheet, sources: Mapping[str, Source]) -> None:
        self.plan, self.sheet, self.sources = plan, sheet, sources

    def all(self) -> Iterator[Card]:
        sheet = self.sheet
        for entry in sheet.stops:
            indicator = "critical" if sheet.stop and entry.tell else "warning"
            yield self._entry_card(indicator, "stop", entry)
        for entry in sheet.at_once:
            yield self._entry_card("warning", "at-once", entry)
        if sheet.urgent:
            yield self._waiting()
        else:
            for part in sheet.parts:
                yield self._part_card(part)
            if sheet.held:
                yield self._held_card(sheet.held)
            if sheet.asked:
                yield self._asked_card(sheet.asked)
        if sheet.cautions:
            lines = [f"- {_markdown(caution)}" for caution in sheet.cautions]
            yield self._card("warning", "mind", "Mind", f"Mind: {sheet.cautions[0]}", lines)

    def _entry_card(self, indicator: str, topic: str, entry: Entry) -> Card:
        title = SECTION_TITLES["stop"] if topic == "stop" else "At once"
        stop = "STOP. " if indicator == "critical" else ""
        summary = f"{stop}{entry.label}{_sides(entry)}: {entry.brief}"
        key = " ".join(f"{line.id}@{line.side}" for line in entry.lines)
        return self._card(indicator, topic, title, summary, list(self._entry_lines(entry)), key)

    def _part_card(self, part: Part) -> Card:
        entries = (*part.entries, *part.folded)
        summary = f"{part.title}: {_labels(entries)}"
        lines = [line for entry in entries for line in self._entry_lines(entry)]
        return self._card("info", part.section, part.title, summary, lines)

    def _held_card(self, held: Iterable[Entry]) -> Card:
        held = tuple(held)
        lines = [f"- **{_markdown(e.label + _sides(e))}**: {_markdown(e.held_because)}" for e in held]
        return self._card("warning", "held-back", "Held back", f"Held back: {_labels(held)}", lines)

    def _asked_card(self, asked: Iterable[Asked]) -> Card:
        asked = tuple(asked)
        lines = [f"- {_markdown(a.text)}{f' ({_markdown(a.why)})' if a.why else ''}" for a in asked]
        summary = f"Not known yet, and it may change the plan: {len(asked)} questions"
        return self._card("info", "ask-next", "Ask next", summary, lines)

    def _waiting(self) -> Card:
        planned = sum(len(part.entries) + len(part.folded) for part in self.sheet.parts)
        summary = (
            f"All else waits for the clinician: {planned} things planned, {len(self.sheet.held)} held back"
        )
        lines = ["The rest of the plan is shown once the referral is settled."]
        return self._card("info", "waits", "Waits", summary, lines)

    def _entry_lines(self, entry: Entry) -> Iterator[str]:
        by = "" if entry.by == "you" else f", by {entry.by}"
        yield f"- **{_markdown(entry.label + _sides(entry))}**{by}: {_markdown(entry.act)}"
        for caution in (*entry.cautions, *entry.more_cautions):
            yield f"  - **caution**: {_markdown(caution)}"
        cited = dict.fromkeys(self._cited(source) for line in entry.lines for source in line.sources)
        said = {
            "because": entry.because,
            "say": entry.tell,
            "write": entry.write,
            "handbook": ", ".join(entry.pages),
            "sources": "; ".join(cited),
        }
        for name, text in said.items():
            if text:
                yield f"  - {name}: {_markdown(text)}"

    def _cited(self, text: str) -> str:
        """A source as a plan names it, `key, place`, with its title for the key."""
        key, comma, place = text.partition(", ")
        source = self.sources.get(key)
        return f"{source.title} ({source.year}){comma}{place}" if source is not None else text

    def _card(
        self, indicator: str, topic: str, title: str, summary: str, lines: list[str], key: str = ""
    ) -> Card:
        plan = self.plan
        name = "|".join((plan.book_version, plan.case, plan.as_of.isoformat(), topic, key))
        return {
            "uuid": str(uuid5(_UUIDS, name)),
            "summary": _clipped(summary),
            "detail": "\n".join([*lines, "", f"*{_markdown(plan.deferral)}*"]),
            "indicator": indicator,
            "source": {
                "label": f"toeroom, {plan.book_rules} rules, version {plan.book_version}",
                "topic": {"system": OWN, "code": topic, "display": title},
            },
        }


def _sides(entry: Entry) -> str:
    return f" ({entry.sides})" if entry.sides else ""


def _labels(entries: Iterable[Entry]) -> str:
    return ", ".join(f"{entry.label}{_sides(entry)}" for entry in entries)


def _clipped(text: str) -> str:
    """One line of less than 140 characters, cut between words."""
    text = one_line(text)
    if len(text) <= LONGEST_SUMMARY:
        return text
    return text[: LONGEST_SUMMARY - 1].rpartition(" ")[0].rstrip(",;: ") + "…"


def _markdown(text: str) -> str:
    """Text of the book as literal text of GitHub Flavored Markdown, on one line."""
    return re.sub(r"([\\`*_\[\]<>#|~])", r"\\\1", " ".join(text.split()))
