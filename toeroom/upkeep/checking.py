"""Whether a book's rules hold together: what can be said of them without a case."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from toeroom.book import Book, open_book
from toeroom.errors import BookFault, nearest
from toeroom.rules.engine import branches
from toeroom.rules.model import Rule, tests_of
from toeroom.upkeep.examples import failing_examples
from toeroom.yamltree import Node, read_book_file


def check_rules(folder: Path | None, today: date | None = None) -> list[BookFault]:
    """Every fault found in the rules of the book in `folder`; empty where they hold together."""
    try:
        book = open_book(folder)
        _ = book.planner
    except BookFault as fault:
        # A book that cannot be read has one fault; the rest is seen once that is mended.
        return [fault]
    return [
        *_too_wide(book),
        *_unresolved(book),
        *_unread(book),
        *_unreached(book),
        *_overdue(book, today or date.today()),
        *failing_examples(book),
    ]


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
    used |= {value for rule in book.rules for _, pairs in rule.then.detail for _, value in pairs}
    used |= {i for rule in book.rules for c in rule.then.cautions for i in c.named}
    file = str(book.folder / "rules" / "vocabulary.yaml")
    for term_id in (*book.vocabulary.findings, *book.vocabulary.calculated):
        if term_id not in used and term_id not in _FOR_LATER:
            yield BookFault(
                f"no rule looks at '{term_id}'", file=file, mend="write one, or leave the word out"
            )


_FOR_LATER = {"inserts_due_from"}
"""Worked out for the list of what falls due."""


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
