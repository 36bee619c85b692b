"""What points at a page of the handbook: rules, words of the vocabulary, cases."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from toeroom.book import Book
from toeroom.case import Case
from toeroom.handbook.pages import Page
from toeroom.rules.model import Rule
from toeroom.vocabulary import PlanItem, Term


@dataclass(frozen=True, slots=True)
class Pointing:
    """Who sends a reader to one page.

    rules: active rules that name it. findings: findings, measures, choices and dates whose page it is.
    items: plan items whose page it is. cases: those that state with yes a finding that the page serves.
    """

    rules: tuple[Rule, ...]
    findings: tuple[Term, ...]
    items: tuple[PlanItem, ...]
    cases: tuple[Case, ...]


def pointing_at(page: Page, book: Book, cases: Iterable[Case] = ()) -> Pointing:
    """What points at `page`: each group in the order of the book, the cases in the order given."""
    vocabulary = book.vocabulary
    stated = (*vocabulary.findings, *vocabulary.measures, *vocabulary.choices, *vocabulary.dates)
    serves = set(page.findings)
    return Pointing(
        rules=tuple(rule for rule in book.rules if page.id in rule.pages),
        findings=tuple(vocabulary.by_id[i] for i in stated if vocabulary.by_id[i].page == page.id),
        items=tuple(item for item in vocabulary.plan_items.values() if page.id in (*item.pages, item.page)),
        cases=tuple(case for case in cases if serves & _there(case)),
    )


def _there(case: Case) -> set[str]:
    """The findings that a case states with yes, on either foot or the person."""
    return {finding for (finding, _), value in case.findings.items() if value == "yes"}
