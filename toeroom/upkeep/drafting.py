"""Edits of a book that are tried before any of them is saved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from toeroom.book import Book, open_book
from toeroom.errors import BadInput, BookFault
from toeroom.handbook.marks import faults_in_marks
from toeroom.handbook.pages import page_from
from toeroom.rules.model import Rule
from toeroom.upkeep.cutting import Piece, cut, joined
from toeroom.upkeep.examples import example_case, speaks_in
from toeroom.upkeep.holes import holes_in_page, holes_in_rules
from toeroom.upkeep.merging import Files, files_of, merge_books
from toeroom.upkeep.merging_rules import is_rule_file
from toeroom.upkeep.traps import traps_in
from toeroom.upkeep.trial import faults_in, on_trial
from toeroom.upkeep.whole_change import change_whole
from toeroom.yamltree import parse

GUARANTEES = "rules/guarantees.yaml"
REMEMBERED = 1024


@dataclass(frozen=True, slots=True)
class Entry:
    """Something of a book that is read and edited by itself.

    kind: rule, guarantee or page. place: its topic or shelf. key: that of its piece in the file; '' for a
    page, which is the whole file. status: active, draft or retired.
    """

    kind: str
    id: str
    title: str
    place: str
    status: str
    file: str
    key: str = ""

    @property
    def name(self) -> str:
        """What it is told from all others by."""
        return f"{self.kind}:{self.id}"


class Draft:
    """The book in a folder with edits that are not saved."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.saved = files_of(folder)
        self.edits: dict[str, str] = {}
        # Texts of entries that cannot be put into their files as they stand, by name.
        self.broken: dict[str, tuple[Entry, str]] = {}

    def read_anew(self) -> list[str]:
        """Takes in what was changed in the folder meanwhile; edits stay.

        Returns names of what was changed here and there, and not alike: there the edit stands.
        """
        now = files_of(self.folder)
        conflicts: list[str] = []
        if any(now.get(file) != self.saved.get(file) for file in self.edits):
            merged = merge_books(self.saved, self.files, now)
            conflicts = [conflict.name for conflict in merged.conflicts]
            ours = {f: raw.decode(errors="replace") for f, raw in merged.files.items() if now.get(f) != raw}
            self.edits = ours
        self.saved = now
        return conflicts

    @property
    def files(self) -> Files:
        """The files of the book as they would be saved."""
        return self.saved | {file: text.encode() for file, text in self.edits.items()}

    @property
    def unsaved(self) -> bool:
        """Whether there are edits."""
        return bool(self.edits or self.broken)

    def text(self, file: str) -> str:
        """A file as it would be saved."""
        if file in self.edits:
            return self.edits[file]
        return self.saved[file].decode("utf-8", errors="replace").replace("\r\n", "\n")

    # --- entries ----------------------------------------------------------------------------------
    def entries(self) -> list[Entry]:
        """All rules by topic, the guarantees, all pages by shelf; a file that cannot be cut is left out."""
        found: list[Entry] = []
        for file in sorted(self.files):
            if is_rule_file(file) or file == GUARANTEES:
                found += _listed(file, self.text(file))
        pages = (f for f in sorted(self.files) if f.startswith("kb/") and f.endswith(".md"))
        found += [_page(file, self.text(file)) for file in pages if file.count("/") == 2]
        return sorted(found, key=lambda e: ("rule", "guarantee", "page").index(e.kind))

    def text_of(self, entry: Entry) -> str:
        """What is written of an entry, the comments above it too."""
        if entry.name in self.broken:
            return self.broken[entry.name][1]
        text = self.text(entry.file)
        return next((p.text for p in cut(text, entry.file) if p.key == entry.key), "") if entry.key else text

    def first_line(self, entry: Entry) -> int:
        """The line of its file on which an entry begins, from 1."""
        if not entry.key:
            return 1
        before = 1
        for piece in cut(self.text(entry.file), entry.file):
            if piece.key == entry.key:
                break
            before += piece.text.count("\n")
        return before

    def with_text(self, entry: Entry, text: str) -> dict[str, str]:
        """The edits there would be with `text` in place of an entry; for `write`."""
        text = text if text.endswith("\n") else text + "\n"
        if entry.key:
            pieces = cut(self.text(entry.file), entry.file)
            text = joined([Piece(p.key, text) if p.key == entry.key else p for p in pieces])
        edits = {**self.edits, entry.file: text}
        return {f: t for f, t in edits.items() if t.encode() != self.saved.get(f)}

    def write(self, entry: Entry, text: str) -> None:
        """Edits an entry. A text that cannot be put into its file is kept beside it, and keeps all from
        being saved.
        """
        self.broken.pop(entry.name, None)
        try:
            edits = self.with_text(entry, text)
            told_apart = not entry.key or any(
                piece.key == entry.key
                for piece in cut(edits.get(entry.file, self.text(entry.file)), entry.file)
            )
        except BookFault:
            told_apart = False
        if told_apart:
            self.edits = edits
        else:
            self.broken[entry.name] = (entry, text)

    def drop(self, entry: Entry) -> None:
        """Takes the edits of an entry back."""
        self.broken.pop(entry.name, None)
        before = self._saved_text(entry)
        if before and entry.file in self.edits:
            self.edits = self.with_text(entry, before)

    def _saved_text(self, entry: Entry) -> str:
        text = self.saved.get(entry.file, b"").decode("utf-8", errors="replace").replace("\r\n", "\n")
        if not entry.key:
            return text
        return next((p.text for p in cut(text, entry.file) if p.key == entry.key), "")

    def edited(self, entry: Entry) -> bool:
        """Whether what is written of an entry is not what is saved."""
        if entry.name in self.broken:
            return True
        return entry.file in self.edits and self._saved_text(entry) != self.text_of(entry)

    # --- checks -----------------------------------------------------------------------------------
    def faults_of(self, entry: Entry, text: str) -> list[str]:
        """What is wrong with an entry written as `text`, as far as can be said while it is typed."""
        try:
            edits = self.with_text(entry, text)
            rest = [p.key for p in cut(edits.get(entry.file, ""), entry.file)] if entry.key else []
        except BookFault as fault:
            first = self.first_line(entry)
            return [_within(fault, Path(entry.file), first)]
        if entry.file in edits and entry.key and entry.key not in rest:
            return [
                f"keep the id '{entry.id}', and every field on a line of its own; to take it out, retire it"
            ]
        if entry.kind == "page":
            return _page_faults(edits.get(entry.file, self.text(entry.file)), self.folder / entry.file)
        files = self.saved | {file: text.encode() for file, text in edits.items()}
        rules = {file: raw for file, raw in files.items() if file.startswith("rules/")}
        with on_trial(rules) as folder:
            first = self.first_line(entry)
            return [_within(fault, folder / entry.file, first) for fault in _rule_faults(folder, entry)]

    def all_faults(self) -> list[str]:
        """What keeps the book from being used as it would be saved."""
        unread = [f"{e.name}: {self.faults_of(e, text)[0]}" for e, text in self.broken.values()]
        return unread or faults_in(self.files)

    def save(self) -> list[str]:
        """Saves all edits where the book passes its checks; else returns its faults and saves nothing.

        Raises `BadInput` where a file was changed by somebody else meanwhile, or cannot be written.
        """
        now = files_of(self.folder)
        for file in self.edits:
            if now.get(file) != self.saved.get(file):
                raise BadInput("was changed by somebody else meanwhile", file=file, mend="read it anew first")
        self.saved = now
        faults = self.all_faults()
        if not faults:
            change_whole(self.folder, {file: text.encode() for file, text in self.edits.items()}, ())
            self.saved, self.edits = files_of(self.folder), {}
        return faults


