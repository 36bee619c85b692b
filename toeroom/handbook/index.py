"""The full-text index of a book's pages: built from their content, kept in the user's cache.

The index of a content is one file named by a hash of that content and of this code. It is written
aside and renamed, read whole, and proved by a checksum; so no process ever sees half of one, and a
file that is missing or damaged is the same as none: the index is built anew, in memory, and kept
again if that can be done.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
import time
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import platformdirs
from whoosh.analysis import SpaceSeparatedTokenizer
from whoosh.fields import ID, STORED, TEXT, Schema
from whoosh.filedb.filestore import FileStorage, RamStorage
from whoosh.index import FileIndex
from whoosh.scoring import WeightingModel
from whoosh.searching import Searcher

from toeroom.errors import BadInput, BookFault
from toeroom.handbook.asked import Askings, read_asked
from toeroom.handbook.pages import Page, page_from
from toeroom.handbook.sections import sections_of
from toeroom.handbook.words import Synonyms, read_synonyms
from toeroom.vocabulary import Vocabulary, read_vocabulary
from toeroom.yamltree import LARGEST_FILE

PAGE_FIELDS = ("called", "title", "words", "asked", "terms", "whole")
SECTION_FIELDS = ("heading", "text")
BESIDE = ("kb/synonyms.yaml", "kb/asked.yaml", "rules/vocabulary.yaml")
KEPT_FILES = 6
KEPT_SECONDS = 3600
_CODE = ("index.py", "words.py", "asked.py", "sections.py", "pages.py")


@dataclass(frozen=True)
class Content:
    """What a book's search rests on, read once: the bytes of its files by path, and a hash of them all."""

    folder: Path
    files: dict[Path, bytes]
    key: str


def content_paths(folder: Path) -> list[Path]:
    """The files that the search of the book in `folder` rests on, in a fixed order."""
    pages = sorted((folder / "kb").glob("*/*.md"))
    return [*pages, *(folder / name for name in BESIDE if (folder / name).is_file())]


def read_content(folder: Path) -> Content:
    """The content of the book in `folder` as it stands now; a file that goes away meanwhile is left out."""
    if not (folder / "kb").is_dir():
        raise BadInput(
            "there is no handbook here", file=str(folder), mend="name a folder that holds kb/ and rules/"
        )
    files: dict[Path, bytes] = {}
    digest = hashlib.sha256(_code_version().encode())
    for path in content_paths(folder):
        with contextlib.suppress(OSError), path.open("rb") as stream:
            files[path] = stream.read(LARGEST_FILE + 1)
            digest.update(
                f"{path.relative_to(folder).as_posix()}\0{len(files[path])}\0".encode() + files[path]
            )
    return Content(folder, files, digest.hexdigest())


def pages_of(content: Content) -> tuple[dict[str, Page], list[BookFault]]:
    """The pages of `content` by id, in the order of the shelves, and why others cannot be read."""
    pages: list[Page] = []
    faults: list[BookFault] = []
    for path, raw in content.files.items():
        if path.suffix == ".md":
            try:
                pages.append(page_from(_text(raw, path), path))
            except BookFault as fault:
                faults.append(fault)
    found: dict[str, Page] = {}
    for page in sorted(pages, key=lambda p: p.shelf_rank):
        if page.id in found:
            what = f"the id '{page.id}' is used already in {found[page.id].file}"
            faults.append(
                BookFault(what, file=page.file, line=page.lines["id"], mend="give this page its own id")
            )
        else:
            found[page.id] = page
    return found, faults


def synonyms_of(content: Content) -> Synonyms:
    """The synonyms of `content`; none where the file is missing or has a fault, which `kb check` reports."""
    path = content.folder / "kb/synonyms.yaml"
    with contextlib.suppress(BookFault):
        if path in content.files:
            return read_synonyms(_text(content.files[path], path), path)
    return Synonyms()


