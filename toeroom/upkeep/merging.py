"""A newer shipped book brought into a clinic's own: nothing the clinic wrote is overwritten."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BadInput, BookFault
from toeroom.upkeep.cutting import Piece, cut, joined
from toeroom.upkeep.merging_files import merge_file, merged_pieces
from toeroom.upkeep.merging_rules import (
    RULES,
    MergedRule,
    is_rule_file,
    lost,
    merge_rules,
    pieces_of,
    rules_in,
)
from toeroom.upkeep.three_ways import OURS, Conflict, Settling, Three, woven
from toeroom.yamltree import parse

PARTS = ("kb", "rules", "cases_demo")
"""The folders that make up a book."""
Files = dict[str, bytes]
"""The files of a book by their path in it, with forward slashes."""


@dataclass(frozen=True, slots=True)
class Merged:
    """The merged book, and what stands in its way.

    both: rules and files that hold changes of both sides, to be read before they are used.
    unused: names given to be settled that nobody needed to settle.
    """

    files: Files
    conflicts: tuple[Conflict, ...]
    both: tuple[str, ...]
    unused: tuple[str, ...]


def files_of(folder: Path) -> Files:
    """The files of the book in `folder`; hidden ones are none of it."""
    found: Files = {}
    for part in PARTS:
        for path in sorted((folder / part).rglob("*")):
            inside = path.relative_to(folder)
            if path.is_file() and not any(name.startswith((".", "__")) for name in inside.parts):
                found[inside.as_posix()] = path.read_bytes()
    return found


def merge_books(base: Files, ours: Files, theirs: Files, take: Mapping[str, str] | None = None) -> Merged:
    """The clinic's book `ours` with what `theirs` changed since `base`.

    `take` settles conflicts: their name, or `all`, and `ours` or `theirs`. A conflict that is not
    settled is listed, and the clinic's text stands meanwhile. `BookFault` where a file of rules cannot
    be read.
    """
    settling = Settling(take or {})
    found: Files = {}
    both: list[str] = []
    for file in sorted(base.keys() | ours.keys() | theirs.keys()):
        if not is_rule_file(file):
            three = Three(base.get(file), ours.get(file), theirs.get(file))
            merged = _bytes(file, three, settling)
            if merged is not None:
                found[file] = merged
                if merged not in (three.ours, three.theirs):
                    both.append(file)
    found |= _rules(base, ours, theirs, settling, both)
    unused = tuple(name for name in settling.take if name not in settling.used)
    return Merged(found, tuple(settling.conflicts), tuple(both), unused)


def _bytes(file: str, three: Three[bytes], settling: Settling) -> bytes | None:
    plain, settled = three.settled()
    if plain:
        return settled
    texts = Three(*(None if raw is None else _text(raw) for raw in (three.base, three.ours, three.theirs)))
    merged = merge_file(file, texts, settling)
    return None if merged is None else merged.encode(errors="surrogateescape")


def _text(raw: bytes) -> str:
    return raw.decode("utf-8-sig", errors="surrogateescape").replace("\r\n", "\n")


# --- rules ----------------------------------------------------------------------------------------
def _rules(base: Files, ours: Files, theirs: Files, settling: Settling, both: list[str]) -> Files:
    texts = [{f: _text(raw) for f, raw in files.items() if is_rule_file(f)} for files in (base, ours, theirs)]
    was, mine, newer = (rules_in(files) for files in texts)
    merged = merge_rules(was, mine, newer, settling)
    both += [f"rule {rule_id}" for rule_id, rule in merged.items() if rule.both]
    found: Files = {}
    for file in sorted(set().union(*texts)):
        three = Three(*(files.get(file) for files in texts))
        text = _rule_file(file, three, merged, settling)
        if text is not None:
            # Where the outcome is what one side has, that side's bytes are kept.
            same = next((f[file] for f in (ours, theirs) if file in f and _text(f[file]) == text), None)
            found[file] = text.encode() if same is None else same
    written = rules_in({file: _text(raw) for file, raw in found.items()})
    wrong = lost(merged, written)
    if wrong:
        what = f"the rules {', '.join(wrong[:3])} could not be merged as they should"
        raise BadInput(what, mend="nothing was changed; send both books to who maintains toeroom")
    return found


def _rule_file(
    file: str, three: Three[str], merged: Mapping[str, MergedRule], settling: Settling
) -> str | None:
    here = {rule_id: rule for rule_id, rule in merged.items() if rule.file == file}
    cuts = Three(*(None if t is None else cut(t, file) for t in (three.base, three.ours, three.theirs)))
    if not here and (three.ours is None or three.theirs is None):
        return None

    def chosen(key: str, entry: Three[str]) -> str | None:
        name = f"{file.rpartition('/')[2]}/{key}"
        conflict = Conflict(
            "entry", name, file, entry.why(), entry.base or "", entry.ours or "", entry.theirs or ""
        )
        return entry.ours if settling.choose(conflict) == OURS else entry.theirs

    # A file that one side took out, and that rules still stand in, keeps the head of the other side.
    known = [pieces for pieces in (cuts.ours, cuts.theirs) if pieces is not None]
    heads = cuts if len(known) == 2 else Three(known[0], known[0], known[0])
    head = merged_pieces(heads, chosen, skip=RULES)
    ours, theirs = (_ids(pieces) for pieces in (cuts.ours, cuts.theirs))
    order = woven(ours, [*theirs, *(rule_id for rule_id in here if rule_id not in theirs)], here.__contains__)
    defaults = _defaults(joined(head), file)
    rules = pieces_of(((rule_id, here[rule_id]) for rule_id in order), defaults)
    return joined([*head, *_apart(rules, ours)])


def _ids(pieces: list[Piece] | None) -> list[str]:
    return [piece.id for piece in pieces or [] if piece.key.startswith(RULES)]


def _apart(rules: list[Piece], ours: list[str]) -> list[Piece]:
    """An empty line before every rule that came in beside the clinic's, or that one of them now follows."""
    found = rules[:1]
    for piece in rules[1:]:
        came = piece.id not in ours or found[-1].id not in ours
        apart = not came or piece.text.startswith("\n") or found[-1].text.endswith("\n\n")
        found.append(piece if apart else Piece(piece.key, "\n" + piece.text))
    return found


def _defaults(head: str, file: str) -> dict[str, object]:
    top = parse(head, file, fault=BookFault).value
    node = top.get("defaults") if isinstance(top, dict) else None
    plain = node.plain() if node is not None else None
    return plain if isinstance(plain, dict) else {}
