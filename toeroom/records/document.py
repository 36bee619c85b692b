"""A case file as its fields: what two versions differ in, and writing one from fields.

Works on any keys, known or not: what a later toeroom adds to a case file is kept and compared too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import yaml

from toeroom.case import VALUES
from toeroom.errors import BadInput, one_line
from toeroom.vocabulary import PERSON, SIDES
from toeroom.yamltree import Node, parse

Fields = dict[str, str]
"""A field's path, as `left.bunion` or `measures.left.foot_length_mm`, to the text that stands there."""

LONGEST_SHOWN = 60


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field that two documents differ in. None: it is not stated."""

    field: str
    before: str | None
    after: str | None

    def as_json(self) -> dict[str, str | None]:
        return {"field": self.field, "from": self.before, "to": self.after}

    def __str__(self) -> str:
        return f"{self.field}: {shown(self.before)} → {shown(self.after)}"


def shown(value: str | None) -> str:
    """A field's value on one line, cut where it is long."""
    if value is None:
        return "not stated"
    text = one_line(value)
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 1]}…"


def fields_of(text: str, name: str = "case") -> Fields:
    """The fields of a case file. Raises `BadInput` for what is not strict YAML."""
    found: Fields = {}
    _gather(parse(text, name), (), found)
    return found


def _gather(node: Node, path: tuple[str, ...], found: Fields) -> None:
    if isinstance(node.value, dict):
        for key, inner in node.value.items():
            _gather(inner, (*path, key), found)
    elif isinstance(node.value, list):
        found[".".join(path)] = _flow(node.plain())
    elif node.value is not None:
        is_finding = len(path) == 2 and path[0] in (PERSON, *SIDES)
        # true and yes say the same, so they are no change.
        found[".".join(path)] = VALUES.get(node.value.lower(), node.value) if is_finding else node.value


def changes_between(before: Mapping[str, str], after: Mapping[str, str]) -> tuple[FieldChange, ...]:
    """What changed, in the order of the fields in `after`; fields taken out come last."""
    paths = [*after, *(path for path in before if path not in after)]
    return tuple(
        FieldChange(path, before.get(path), after.get(path))
        for path in paths
        if before.get(path) != after.get(path)
    )


def changed_text(text: str, changes: tuple[FieldChange, ...]) -> str:
    """The case file `text` with `changes` made, as a file that reads back to just that."""
    tree = parse(text, "case").plain()
    assert isinstance(tree, dict)
    wanted = fields_of(text)
    for change in changes:
        _set(tree, change.field.split("."), change.after)
        wanted.pop(change.field, None)
        if change.after is not None:
            wanted[change.field] = change.after
    written = text_of(tree)
    if fields_of(written) != wanted:
        raise BadInput("the two versions cannot be written as one", mend="put them together by hand")
    return written


def text_of(tree: Mapping[str, Any]) -> str:
    """A tree of texts as a case file."""
    return yaml.dump(dict(tree), Dumper=_Plain, sort_keys=False, allow_unicode=True, width=100)


def tree_of(fields: Mapping[str, str]) -> dict[str, Any]:
    """The tree that `fields` make: what `fields_of` reads back to them."""
    tree: dict[str, Any] = {}
    for path, value in fields.items():
        _set(tree, path.split("."), value)
    return tree


def _set(tree: dict[str, Any], path: list[str], value: str | None) -> None:
    *above, last = path
    for key in above:
        inner = tree.get(key)
        if not isinstance(inner, dict):
            inner = tree[key] = {}
        tree = inner
    if value is None:
        tree.pop(last, None)
    else:
        tree[last] = _list_of(value) if len(path) > 1 and value.startswith("[") else value


def _list_of(text: str) -> Any:
    """The list that `_gather` wrote as `text`; any other text is itself."""
    try:
        found = yaml.load(text, Loader=yaml.BaseLoader)
    except yaml.YAMLError:
        return text
    return found if isinstance(found, list) and _flow(found) == text else text


def _flow(found: Any) -> str:
    return yaml.dump(found, Dumper=_Plain, default_flow_style=True, width=10**6)


class _Plain(yaml.SafeDumper):
    """Writes yes, 262 and 2026-11-25 without quotes: the strict reader takes every scalar as text."""

    yaml_implicit_resolvers = {
        first: [(tag, pattern) for tag, pattern in resolvers if tag == "tag:yaml.org,2002:null"]
        for first, resolvers in yaml.SafeDumper.yaml_implicit_resolvers.items()
    }