def open_index(content: Content, synonyms: Synonyms, folder: Path | None = None) -> FileIndex:
    """The index of `content`: kept in `folder` (the user's cache, where None), or built and kept there."""
    kept = (folder or cache_folder()) / f"handbook-{content.key[:32]}.index"
    storage = _load(kept)
    if storage is not None:
        with contextlib.suppress(Exception):
            index = storage.open_index()
            index.reader().close()
            return index
    storage = build(content, synonyms)
    _keep(storage, kept)
    return storage.open_index()


class Opened:
    """An index open for searching; remembers where its documents stand."""

    def __init__(self, index: FileIndex, weighting: WeightingModel) -> None:
        self.searcher: Searcher = index.searcher(weighting=weighting)
        self._places: dict[int, tuple[str, int]] = {}
        self._openings: dict[str, tuple[str, int]] = {}

    def place(self, document: int) -> tuple[str, int]:
        """The page of a document and, for a section, its number in the page."""
        if document not in self._places:
            stored = self.searcher.stored_fields(document)
            self._places[document] = stored["page"], stored.get("number", 0)
        return self._places[document]

    def opening(self, page: str) -> tuple[str, int]:
        """The title of a page and the document of its first section."""
        if page not in self._openings:
            title = self.searcher.document(page_id=page)["name"]
            self._openings[page] = title, self.searcher.document_number(first_of=page)
        return self._openings[page]


def cache_folder() -> Path:
    """Where indexes are kept."""
    return Path(platformdirs.user_cache_dir("toeroom"))


class _Memory(RamStorage):  # type: ignore[misc]
    """Storage in memory. Its writer sorts in `aside`, not in the one folder all processes share."""

    def __init__(self, aside: str) -> None:
        super().__init__()
        self._aside = aside

    def temp_storage(self, name: str | None = None) -> FileStorage:
        return FileStorage(self._aside)


def build(content: Content, synonyms: Synonyms) -> RamStorage:
    """The index of the active pages of `content`, in memory: a document for each page and each section."""
    with tempfile.TemporaryDirectory(prefix="toeroom-", ignore_cleanup_errors=True) as aside:
        storage = _Memory(aside)
        _write(storage.create_index(schema()), content, synonyms)
    return storage


def _write(index: FileIndex, content: Content, synonyms: Synonyms) -> None:
    vocabulary, asked = _vocabulary(content), _asked(content)
    writer = index.writer()
    spelled = set(synonyms.lexicon | synonyms.ignored)
    for page in pages_of(content)[0].values():
        if page.status != "active":
            continue
        texts = {
            "called": page.id.replace("-", " "),
            "title": page.title,
            "words": "\n".join(page.words),
            "asked": "\n".join(asked[page.id].texts) if page.id in asked else "",
            "terms": "\n".join(_terms(page, vocabulary)),
        }
        fields = {name: _analysed(text, synonyms, spelled) for name, text in texts.items()}
        whole: list[str] = []
        for number, section in enumerate(sections_of(page)):
            heading, text = (_analysed(t, synonyms, spelled) for t in (section.heading, section.text))
            whole += [heading, text]
            writer.add_document(
                kind="section", page=page.id, number=number, name=section.heading, plain=section.text,
                first_of=page.id if number == 0 else "", heading=heading, text=text,
            )  # fmt: skip
        writer.add_document(
            kind="page", page_id=page.id, page=page.id, name=page.title, whole=" ".join(whole), **fields
        )
    writer.add_document(kind="spelling", spelling=" ".join(sorted(spelled)))
    writer.commit()


def schema() -> Schema:
    """The fields: terms are worked out beforehand (`Synonyms.terms`) and stand with a space between."""
    ready = SpaceSeparatedTokenizer()
    searched = {
        name: TEXT(analyzer=ready, phrase=False) for name in (*PAGE_FIELDS, *SECTION_FIELDS, "spelling")
    }
    return Schema(
        kind=ID, first_of=ID, page_id=ID, page=STORED, number=STORED, name=STORED, plain=STORED, **searched
    )


