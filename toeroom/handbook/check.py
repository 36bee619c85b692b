"""What is wrong in a handbook: for who maintains it.

Every fault names file, line, what is wrong and how to mend it. An error makes `kb check` fail; a
warning is for a person to weigh.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import TypeVar

from toeroom.errors import BadInput, BookFault, nearest
from toeroom.foot_places import read_places
from toeroom.handbook.asked import read_asked
from toeroom.handbook.index import pages_of, read_content
from toeroom.handbook.marks import faults_in_marks
from toeroom.handbook.pages import SHELVES, Page
from toeroom.handbook.reading_grade import grade_of, word_count
from toeroom.handbook.sections import plain_inline, plain_lines, tokens_of
from toeroom.handbook.sources import Source, read_sources
from toeroom.handbook.words import read_synonyms
from toeroom.rules.reading import read_rules
from toeroom.upkeep.holes import holes_in_page
from toeroom.vocabulary import PlanItem, Vocabulary, read_vocabulary
from toeroom.yamltree import read_text

ERROR, WARNING = "error", "warning"
SHORTEST, LONGEST = 150, 600
REPEATED_FROM = 10
T = TypeVar("T")
_CITED = re.compile(r"\[@([^\],\s]+)")


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong: where (line 0: the whole file), what, how to mend it, `error` or `warning`."""

    file: str
    line: int
    what: str
    mend: str
    severity: str = ERROR

    def __str__(self) -> str:
        return f"{self.severity}: {BookFault(self.what, file=self.file, line=self.line, mend=self.mend)}"


@dataclass(frozen=True, slots=True)
class Figures:
    """How long and how hard a page is: words of its body outside tables, school grade it asks for."""

    page: str
    words: int
    grade: float


@dataclass(frozen=True, slots=True)
class Report:
    """All that a check found; `figures` stand in the order of the shelves."""

    faults: tuple[Fault, ...]
    figures: tuple[Figures, ...]

    @property
    def ok(self) -> bool:
        """Whether there is no error; warnings may stand."""
        return all(fault.severity != ERROR for fault in self.faults)


def check(folder: Path, today: date) -> Report:
    """Checks the handbook of the book in `folder`; `today` tells which reviews are overdue.

    Raises `BadInput` only where there is no handbook; everything else is a fault in the report.
    """
    content = read_content(folder)
    pages, unreadable = pages_of(content)
    faults = [_as_fault(fault) for fault in unreadable]
    sources = _read(faults, read_sources, folder / "kb/sources.yaml")
    vocabulary = _read(faults, read_vocabulary, folder / "rules/vocabulary.yaml")
    for page in pages.values():
        faults += [
            *_dates(page, today),
            *_sources(page, sources),
            *_links(page, pages),
            *_length(page),
            *_holes(page),
            *(Fault(page.file, line, what, mend) for line, what, mend in faults_in_marks(page)),
        ]
        if vocabulary:
            faults += _ids(page, vocabulary)
    faults += _repeated(pages.values())
    faults += _banned(folder, pages.values())
    faults += _side_files(folder, pages)
    if vocabulary:
        _read(faults, partial(read_places, vocabulary=vocabulary), folder / "kb/places.yaml")
        faults += [*_unserved(folder, pages, vocabulary), *_rules(folder, pages, vocabulary, sources)]
    figures = tuple(Figures(p.id, word_count(_prose(p)), grade_of(_prose(p))) for p in pages.values())
    return Report(tuple(sorted(set(faults))), figures)


def _as_fault(fault: BadInput, severity: str = ERROR) -> Fault:
    return Fault(fault.file, fault.line, fault.what, fault.mend, severity)


def _read(faults: list[Fault], reader: Callable[[Path], T], path: Path) -> T | None:
    try:
        return reader(path)
    except BadInput as fault:
        faults.append(_as_fault(fault))
        return None


def _prose(page: Page) -> list[str]:
    """The lines of a page that are read as text; a table is looked up."""
    return list(plain_lines(tokens_of(page.body), tables=False))


