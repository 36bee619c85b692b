"""Small faults put into a rule on purpose: one test, one part, one item at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from toeroom.rules.explaining import wanted
from toeroom.rules.model import All, AnyOf, Condition, Feet, Rule, Test, Then, tests_of
from toeroom.vocabulary import PERSON, Vocabulary

_STRICT = {"<": "<=", "<=": "<", ">": ">=", ">=": ">"}
_TURNED = {"<": ">=", "<=": ">", ">": "<=", ">=": "<"}
_FEET = {"either foot": "each foot", "each foot": "either foot", "both sides": "either foot"}
_OPPOSITE = {"yes": "no", "no": "yes"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """A rule with one fault. `rule` is None where the whole rule was dropped."""

    of: Rule
    rule: Rule | None
    what: str
    line: int

    @property
    def in_condition(self) -> bool:
        """Whether it speaks at other times; otherwise it says other things."""
        return self.rule is not None and self.rule.when != self.of.when


def mutants(rules: Iterable[Rule], vocabulary: Vocabulary) -> Iterator[Mutant]:
    """Every fault of every rule, in the order of the book.

    Left out, because they change nothing: holding back an item that no rule advises at that place.
    """
    rules = tuple(rules)
    given = {(i, _scope(rule, own)) for rule in rules for own, items in _given(rule) for i in items}
    for rule in rules:
        for condition, what, line in _conditions(rule.when, vocabulary):
            yield Mutant(rule, replace(rule, when=condition), what, line or rule.line)
        for then, what in _thens(rule.then, {i for i, about in given if about == rule.about}):
            yield Mutant(rule, replace(rule, then=then), what, rule.line)
        if rule.stage == "guard":
            yield Mutant(rule, None, "the guard is dropped", rule.line)


def _given(rule: Rule) -> Iterator[tuple[bool, tuple[str, ...]]]:
    yield True, rule.then.advise
    yield False, rule.then.advise_person


def _scope(rule: Rule, own: bool) -> str:
    return rule.about if own else PERSON


# --- conditions -----------------------------------------------------------------------------------
def _conditions(condition: Condition, vocabulary: Vocabulary) -> Iterator[tuple[Condition, str, int]]:
    if isinstance(condition, Test):
        for test in _tests(condition, vocabulary):
            yield test, f"'{_words(condition)}' made '{_words(test)}'", condition.line
        return
    if isinstance(condition, Feet):
        line = _line(condition)
        if condition.which in _FEET:
            other = _FEET[condition.which]
            yield Feet(other, condition.part), f"'{condition.which}' made '{other}'", line
        for part, what, at in _conditions(condition.part, vocabulary):
            yield Feet(condition.which, part), what, at
        return
    yield from _parts(condition, vocabulary)


def _parts(condition: All | AnyOf, vocabulary: Vocabulary) -> Iterator[tuple[Condition, str, int]]:
    kind = type(condition)
    parts = condition.parts
    swapped, word = (AnyOf, "'all of' made 'any of'") if kind is All else (All, "'any of' made 'all of'")
    yield swapped(parts), word, _line(condition)
    for number, part in enumerate(parts):
        rest = (*parts[:number], *parts[number + 1 :])
        yield (rest[0] if len(rest) == 1 else kind(rest)), f"'{_words(part)}' dropped", _line(part)
        for inner, what, line in _conditions(part, vocabulary):
            yield kind((*parts[:number], inner, *parts[number + 1 :])), what, line


def _tests(test: Test, vocabulary: Vocabulary) -> Iterator[Test]:
    if test.op in _STRICT and isinstance(test.value, Decimal):
        yield replace(test, op=_STRICT[test.op])
        yield replace(test, op=_TURNED[test.op])
        step = Decimal(1).scaleb(int(test.value.as_tuple().exponent))
        yield replace(test, value=test.value + step)
        yield replace(test, value=test.value - step)
    elif test.op in ("stated", "missing"):
        yield replace(test, op="missing" if test.op == "stated" else "stated")
    elif test.op == "this side":
        yield replace(test, op="stated")
    elif test.kind == "finding":
        yield from _findings(test)
    elif test.kind == "choice":
        options = vocabulary.choices[test.id].one_of
        yield replace(test, value=next(o for o in options if o != test.value))
    else:
        yield from _others(test, vocabulary)


def _findings(test: Test) -> Iterator[Test]:
    value = str(test.value)
    yield replace(test, op="!=" if test.op == "=" else "=")
    if value == "unknown":
        yield replace(test, op="!=", value="yes")
    else:
        yield replace(test, op="!=" if test.op == "=" else "=", value=_OPPOSITE[value])
        yield replace(test, op="=", value=_OPPOSITE[value] if test.op == "=" else "unknown")


def _others(test: Test, vocabulary: Vocabulary) -> Iterator[Test]:
    value = str(test.value)
    values = getattr(vocabulary.by_id[test.id], "one_of", ()) if test.kind == "derived" else ()
    if values:
        yield replace(test, op="!=" if test.op == "=" else "=")
        yield replace(test, value=values[(values.index(value) + 1) % len(values)])
    elif test.op == "!=":
        yield replace(test, op="=")
    else:
        yield replace(test, value=_OPPOSITE[value])


def _words(condition: Condition) -> str:
    if isinstance(condition, Test):
        if condition.kind == "plan":
            return f"{'advised' if condition.value == 'yes' else 'not advised'}: {condition.id}"
        return f"{condition.id}: {wanted(condition, 'this side')}"
    first = next(tests_of(condition))
    word = (
        condition.which
        if isinstance(condition, Feet)
        else "all of"
        if isinstance(condition, All)
        else "any of"
    )
    return f"{word}: {_words(first)}, …" if len(list(tests_of(condition))) > 1 else f"{word}: {_words(first)}"


def _line(condition: Condition) -> int:
    return next(tests_of(condition)).line


# --- what follows ---------------------------------------------------------------------------------
def _thens(then: Then, advised: set[str]) -> Iterator[tuple[Then, str]]:
    for item in then.advise:
        yield replace(then, advise=_less(then.advise, item)), f"'{item}' no longer advised"
    for item in then.advise_person:
        fewer = _less(then.advise_person, item)
        yield replace(then, advise_person=fewer), f"'{item}' no longer advised for the person"
    for item in then.hold_back:
        if item in advised:
            yield replace(then, hold_back=_less(then.hold_back, item)), f"'{item}' no longer held back"
    for pair in then.conclude:
        fewer_pairs = tuple(p for p in then.conclude if p != pair)
        yield replace(then, conclude=fewer_pairs), f"'{pair[0]}' no longer concluded"
    for number, caution in enumerate(then.cautions):
        left = (*then.cautions[:number], *then.cautions[number + 1 :])
        yield replace(then, cautions=left), f"the caution '{caution.text[:40]}…' dropped"
    for item, _ in then.detail:
        yield (
            replace(then, detail=tuple(d for d in then.detail if d[0] != item)),
            f"figures of '{item}' dropped",
        )
    for number in range(len(then.reads)):
        yield (
            replace(then, reads=_turned(then.reads, number)),
            f"'{then.reads[number][0]}' read the other way",
        )
    for number in range(len(then.corrects)):
        turned = _turned(then.corrects, number)
        yield replace(then, corrects=turned), f"'{then.corrects[number][0]}' corrected the other way"


def _less(items: tuple[str, ...], item: str) -> tuple[str, ...]:
    return tuple(i for i in items if i != item)


def _turned(pairs: tuple[tuple[str, str], ...], number: int) -> tuple[tuple[str, str], ...]:
    term_id, value = pairs[number]
    return (*pairs[:number], (term_id, _OPPOSITE[value]), *pairs[number + 1 :])
