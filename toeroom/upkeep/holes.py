"""What a new rule or page still leaves open: `…`, or nothing where something must stand."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from toeroom.errors import BookFault
from toeroom.yamltree import Node, read_book_file

HOLE = "…"


def holes_in_rules(folder: Path) -> list[BookFault]:
    """A fault for each hole in the rules and guarantees of a book; retired ones are let be."""
    faults: list[BookFault] = []
    for path in sorted((folder / "rules").glob("*.yaml")):
        top = read_book_file(path).value
        for key in ("rules", "guarantees"):
            listed = top[key].value if isinstance(top, dict) and key in top else None
            for node in listed if isinstance(listed, list) else []:
                faults += _in_rule(node, str(path))
    return faults


def _in_rule(node: Node, file: str) -> Iterator[BookFault]:
    entries = node.value if isinstance(node.value, dict) else {}
    if "status" in entries and entries["status"].value == "retired":
        return
    rule_id = entries["id"].value if "id" in entries else ""
    for key, inner in entries.items():
        if _open(inner) or (key in ("when", "then") and not inner.value):
            what = f"rule '{rule_id}': '{key}' is still to be filled in"
            yield BookFault(what, file=file, line=inner.key_line, mend="see docs/rules.md")


def _open(node: Node) -> bool:
    if isinstance(node.value, dict):
        return any(HOLE in key or _open(inner) for key, inner in node.value.items())
    if isinstance(node.value, list):
        return any(_open(inner) for inner in node.value)
    return node.value is not None and HOLE in node.value


def holes_in_page(text: str) -> list[int]:
    """The lines of a page that are still to be filled in: a field or a paragraph that is `…` and no more."""
    found = []
    for number, line in enumerate(text.split("\n"), 1):
        words = line.removeprefix("> ").replace("**Caution.**", "").strip(" -#[]")
        if words == HOLE or words.endswith((f": {HOLE}", f": [{HOLE}")):
            found.append(number)
    return found