# --- one page --------------------------------------------------------------------------------------
def _dates(page: Page, today: date) -> Iterator[Fault]:
    if page.review_by < page.reviewed:
        yield Fault(
            page.file, page.lines["review_by"], "the next review lies before the last", "check both dates"
        )
    elif page.review_by < today and page.status != "retired":
        what = f"the review was due on {page.review_by}"
        yield Fault(page.file, page.lines["review_by"], what, "review the page and set both dates", WARNING)
    if page.reviewed > today:
        yield Fault(
            page.file, page.lines["reviewed"], "was reviewed in the future", "check the date", WARNING
        )


def _sources(page: Page, sources: dict[str, Source] | None) -> Iterator[Fault]:
    if sources is None:
        return
    named = {source.key for source in page.sources}
    for source in page.sources:
        if source.key not in sources:
            what = f"the source '{source.key}' is not in sources.yaml"
            yield Fault(page.file, source.line, what, _near(source.key, sources))
    for number, line in enumerate(page.body.split("\n"), page.body_line):
        for key in _CITED.findall(line):
            if key not in sources:
                yield Fault(page.file, number, f"cites '{key}', not in sources.yaml", _near(key, sources))
            elif key not in named:
                what = f"cites '{key}', which the front matter does not name"
                yield Fault(page.file, number, what, "add it to 'sources'", WARNING)


def _links(page: Page, pages: dict[str, Page]) -> Iterator[Fault]:
    for token in tokens_of(page.body):
        for child in token.children or ():
            if child.type != "link_open":
                continue
            line = page.body_line + (token.map[0] if token.map else 0)
            target = str(child.attrs.get("href", ""))
            if not target.startswith("page:"):
                yield Fault(page.file, line, f"links to '{target}'", "link to pages only, as (page:bunion)")
            elif (linked := target.removeprefix("page:")) not in pages:
                yield Fault(
                    page.file, line, f"links to the page '{linked}', which is not there", _near(linked, pages)
                )
            elif pages[linked].status != "active":
                what = f"links to the page '{linked}', which is {pages[linked].status}"
                yield Fault(page.file, line, what, _instead(pages[linked]), WARNING)
            elif linked == page.id:
                yield Fault(page.file, line, "links to itself", "remove the link", WARNING)


def _length(page: Page) -> Iterator[Fault]:
    words = word_count(_prose(page))
    if not words:
        yield Fault(page.file, page.body_line, "has no text", "write the page, or retire it")
    elif not SHORTEST <= words <= LONGEST:
        what = f"has {words} words outside its tables; a page has {SHORTEST} to {LONGEST}"
        yield Fault(page.file, page.body_line, what, "split it, or say more", WARNING)
    if page.status == "retired" and not page.replaced_by:
        yield Fault(
            page.file,
            page.lines["status"],
            "is retired, replaced by nothing",
            "say 'replaced_by: …'",
            WARNING,
        )


def _holes(page: Page) -> Iterator[Fault]:
    for line in holes_in_page(read_text(page.file)):
        yield Fault(page.file, line, "is still to be filled in", "write what belongs here")


def _ids(page: Page, vocabulary: Vocabulary) -> Iterator[Fault]:
    for key, ids, known in (
        ("findings", page.findings, vocabulary.findings),
        ("items", page.items, vocabulary.plan_items),
    ):
        for term_id in ids:
            if term_id not in known:
                what = f"serves '{term_id}', which the vocabulary does not have among its {key}"
                yield Fault(page.file, page.lines[key], what, nearest(term_id, known) or "check the id")


# --- all pages together ----------------------------------------------------------------------------
def _repeated(pages: Iterable[Page]) -> Iterator[Fault]:
    """Paragraphs and list entries of ten words or more that stand twice; tables may look up the same."""
    seen: dict[str, tuple[str, int]] = {}
    for page in pages:
        for before, token in pairwise(tokens_of(page.body)):
            if token.type != "inline" or before.type in ("td_open", "th_open"):
                continue
            text = plain_inline(token)
            words = " ".join(re.findall(r"\w+", text.lower()))
            if words.count(" ") + 1 < REPEATED_FROM:
                continue
            line = page.body_line + (token.map[0] if token.map else 0)
            if words in seen:
                what = f"says what {seen[words][0]}, line {seen[words][1]}, says: '{text[:60]}'"
                yield Fault(page.file, line, what, "say it once and link")
            else:
                seen[words] = (page.file, line)


