"""What YAML, or a habit of writing, makes of a line that was meant otherwise.

Found in the text, before it is read as rules. Where the mend is mechanical it is given as an edit of
a few characters, so that comments and layout stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import yaml

from toeroom.errors import BookFault
from toeroom.yamltree import read_text

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
TEXTS = {"title", "caution", "text", "label", "question", "look", "means", "topic", "deferral", "act", "tell"}
LISTS = {"pages", "advise", "advise for the person", "hold back", "ask", "on", "advised", "not advised"}
YES_LIKE = {
    "y": "yes",
    "on": "yes",
    "true": "yes",
    "yes": "yes",
    "n": "no",
    "off": "no",
    "false": "no",
    "no": "no",
}
SYMBOLS = {
    "<": "less than", "<=": "at most", "≤": "at most", "=<": "at most", "under": "less than",
    "below": "less than", "up to": "at most", ">": "more than", ">=": "at least", "≥": "at least",
    "=>": "at least", "over": "more than", "above": "more than", "from": "at least",
}  # fmt: skip
_WORDS = "|".join(sorted((re.escape(word) for word in SYMBOLS), key=len, reverse=True))
_COMPARED = re.compile(rf"({_WORDS}|more than|less than|at most|at least)\s*([-−]?\d+(?:[.,]\d+)?)")
_ODD = {"\u00a0": " ", "\u2007": " ", "\u202f": " ", "\u200b": "", "\u200c": "", "\u200d": "", "\ufeff": ""}
_FOLDED = re.compile(r"^(\s*(?:- )?[a-z_]+:\s+)(>=?)\s*(-?\d+(?:\.\d+)?)\s*$")
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]


@dataclass(frozen=True, slots=True)
class Edit:
    """The characters from `start` up to `end` of a file's text become `text`."""

    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class Trap:
    """A trap, and the edit that mends it where that is mechanical."""

    fault: BookFault
    edit: Edit | None = None


def traps_in(path: Path) -> list[Trap]:
    """The traps in a file of rules or in the vocabulary."""
    text = read_text(path, fault=BookFault)
    found = list(_characters(text, str(path)))
    if found:
        return found
    try:
        root = yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError:
        return []
    return list(_Walk(text, str(path)).node(root, ())) if root is not None else []


def _characters(text: str, file: str) -> Iterator[Trap]:
    """Characters that look like others, and `>` before a number, which YAML takes for a folded text."""
    start = 0
    for number, line in enumerate(text.split("\n"), 1):
        for place, character in enumerate(line):
            if character in _ODD:
                what = f"an unseen character (U+{ord(character):04X}) stands here"
                edit = Edit(start + place, start + place + 1, _ODD[character])
                yield Trap(
                    BookFault(what, file=file, line=number, mend="write a plain space or nothing"), edit
                )
        indent = re.match(r"[ \t]*", line)
        if indent is not None and "\t" in indent[0]:
            what = "a tab indents this line, which YAML does not take"
            edit = Edit(start, start + indent.end(), indent[0].replace("\t", "  "))
            yield Trap(BookFault(what, file=file, line=number, mend="indent with spaces"), edit)
        folded = _FOLDED.match(line.rstrip("\r"))
        if folded is not None:
            words = f"{SYMBOLS[folded[2]]} {folded[3]}"
            what = f"'{folded[2]} {folded[3]}' begins a folded text in YAML, not a comparison"
            edit = Edit(start + folded.start(2), start + folded.end(3), words)
            yield Trap(BookFault(what, file=file, line=number, mend=f"write '{words}'"), edit)
        start += len(line) + 1


