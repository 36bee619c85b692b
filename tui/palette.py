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
from textual.markup import escape

from toeroom.case import Case
from toeroom.wording import printable

if TYPE_CHECKING:
    from tui.app import ToeroomApp

KEY = "ctrl+k"


@dataclass(frozen=True, slots=True)
class Offer:
    """One thing to do: its name, what is said beside it, and what does it."""

    name: str
    beside: str
    do: Callable[[], object]


class FitsHere(Provider):
    """Offers what has a key where one is; and, once something is typed, the demo cases and the pages."""

    async def discover(self) -> Hits:
        for offer in self._keys():
            yield DiscoveryHit(Content(offer.name), offer.do, help=escape(offer.beside))

    async def search(self, query: str) -> Hits:
        fuzzy = FuzzySearch()
        # The handbook is opened when first wanted, and not by the thread that draws.
        for offer in (*self._keys(), *await asyncio.to_thread(self._to_read)):
            score, places = fuzzy.match(query, offer.name)
            if score > 0:
                shown = Content(offer.name)
                for place in places:
                    shown = shown.stylize("bold underline", place, place + 1)
                yield Hit(score, shown, offer.do, help=escape(offer.beside))

    def _to_read(self) -> list[Offer]:
        """The demo cases and the pages."""
        app = cast("ToeroomApp", self.app)
        cases, pages = app.library.cases, app.library.handbook.pages.values()
        return [
            *(_demo_case(app, name, case) for name, case in cases),
            *(Offer(f"Page: {printable(p.title)}", p.id, partial(app.open_page, p.id)) for p in pages),
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
                yield Offer(binding.description, self.app.get_key_display(binding), run)


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
    return Offer(f"Demo case: {printable(case.title)}", printable(case.teaches), partial(app.open_demo, name))