def _banned(folder: Path, pages: Iterable[Page]) -> Iterator[Fault]:
    path = folder / "kb/banned.txt"
    if not path.is_file():
        return
    words = [
        line.strip() for line in read_text(path).split("\n") if line.strip() and not line.startswith("#")
    ]
    if not words:
        return
    pattern = re.compile(rf"(?<!\w)({'|'.join(re.escape(word) for word in words)})(?!\w)", re.IGNORECASE)
    texts = [(Path(page.file), read_text(page.file)) for page in pages]
    beside = (folder / "kb" / f"{name}.yaml" for name in ("synonyms", "asked", "outside"))
    texts += [(p, read_text(p)) for p in beside if p.is_file()]
    for file, text in texts:
        for number, line in enumerate(text.split("\n"), 1):
            for found in pattern.findall(line):
                yield Fault(
                    str(file), number, f"holds '{found}', which kb/banned.txt bars", "say what it is instead"
                )


def _side_files(folder: Path, pages: dict[str, Page]) -> Iterator[Fault]:
    """Faults of the word lists beside the pages, and pages that stand where none is looked for."""
    readers = {"synonyms.yaml": read_synonyms, "asked.yaml": read_asked, "outside.yaml": read_asked}
    for name, reader in readers.items():
        path = folder / "kb" / name
        if path.is_file():
            try:
                read = reader(read_text(path), path)
            except BadInput as fault:
                yield _as_fault(fault)
                continue
            if name == "asked.yaml" and isinstance(read, dict):
                for page_id, asked in read.items():
                    if page_id not in pages:
                        yield Fault(
                            str(path), asked.line, f"there is no page '{page_id}'", _near(page_id, pages)
                        )
    for path in sorted((folder / "kb").rglob("*.md")):
        if path.parent.parent != folder / "kb":
            yield Fault(str(path), 0, "stands on no shelf", "move it into a folder of kb/")
    for page in pages.values():
        if page.shelf not in SHELVES:
            yield Fault(
                page.file, page.lines["shelf"], f"the shelf '{page.shelf}' is new", "check its name", WARNING
            )


def _unserved(folder: Path, pages: dict[str, Page], vocabulary: Vocabulary) -> Iterator[Fault]:
    """Findings and plan items without a page, and pages the vocabulary names that are not there."""
    file = str(folder / "rules/vocabulary.yaml")
    served = {i for page in pages.values() if page.status == "active" for i in (*page.findings, *page.items)}
    for kind, terms in (("finding", vocabulary.findings), ("plan item", vocabulary.plan_items)):
        for term_id in terms:
            if term_id not in served:
                yield Fault(
                    file,
                    0,
                    f"no page serves the {kind} '{term_id}'",
                    "add it to the front matter of its page",
                )
    for term in vocabulary.by_id.values():
        named = (term.page, *term.pages) if isinstance(term, PlanItem) else (term.page,)
        for page_id in named:
            if page_id and (page_id not in pages or pages[page_id].status != "active"):
                yield Fault(
                    file, 0, f"'{term.id}' names the page '{page_id}', not there", _near(page_id, pages)
                )


def _rules(
    folder: Path, pages: dict[str, Page], vocabulary: Vocabulary, sources: dict[str, Source] | None
) -> Iterator[Fault]:
    try:
        rules = read_rules(folder / "rules", vocabulary)
    except BadInput as fault:
        yield _as_fault(fault)
        return
    for rule in rules:
        for page_id in rule.pages:
            if page_id not in pages or pages[page_id].status != "active":
                what = f"the rule '{rule.id}' names the page '{page_id}', not there"
                yield Fault(rule.file, rule.line, what, _near(page_id, pages))
        for source in rule.sources:
            if sources is not None and source.key not in sources:
                what = f"the rule '{rule.id}' rests on '{source.key}', not in sources.yaml"
                yield Fault(rule.file, rule.line, what, _near(source.key, sources))


def _near(word: str, known: Iterable[str]) -> str:
    near = get_close_matches(word, list(known), n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else "check the name"


def _instead(page: Page) -> str:
    return f"link to '{page.replaced_by}'" if page.replaced_by else "link elsewhere"
