"""Whether rules that are drafts or retired are marked so that nobody is misled."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from toeroom.errors import BookFault, nearest
from toeroom.yamltree import Node, read_book_file


def status_faults(folder: Path) -> list[BookFault]:
    """Faults in `status` and `replaced_by` of all rules of a book, the retired ones included."""
    found = list(_rules(folder))
    status = {rule_id: _text(entries.get("status")) or "active" for _, rule_id, _, entries in found}
    faults = []
    for file, rule_id, line, entries in found:
        what, mend = _wrong(rule_id, entries, status)
        if what:
            faults.append(BookFault(f"rule '{rule_id}' {what}", file=file, line=line, mend=mend))
    return faults


def _rules(folder: Path) -> Iterator[tuple[str, str, int, dict[str, Node]]]:
    for path in sorted((folder / "rules").glob("*.yaml")):
        tree = read_book_file(path).value
        rules = tree.get("rules") if isinstance(tree, dict) else None
        if rules is None or not isinstance(rules.value, list):
            continue
        for node in rules.value:
            if isinstance(node.value, dict):
                yield str(path), _text(node.value.get("id")), node.line, node.value


def _text(node: Node | None) -> str:
    return node.value if node is not None and isinstance(node.value, str) else ""


def _wrong(rule_id: str, entries: dict[str, Node], status: dict[str, str]) -> tuple[str, str]:
    """What is wrong with one rule's status, and how to mend it; empty where nothing is."""
    own, successor = status[rule_id], _text(entries.get("replaced_by"))
    if own == "retired" and not successor:
        return "is retired and does not say by what it is replaced", "write 'replaced_by: …'"
    if not successor:
        return "", ""
    if own != "retired":
        return f"is replaced by '{successor}' and still {own}", "write 'status: retired', or take it out"
    if successor == rule_id:
        return "is replaced by itself", "name the rule that took its place"
    if successor not in status:
        return f"is replaced by '{successor}', which does not exist", nearest(
            successor.replace("-", "_"), status
        )
    if status[successor] != "active":
        return f"is replaced by '{successor}', which is {status[successor]}", "name a rule that is active"
    return "", ""
