"""Files of three books merged: YAML by its entries, pages by front matter and lines, other texts by lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import PurePosixPath

from toeroom.errors import BookFault
from toeroom.upkeep.cutting import Piece, cut, joined
from toeroom.upkeep.three_ways import OURS, Conflict, Settling, Three, merged_lines, woven

REVIEW = ("author", "reviewed", "reviewed_by", "review_by")


def merge_file(file: str, three: Three[str], settling: Settling) -> str | None:
    """The merged text of a file that holds no rules; None where there is to be none."""
    plain, settled = three.settled()
    if plain:
        return settled
    path = PurePosixPath(file)
    if path.suffix == ".md":
        return _page(file, three, settling)
    if path.suffix == ".yaml" and not file.startswith("cases_demo/"):
        merged = _entries(file, three, settling)
        if merged is not None:
            return merged
    return _lines(file, three, settling)


def _lines(file: str, three: Three[str], settling: Settling) -> str | None:
    merged = merged_lines(three)
    return merged if merged is not None else _choose("file", file, file, three, settling)


def _choose(
    kind: str, name: str, file: str, three: Three[str], settling: Settling, why: str = ""
) -> str | None:
    conflict = Conflict(
        kind, name, file, why or three.why(), three.base or "", three.ours or "", three.theirs or ""
    )
    return three.ours if settling.choose(conflict) == OURS else three.theirs


# --- YAML by its entries --------------------------------------------------------------------------
def _entries(file: str, three: Three[str], settling: Settling) -> str | None:
    """None where there are not three texts that can be cut."""
    there = three.all_there()
    if there is None:
        return None
    by_lines = file.startswith("kb/")

    def both(key: str, entry: Three[str]) -> str | None:
        merged = merged_lines(entry) if by_lines else None
        if merged is not None:
            return merged
        kind = "guarantee" if key.startswith("guarantees/") else "entry"
        name = key.removeprefix("guarantees/") if kind == "guarantee" else f"{PurePosixPath(file).name}/{key}"
        return _choose(kind, name, file, entry, settling)

    try:
        pieces = merged_pieces(Three(*(cut(text, file) for text in there)), both)
    except BookFault:
        return None
    return joined(pieces)


def merged_pieces(
    three: Three[list[Piece]], both: Callable[[str, Three[str]], str | None], skip: str = "\0"
) -> list[Piece]:
    """Pieces merged by key; `both` decides of one that changed on both sides. Keys that begin with `skip` are
    left out.
    """
    of_base, of_ours, of_theirs = (
        {piece.key: piece.text for piece in pieces or [] if not piece.key.startswith(skip)}
        for pieces in (three.base, three.ours, three.theirs)
    )
    texts: dict[str, str] = {}
    for key in dict.fromkeys([*of_ours, *of_theirs]):
        entry = Three(of_base.get(key), of_ours.get(key), of_theirs.get(key))
        plain, settled = entry.settled()
        text = settled if plain else both(key, entry)
        if text is not None:
            texts[key] = text
    order = woven(list(of_ours), list(of_theirs), texts.__contains__)
    return [Piece(key, texts[key]) for key in order]


# --- pages ----------------------------------------------------------------------------------------
def _page(file: str, three: Three[str], settling: Settling) -> str | None:
    there = three.all_there()
    merged, why = _page_parts(*there) if there is not None else (None, "")
    if merged is not None:
        return merged
    return _choose("page", PurePosixPath(file).stem, file, three, settling, why)


@dataclass(frozen=True)
class _Page:
    """A page as it is written: the fields of its front matter, each with its lines, and the text below."""

    front: Mapping[str, str]
    body: str

    def changed(self, base: _Page, *, reviews: bool) -> bool:
        """Whether who reviewed it and when, or else anything other, is not what it was."""
        if not reviews and self.body != base.body:
            return True
        keys = self.front.keys() | base.front.keys()
        return any(self.front.get(k) != base.front.get(k) for k in keys if (k in REVIEW) == reviews)


def _page_parts(*texts: str) -> tuple[str | None, str]:
    """The page merged from what it was, ours and theirs; or None and why not."""
    pages = [_split(text) for text in texts]
    base, ours, theirs = pages
    if base is None or ours is None or theirs is None:
        return merged_lines(Three(*texts)), ""
    bodies = Three(base.body, ours.body, theirs.body)
    plain, body = bodies.settled()
    body = body if plain else merged_lines(bodies)
    if body is None:
        return None, "the same lines changed on both sides"
    touched, reviewed = (ours.changed(base, reviews=reviews) for reviews in (False, True))
    if reviewed and not touched and theirs.body != base.body:
        return None, "reviewed by you as it was; its text changed in the newer book"
    front: list[str] = []
    for key in woven(list(ours.front), list(theirs.front), lambda _: True):
        field = Three(base.front.get(key), ours.front.get(key), theirs.front.get(key))
        plain, line = field.settled()
        if key in REVIEW and (touched or reviewed):
            # Who reviewed a page, and when, stays with the text that was reviewed.
            line = field.ours
        elif not plain:
            return None, f"'{key}' changed on both sides"
        front.append(line or "")
    return f"---\n{''.join(front)}---\n{body}", ""


def _split(text: str) -> _Page | None:
    if not text.startswith("---\n") or "\n---\n" not in text:
        return None
    front, _, body = text.removeprefix("---\n").partition("\n---\n")
    try:
        return _Page({piece.key: piece.text for piece in _whole(cut(front, ""))}, body)
    except BookFault:
        return None


def _whole(pieces: list[Piece]) -> list[Piece]:
    """Pieces of the first level: what was cut below it is put together again."""
    texts: dict[str, str] = {}
    for piece in pieces:
        key = piece.key.partition("/")[0]
        texts[key] = texts.get(key, "") + piece.text
    return [Piece(key, text) for key, text in texts.items()]
