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
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from pathlib import Path
from typing import Any

import platformdirs
from whoosh.analysis import SpaceSeparatedTokenizer
from whoosh.codec.whoosh3 import W3Codec
from whoosh.fields import ID, STORED, FieldType, Schema
from whoosh.filedb.filestore import FileStorage, RamStorage
from whoosh.formats import Existence
from whoosh.index import FileIndex
from whoosh.scoring import WeightingModel
from whoosh.searching import Searcher

from toeroom.errors import BadInput, BookFault
from toeroom.handbook.asked import Askings, read_asked
from toeroom.handbook.leaning import weights_of
from toeroom.handbook.pages import Page, page_from
from toeroom.handbook.passages import Sentence, sentences_of
from toeroom.handbook.sections import sections_of
from toeroom.handbook.words import Synonyms, read_synonyms
from toeroom.vocabulary import Vocabulary, read_vocabulary
from toeroom.yamltree import LARGEST_FILE

PAGE_FIELDS = ("called", "title", "words", "asked", "terms")
SECTION_FIELDS = ("heading", "text")
BESIDE = ("kb/synonyms.yaml", "kb/asked.yaml", "kb/outside.yaml", "rules/vocabulary.yaml")
KEPT_FILES = 6
KEPT_SECONDS = 3600
REMEMBERED = 20_000
_CODE = ("index.py", "words.py", "asked.py", "leaning.py", "sections.py", "pages.py", "passages.py")


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
    """An index open for searching; remembers where its documents stand and what it scored.

    Whoosh scores every document that holds a term once; a later question that asks for it finds the
    scores here. (Its own way through several terms at once takes them up again for every question.)
    """

    def __init__(self, index: FileIndex, weighting: WeightingModel) -> None:
        self.searcher: Searcher = index.searcher(weighting=weighting)
        self._openings: dict[str, tuple[str, int]] = {}
        remember = lru_cache(REMEMBERED)
        self.held, self.scores = remember(self._held), remember(self._scores)
        self.holding = remember(self._holding)

    @cached_property
    def spelled(self) -> Mapping[str, frozenset[str]]:
        """The words of the handbook and its synonyms, by their first letter."""
        words: dict[str, set[str]] = defaultdict(set)
        for word in self._beside["spelled"]:
            words[word[0]].add(word)
        return {letter: frozenset(found) for letter, found in words.items()}

    @cached_property
    def leaning(self) -> Mapping[str, float]:
        """How far each word of a question leans to other things than ours."""
        return self._beside["leaning"]  # type: ignore[no-any-return]

    @cached_property
    def _places(self) -> Sequence[tuple[str, int]]:
        return self._beside["places"]  # type: ignore[no-any-return]

    @cached_property
    def _beside(self) -> Mapping[str, Any]:
        return self.searcher.document(kind="beside")  # type: ignore[no-any-return]

    @cached_property
    def pages(self) -> int:
        """How many pages there are."""
        return int(self.searcher.reader().doc_frequency("kind", "page"))

    def _held(self, name: str, term: str) -> int:
        """How many documents hold `term` in the field `name`."""
        return int(self.searcher.reader().doc_frequency(name, term))

    def _scores(self, name: str, term: str) -> Mapping[int, float]:
        """The documents that hold `term` in the field `name`, and what Whoosh scores each for it."""
        found: dict[int, float] = {}
        if (name, term) in self.searcher.reader():
            matcher = self.searcher.postings(name, term)
            while matcher.is_active():
                found[matcher.id()] = matcher.score()
                matcher.next()
        return found

    def _holding(self, term: str) -> frozenset[str]:
        """The pages that hold `term`, in whatever field."""
        reader = self.searcher.reader()
        documents = {
            document
            for name in (*PAGE_FIELDS, *SECTION_FIELDS)
            if (name, term) in reader
            for document in reader.postings(name, term).all_ids()
        }
        return frozenset(self.place(document)[0] for document in documents)

    def place(self, document: int) -> tuple[str, int]:
        """The page of a document and, for a section, its number in the page."""
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
    vocabulary, asked = _vocabulary(content), _asked(content, "kb/asked.yaml")
    # Packing the postings costs more time than it saves space in a book.
    writer = index.writer(codec=W3Codec(compression=0))
    spelled = set(synonyms.lexicon | synonyms.ignored)
    # Documents are numbered as they are added.
    places: list[tuple[str, int]] = []
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
        for number, section in enumerate(sections_of(page)):
            sentences = _sentences(section.text, synonyms, spelled)
            writer.add_document(
                kind="section", name=section.heading, sentences=sentences,
                first_of=page.id if number == 0 else "",
                heading=_analysed(section.heading, synonyms, spelled),
                text=[mark[0] for _, marks in sentences for mark in marks],
            )  # fmt: skip
            places.append((page.id, number))
        writer.add_document(kind="page", page_id=page.id, name=page.title, **fields)
        places.append((page.id, 0))
    outside = _asked(content, "kb/outside.yaml")
    weights = weights_of(_texts(asked), _texts(outside), synonyms)
    writer.add_document(kind="beside", spelled=tuple(sorted(spelled)), places=tuple(places), leaning=weights)
    writer.commit()


class _Terms(FieldType):  # type: ignore[misc]
    """A field of terms worked out beforehand, scored by how often each stands there."""

    def __init__(self) -> None:
        super().__init__(format=Existence(), analyzer=SpaceSeparatedTokenizer(), scorable=True)

    def index(self, value: Sequence[str], **_: object) -> Iterator[tuple[bytes, int, float, bytes]]:
        """As Whoosh wants it: each term, how often it stands there, its weight, and nothing beside."""
        for term, count in Counter(value).items():
            yield term.encode(), count, float(count), b""


def schema() -> Schema:
    """The fields that are searched, those that are kept, and those that name a document."""
    searched = {name: _Terms() for name in (*PAGE_FIELDS, *SECTION_FIELDS)}
    kept = dict.fromkeys(("name", "sentences", "spelled", "places", "leaning"), STORED)
    return Schema(**searched, **kept, kind=ID, first_of=ID, page_id=ID)


def _sentences(text: str, synonyms: Synonyms, spelled: set[str]) -> tuple[Sentence, ...]:
    """The sentences of `text` with their terms, so that a passage is found without reading them again."""
    found: list[Sentence] = []
    for sentence, words in sentences_of(text, synonyms):
        spelled.update(word.text for word in words)
        found.append(sentence)
    return tuple(found)


def _analysed(text: str, synonyms: Synonyms, spelled: set[str]) -> list[str]:
    """The terms of `text`; its words are added to `spelled`."""
    terms: list[str] = []
    for line in text.split("\n"):
        words = synonyms.words(line)
        spelled.update(word.text for word in words)
        terms += [word.stem for word in words if word.searched]
        terms += [meaning.term for meaning in synonyms.meanings(words)]
    return terms


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


def _asked(content: Content, name: str) -> dict[str, Askings]:
    """The askings in a file; none where it is missing or has a fault, which `kb check` reports."""
    path = content.folder / name
    with contextlib.suppress(BookFault):
        if path in content.files:
            return read_asked(_text(content.files[path], path), path)
    return {}


def _texts(asked: Mapping[str, Askings]) -> list[str]:
    return [text for askings in asked.values() for text in askings.texts]


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
