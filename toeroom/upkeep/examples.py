"""The examples inside the rules: each rule speaks in one case and stays silent in another close by."""

from __future__ import annotations

from toeroom.book import Book
from toeroom.case import Case, parse_case
from toeroom.errors import BadInput, BookFault
from toeroom.rules.model import Rule
from toeroom.vocabulary import PERSON, Vocabulary


def example_case(rule: Rule, kind: str, vocabulary: Vocabulary) -> Case:
    """The example of `rule` (`fires` or `silent`) as a case. Raises `BookFault` where it is none."""
    example = rule.fires if kind == "fires" else rule.silent
    text = _as_yaml({"case": "example", "as_of": "2026-11-25", **example})
    try:
        return parse_case(text, vocabulary, name=rule.file)
    except BadInput as fault:
        what = f"rule '{rule.id}', example '{kind}': {fault.what}"
        raise BookFault(what, file=rule.file, line=rule.line, mend=fault.mend) from None


def speaks_in(book: Book, rule: Rule, case: Case) -> bool:
    """Whether `rule` speaks in `case`: for the left foot where it is about a foot."""
    outcome = book.planner.run(case)
    side = PERSON if rule.about == "person" else "left"
    return (rule.id, side) in outcome.read | outcome.fired


def failing_examples(book: Book) -> list[BookFault]:
    """A fault for every example that does not do what it says."""
    faults = []
    for rule in book.rules:
        for kind, wanted in (("fires", True), ("silent", False)):
            try:
                case = example_case(rule, kind, book.vocabulary)
            except BookFault as fault:
                faults.append(fault)
                continue
            if speaks_in(book, rule, case) != wanted:
                what = f"rule '{rule.id}' {'stays silent' if wanted else 'speaks'} in its example '{kind}'"
                faults.append(
                    BookFault(what, file=rule.file, line=rule.line, mend="mend the rule or the example")
                )
    return faults


def _as_yaml(value: object) -> str:
    """Nested dicts of texts in YAML's flow style."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_as_yaml(inner)}" for key, inner in value.items()) + "}"
    return str(value)
