"""A plan that was kept, as text: only what it says itself, so that no later rule or wording changes it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from toeroom.wording import SECTION_TITLES, printable


def plan_lines(plan: dict[str, Any]) -> Iterator[str]:
    """The kept JSON of a plan, line by line: stops first, then by section, each with its reasons."""
    if plan["stop"]:
        yield "STOP"
    for state in plan["derived"]:
        sure = ", provisional" if state.get("provisional") else ""
        yield f"{_words(state['id'])}: {_words(state['value'])}{_side(state)}{sure}"
    advised = [item for item in plan["items"] if item["standing"] == "advised"]
    held = [item for item in plan["items"] if item["standing"] != "advised"]
    section = ""
    for item in advised:
        if item["section"] != section:
            section = item["section"]
            yield ""
            yield SECTION_TITLES.get(section, section)
        yield from _item(item)
    yield from _part("Held back", [line for item in held for line in _held(item)])
    asked = [f"  {printable(question['question'])}" for question in plan["ask_next"]]
    yield from _part("Ask next", asked)
    yield from _part("Mind", [f"  {printable(caution)}" for caution in plan["cautions"]])
    yield ""
    yield printable(plan["deferral"])


def _part(title: str, lines: list[str]) -> Iterator[str]:
    if lines:
        yield from ("", title, *lines)


def _item(item: dict[str, Any]) -> Iterator[str]:
    figures = ", ".join(f"{_words(name)} {value}" for name, value in item["detail"].items())
    act = f"{item['act']} ({figures})" if figures else item["act"]
    yield f"  - {printable(item['label'])}{_side(item)}: {printable(act)}"
    for reason in item["reasons"]:
        yield f"      why: {printable(reason['title'])} [{printable(reason['rule'])}]"
    for caution in item["cautions"]:
        yield f"      ! {printable(caution)}"


def _held(item: dict[str, Any]) -> Iterator[str]:
    yield f"  - {printable(item['label'])}{_side(item)}"
    for reason in item.get("held_back_by", ()):
        yield f"      held back: {printable(reason['title'])} [{printable(reason['rule'])}]"


def _side(found: dict[str, Any]) -> str:
    return "" if found["side"] == "person" else f", {found['side']}"


def _words(term: object) -> str:
    return printable(str(term)).replace("_", " ")