@lru_cache(REMEMBERED)
def _listed(file: str, text: str) -> tuple[Entry, ...]:
    """The rules or guarantees written in a file. Remembered: a list is filled anew at every key typed."""
    kind = "guarantee" if file == GUARANTEES else "rule"
    try:
        pieces = cut(text, file)
    except BookFault:
        return ()
    found = []
    for piece in pieces:
        if piece.key.startswith(f"{kind}s/"):
            told = _told(piece.text, file)
            title, status = told.get("title", ""), told.get("status", "active")
            found.append(Entry(kind, piece.id, title, Path(file).stem, status, file, piece.key))
    return tuple(found)


@lru_cache(REMEMBERED)
def _page(file: str, text: str) -> Entry:
    front = text.partition("\n---\n")[0].removeprefix("---\n")
    told = _told(front, file)
    title, status = told.get("title", ""), told.get("status", "active")
    return Entry("page", Path(file).stem, title, Path(file).parent.name, status, file)


def _told(text: str, file: str) -> Mapping[str, str]:
    """The fields of an entry that are a line of text; none where it cannot be read."""
    try:
        tree = parse(text, file, fault=BookFault).value
    except BookFault:
        return {}
    entry = tree[0].value if isinstance(tree, list) and tree else tree
    fields = entry if isinstance(entry, dict) else {}
    return {key: " ".join(n.value.split()) for key, n in fields.items() if isinstance(n.value, str)}


def _page_faults(text: str, path: Path) -> list[str]:
    try:
        page = page_from(text, path)
    except BookFault as fault:
        return [f"line {fault.line}: {fault.what}; {fault.mend}"]
    found = [f"line {line}: {what}; {mend}" for line, what, mend in faults_in_marks(page)]
    return found + [f"line {line}: is still to be filled in" for line in holes_in_page(text)]


def _rule_faults(folder: Path, entry: Entry) -> Iterator[BookFault]:
    """Traps first, then what the reader says, then holes, then whether the examples hold."""
    try:
        traps = [trap.fault for trap in traps_in(folder / entry.file)]
        if traps:
            yield from traps
            return
        book = open_book(folder)
        _ = book.planner
        yield from (f for f in holes_in_rules(folder) if f"'{entry.id}'" in f.what)
        rule = book.planner.by_id.get(entry.id) if entry.kind == "rule" else None
        if rule is not None:
            yield from _example_faults(book, rule)
        if entry.kind == "guarantee":
            from toeroom.upkeep.guarantees import read_guarantees

            read_guarantees(folder / entry.file, book.vocabulary)
    except BookFault as fault:
        yield fault


def _example_faults(book: Book, rule: Rule) -> Iterator[BookFault]:
    for kind, wanted in (("fires", True), ("silent", False)):
        if speaks_in(book, rule, example_case(rule, kind, book.vocabulary)) != wanted:
            what = f"{'stays silent' if wanted else 'speaks'} in its example '{kind}'"
            yield BookFault(what, file=rule.file, line=rule.line, mend="mend the rule or the example")


def _within(fault: BookFault, file: Path, first: int) -> str:
    """A fault with its line counted from where the entry begins; elsewhere with its file."""
    said = "; ".join(part for part in (fault.what, fault.mend) if part)
    if Path(fault.file) != file:
        return f"{Path(fault.file).name}, line {fault.line}: {said}"
    return f"line {fault.line - first + 1}: {said}" if fault.line >= first else said
