"""Whether a book's rules hold together: what can be said of them without a case."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from toeroom.book import Book, open_book, shipped_folder
from toeroom.errors import BookFault, nearest
from toeroom.rules.engine import branches
from toeroom.rules.model import Rule, tests_of
from toeroom.upkeep.examples import failing_examples
from toeroom.upkeep.holes import holes_in_rules
from toeroom.upkeep.logic import logic_faults
from toeroom.upkeep.retiring import status_faults
from toeroom.upkeep.traps import traps_in
from toeroom.yamltree import Node, read_book_file


def check_rules(folder: Path | None, today: date | None = None) -> list[BookFault]:
    """Every fault found in the rules of the book in `folder`; empty where they hold together."""
    traps = trap_faults(folder or shipped_folder())
    if traps:
        # Behind a trap the text means something else: the rest is seen once that is mended.
        return traps
    try:
        book = open_book(folder)
        _ = book.planner
    except BookFault as fault:
        # A book that cannot be read has one fault; the rest is seen once that is mended.
        return [fault]
    wide = list(_too_wide(book))
    return [
        *wide,
        *status_faults(book.folder),
        *holes_in_rules(book.folder),
        *_unresolved(book),
        *_unread(book),
        *_unreached(book),
        *_overdue(book, today or date.today()),
        *([] if wide else logic_faults(book)),
        *failing_examples(book),
    ]


def trap_faults(folder: Path) -> list[BookFault]:
    """What in the files of rules reads otherwise than it was meant."""
    try:
        return [trap.fault for path in sorted((folder / "rules").glob("*.yaml")) for trap in traps_in(path)]
    except BookFault as fault:
        return [fault]


def _too_wide(book: Book) -> Iterator[BookFault]:
    for rule in book.rules:
        try:
            for side in rule.sides:
                branches(rule, side)
        except BookFault as fault:
            yield fault


def _unresolved(book: Book) -> Iterator[BookFault]:
    """Sources and pages that do not exist."""
    sources = _keys(book.folder / "kb" / "sources.yaml")
    pages = {path.stem for path in (book.folder / "kb").glob("*/*.md")}
    for rule in book.rules:
        for source in rule.sources:
            if source.key not in sources:
                yield _fault(
                    rule, f"the source '{source.key}' is not in sources.yaml", nearest(source.key, sources)
                )
        for page in rule.pages:
            if page not in pages:
                yield _fault(rule, f"there is no page '{page}'", nearest(page, pages))
    vocabulary = str(book.folder / "rules" / "vocabulary.yaml")
    for term in book.vocabulary.by_id.values():
        for page in (term.page, *getattr(term, "pages", ())):
            if page and page not in pages:
                yield BookFault(
                    f"'{term.id}': there is no page '{page}'", file=vocabulary, mend=nearest(page, pages)
                )


def _keys(path: Path) -> set[str]:
    tree = read_book_file(path).value
    inner = tree.get("sources") if isinstance(tree, dict) else None
    return set(inner.value) if isinstance(inner, Node) and isinstance(inner.value, dict) else set()


def _unread(book: Book) -> Iterator[BookFault]:
    """Findings, measures and calculations that no rule looks at."""
    used = {test.id for rule in book.rules for test in tests_of(rule.when)}
    used |= {
        value.partition("@")[0] for rule in book.rules for _, pairs in rule.then.detail for _, value in pairs
    }
    used |= {i for rule in book.rules for c in rule.then.cautions for i in c.named}
    file = str(book.folder / "rules" / "vocabulary.yaml")
    for term_id in (*book.vocabulary.findings, *book.vocabulary.calculated):
        if term_id not in used:
            yield BookFault(
                f"no rule looks at '{term_id}'", file=file, mend="write one, or leave the word out"
            )


def _unreached(book: Book) -> Iterator[BookFault]:
    """Plan items and states that no rule gives."""
    given = {i for rule in book.rules for i in (*rule.then.advise, *rule.then.advise_person)}
    given |= {i for rule in book.rules for i, _ in rule.then.conclude}
    file = str(book.folder / "rules" / "vocabulary.yaml")
    for term_id in (*book.vocabulary.plan_items, *book.vocabulary.derived):
        if term_id not in given:
            yield BookFault(f"no rule gives '{term_id}'", file=file, mend="write one, or leave the word out")


def _overdue(book: Book, today: date) -> Iterator[BookFault]:
    for rule in book.rules:
        if rule.review_by < today.isoformat():
            yield _fault(rule, f"the review was due on {rule.review_by}", "review it and set the next day")


def _fault(rule: Rule, what: str, mend: str) -> BookFault:
    return BookFault(f"rule '{rule.id}': {what}", file=rule.file, line=rule.line, mend=mend)
