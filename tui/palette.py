"""What can be done where one is, found by typing part of its name: only what fits at this moment."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, cast

from textual.binding import Binding
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.content import Content
from textual.fuzzy import FuzzySearch

from toeroom.case import Case
from toeroom.wording import printable

if TYPE_CHECKING:
    from tui.app import ToeroomApp

KEY = "ctrl+k"
LEAD = 6
"""Columns before the names."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing to do: what stands before its name, a key or `page`, and what does it.

    `found_by` is what may be typed before the name.
    """

    lead: str
    name: str
    do: Callable[[], object]
    found_by: str = ""

    @property
    def line(self) -> Content:
        """Both in columns."""
        return Content.assemble((f"{self.lead:>{LEAD}}", "$accent"), "  ", self.name)


class FitsHere(Provider):
    """Offers what has a key where one is; and, once something is typed, the demo cases and the pages."""

    async def discover(self) -> Hits:
        for offer in self._keys():
            yield DiscoveryHit(offer.line, offer.do)

    async def search(self, query: str) -> Hits:
        fuzzy = FuzzySearch()
        # The handbook is opened when first wanted, and not by the thread that draws.
        for offer in (*self._keys(), *await asyncio.to_thread(self._to_read)):
            score, places = fuzzy.match(query, f"{offer.found_by}{offer.name}")
            if score > 0:
                shown, begins = offer.line, LEAD + 2 - len(offer.found_by)
                for place in places:
                    if place >= len(offer.found_by):
                        shown = shown.stylize("bold underline", begins + place, begins + place + 1)
                yield Hit(score, shown, offer.do)

    def _to_read(self) -> list[Offer]:
        """The demo cases and the pages."""
        app = cast("ToeroomApp", self.app)
        cases, pages = app.library.cases, app.library.handbook.pages.values()
        return [
            *(_demo_case(app, name, case) for name, case in cases),
            *(Offer("page", printable(p.title), partial(app.open_page, p.id), "page: ") for p in pages),
        ]

    def _keys(self) -> Iterator[Offer]:
        """What has a key here and a name, each once."""
        seen: set[tuple[int, str]] = set()
        for active in self.screen.active_bindings.values():
            binding = active.binding
            known = id(active.node), binding.action
            if active.enabled and _is_ours(active.node, binding) and known not in seen:
                seen.add(known)
                run = partial(self.app.run_action, binding.action, active.node)
                yield Offer(self.app.get_key_display(binding), binding.description, run)


def _is_ours(node: object, binding: Binding) -> bool:
    """Whether a key is one of toeroom's with a name; the library's own, to scroll and such, go without."""
    ours = (kind for kind in type(node).__mro__ if kind.__module__.startswith("tui."))
    return (
        bool(binding.description)
        and binding.action != "command_palette"
        and any(
            binding.action == made.action
            for kind in ours
            for made in Binding.make_bindings(vars(kind).get("BINDINGS", []))
        )
    )


def _demo_case(app: ToeroomApp, name: str, case: Case) -> Offer:
    return Offer("case", printable(case.title), partial(app.open_demo, name), "demo case: ")