class _Walk:
    """Goes through the composed nodes of a file; `path` is the keys that lead to a node."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file

    def node(self, node: yaml.Node, path: tuple[str, ...]) -> Iterator[Trap]:
        if isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                yield from self.node(value, (*path, str(key.value)))
        elif isinstance(node, yaml.SequenceNode):
            yield from self.listed(node, path)
        elif isinstance(node, yaml.ScalarNode):
            yield from self.scalar(node, path)

    def trap(self, node: yaml.Node, what: str, mend: str, new: str | None = None) -> Trap:
        fault = BookFault(what, file=self.file, line=node.start_mark.line + 1, mend=mend)
        start, end = node.start_mark.index, node.end_mark.index
        return Trap(fault, None if new is None else Edit(start, end, new))

    # --- lists --------------------------------------------------------------------------------------
    def listed(self, node: yaml.SequenceNode, path: tuple[str, ...]) -> Iterator[Trap]:
        key = path[-1] if path else ""
        if key == "source":
            split = self.split(node)
            if split is not None:
                yield split
                return
        twice = self.twice(node)
        if twice is not None:
            yield twice
            return
        for inner in node.value:
            yield from self.node(inner, path)

    def split(self, node: yaml.SequenceNode) -> Trap | None:
        """A source that was cut in two at its comma: the place in it follows as an entry of its own."""
        for one, place in zip(node.value, node.value[1:], strict=False):
            both = isinstance(one, yaml.ScalarNode) and isinstance(place, yaml.ScalarNode)
            if not both or one.style or place.style or not node.flow_style:
                continue
            if re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", one.value) and re.search(r"[ A-Z.]|^\d", place.value):
                whole = f'"{one.value}, {place.value}"'
                fault = self.trap(
                    one, f"the comma cuts '{one.value}, {place.value}' in two", f"write {whole}"
                ).fault
                return Trap(fault, Edit(one.start_mark.index, place.end_mark.index, whole))
        return None

    def twice(self, node: yaml.SequenceNode) -> Trap | None:
        """An entry that stands in the list already."""
        seen: set[str] = set()
        before: yaml.Node | None = None
        for inner in node.value:
            if isinstance(inner, yaml.ScalarNode):
                if inner.value in seen and before is not None:
                    trap = self.trap(inner, f"'{inner.value}' stands twice in this list", "leave one out")
                    start = before.end_mark.index
                    if not node.flow_style:
                        start = self.text.rindex("\n", 0, inner.start_mark.index)
                    return Trap(trap.fault, Edit(start, inner.end_mark.index, ""))
                seen.add(inner.value)
            before = inner
        return None

    # --- single values -------------------------------------------------------------------------------
    def scalar(self, node: yaml.ScalarNode, path: tuple[str, ...]) -> Iterator[Trap]:
        key = path[-1] if path else ""
        value = node.value
        if key in TEXTS and not node.style and self.rest(node).startswith("#"):
            what = f"what stands after '#' is not read: the text ends at '{value[-30:]}'"
            yield self.trap(node, what, "put the whole text in double quotes", self.quoted(node))
        elif value[:1] in "“”‘’" and value:
            plain = value.strip("“”‘’").replace('"', "'")
            yield self.trap(node, "curly quotes do not quote in YAML", f'write "{plain[:40]}"', f'"{plain}"')
        elif {"when", "then", "without_feet"} & set(path) and not set(path) & (TEXTS | {"examples"}):
            yield from self.of_rule(node, key)
        elif key in LISTS and "," in value and not node.style:
            yield self.unbracketed(node)
        elif key in ("reviewed", "review_by"):
            yield from self.day(node)

    def rest(self, node: yaml.ScalarNode) -> str:
        """What follows on the line."""
        end = node.end_mark.index
        return self.text[end : self.text.find("\n", end)].strip()

    def quoted(self, node: yaml.ScalarNode) -> str | None:
        end = self.text.find("\n", node.start_mark.index)
        whole = self.text[node.start_mark.index : end].rstrip()
        # In a flow mapping brackets may follow: where the text ends is for a person to say.
        if "}" in whole or "]" in whole or node.end_mark.line != node.start_mark.line:
            return None
        escaped = whole.replace("\\", "\\\\").replace('"', '\\"')
        # The edit reaches to the end of the scalar only; the rest of the line is appended by `mended`.
        return f'"{escaped}"\x00'

    def of_rule(self, node: yaml.ScalarNode, key: str) -> Iterator[Trap]:
        value = node.value.strip()
        plain = YES_LIKE.get(value.lower())
        if plain is not None and value != plain:
            yield self.trap(node, f"'{value}' is not how yes or no is written here", f"write {plain}", plain)
            return
        if value.lower() == "unknown" != value:
            yield self.trap(node, f"'{value}' is not how unknown is written here", "write unknown", "unknown")
            return
        compared = _COMPARED.fullmatch(value)
        if compared is not None:
            number = compared[2].replace(",", ".").replace("−", "-")
            words = f"{SYMBOLS.get(compared[1], compared[1])} {number}"
            if words != " ".join(value.split()):
                yield self.trap(
                    node, f"'{value}' is not how a limit is written here", f"write '{words}'", words
                )
            return
        if (key in LISTS or key in ("when", "any of", "all of")) and "," in value and not node.style:
            yield self.unbracketed(node)

    def unbracketed(self, node: yaml.ScalarNode) -> Trap:
        new = f"[{node.value}]"
        return self.trap(node, f"'{node.value}' is one text here, not a list", f"write {new}", new)

    def day(self, node: yaml.ScalarNode) -> Iterator[Trap]:
        new = day_meant(node.value)
        if new is not None and new != node.value:
            yield self.trap(node, f"'{node.value}' is not how a day is written here", f"write {new}", new)


def day_meant(text: str) -> str | None:
    """The ISO day that a text plainly means, or None: a slash after the day could mean either order."""
    parts = re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})", text)
    if parts:
        return f"{parts[1]}-{int(parts[2]):02}-{int(parts[3]):02}"
    parts = re.fullmatch(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})", text)
    if parts:
        return f"{parts[3]}-{int(parts[2]):02}-{int(parts[1]):02}"
    parts = re.fullmatch(r"(\d{1,2})\.? ([A-Za-z]{3})[a-z]* (\d{4})", text)
    if parts and parts[2].lower() in _MONTHS:
        return f"{parts[3]}-{_MONTHS.index(parts[2].lower()) + 1:02}-{int(parts[1]):02}"
    return None