def _analysed(text: str, synonyms: Synonyms, spelled: set[str]) -> str:
    """The terms of `text` with a space between; its words are added to `spelled`."""
    terms: list[str] = []
    for line in text.split("\n"):
        words = synonyms.words(line)
        spelled.update(word.text for word in words)
        terms += [word.stem for word in words if word.searched]
        terms += [meaning.term for meaning in synonyms.meanings(words)]
    return " ".join(terms)


def _terms(page: Page, vocabulary: Vocabulary | None) -> Iterable[str]:
    """How the vocabulary calls what a page serves."""
    if vocabulary is None:
        return
    for term in vocabulary.by_id.values():
        if term.page == page.id or term.id in page.findings or term.id in page.items:
            yield from (term.label, *term.words)


def _vocabulary(content: Content) -> Vocabulary | None:
    with contextlib.suppress(BadInput):
        return read_vocabulary(content.folder / "rules/vocabulary.yaml")
    return None


def _asked(content: Content) -> dict[str, Askings]:
    """The askings of `content`; none where the file is missing or has a fault, which `kb check` reports."""
    path = content.folder / "kb/asked.yaml"
    with contextlib.suppress(BookFault):
        if path in content.files:
            return read_asked(_text(content.files[path], path), path)
    return {}


def _text(raw: bytes, path: Path) -> str:
    if len(raw) > LARGEST_FILE:
        raise BookFault(
            f"is larger than {LARGEST_FILE:,} bytes", file=str(path), mend="a page is a few kilobytes"
        )
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise BookFault(
            "is not UTF-8 text", file=str(path), line=line, mend="save the file as UTF-8"
        ) from None


@cache
def _code_version() -> str:
    """A hash of the code that an index depends on; changed code never reads an old index."""
    digest = hashlib.sha256()
    for name in _CODE:
        with contextlib.suppress(OSError):
            digest.update(Path(__file__).with_name(name).read_bytes())
    return digest.hexdigest()


def _load(kept: Path) -> RamStorage | None:
    """The index file `kept`, where it is there and whole."""
    try:
        raw = kept.read_bytes()
        head, _, body = raw.partition(b"\n")
        told = json.loads(head)
        if hashlib.sha256(body).hexdigest() != told["sha256"]:
            return None
        storage, at = RamStorage(), 0
        for name, size in told["files"]:
            storage.files[name] = body[at : at + size]
            at += size
        os.utime(kept)
        return storage
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _keep(storage: RamStorage, kept: Path) -> None:
    """Writes the index file aside and renames it; where that cannot be done the index stays in memory."""
    files = sorted(storage.files.items())
    body = b"".join(data for _, data in files)
    told = {"files": [[name, len(data)] for name, data in files], "sha256": hashlib.sha256(body).hexdigest()}
    with contextlib.suppress(OSError):
        kept.parent.mkdir(parents=True, exist_ok=True)
        handle, aside = tempfile.mkstemp(prefix="handbook-", suffix=".aside", dir=kept.parent)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(json.dumps(told).encode() + b"\n" + body)
            os.replace(aside, kept)
        except OSError:
            os.unlink(aside)
        _prune(kept.parent)


def _prune(folder: Path) -> None:
    """Removes index files, and what a stopped process left aside, that nobody used for a while."""
    dated: list[tuple[float, Path]] = []
    for path in (*folder.glob("handbook-*.index"), *folder.glob("handbook-*.aside")):
        with contextlib.suppress(OSError):
            dated.append((path.stat().st_mtime, path))
    for changed, path in sorted(dated, reverse=True)[KEPT_FILES:]:
        if time.time() - changed > KEPT_SECONDS:
            with contextlib.suppress(OSError):
                path.unlink()
