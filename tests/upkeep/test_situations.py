"""What is said of rules without any case holds in cases."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest

from toeroom.book import Book
from toeroom.case import Case, case_as_yaml, parse_case
from toeroom.rules.planning import Outcome
from toeroom.upkeep.generating import CaseMaker, numbered
from toeroom.upkeep.situations import Situation, Situations, Want


@pytest.fixture(scope="module")
def maker(book: Book) -> CaseMaker:
    return CaseMaker(Situations(book.rules, book.vocabulary))


@pytest.fixture(scope="module")
def made(book: Book, maker: CaseMaker) -> list[tuple[Case, Outcome]]:
    cases = numbered(maker, maker.pairs(), range(700))
    return [(case, book.planner.run(case)) for case in cases]


def test_every_rule_is_reached(book: Book, made: list[tuple[Case, Outcome]]) -> None:
    spoke = {rule_id for _, outcome in made for rule_id, _ in outcome.fired | outcome.read}
    assert [rule.id for rule in book.rules if rule.id not in spoke] == []


def test_two_rules_speak_in_the_case_made_for_both(book: Book, maker: CaseMaker) -> None:
    pairs = maker.pairs()
    numbers = range(len(maker.rules), len(maker.rules) + 600)
    both = 0
    for number, case in zip(numbers, numbered(maker, pairs, numbers), strict=True):
        outcome = book.planner.run(case)
        spoke = {rule_id for rule_id, _ in outcome.fired | outcome.read}
        both += {maker.rules[i].id for i in pairs[number]} <= spoke
    assert both >= 0.88 * len(numbers)  # the others contradict each other


def test_the_same_number_gives_the_same_case(book: Book, maker: CaseMaker) -> None:
    again = CaseMaker(Situations(book.rules, book.vocabulary))
    for number in (0, 7, 411, 30_000):
        pair = maker.pairs()[number % len(maker.pairs())]
        assert again.case(number, pair) == maker.case(number, pair)


def test_a_made_case_is_a_case_file(book: Book, made: list[tuple[Case, Outcome]]) -> None:
    for case, _ in made[::10]:
        assert parse_case(case_as_yaml(case, book.vocabulary), book.vocabulary) == case


def test_where_one_rule_is_said_to_hold_another_both_speak(
    book: Book, maker: CaseMaker, made: list[tuple[Case, Outcome]]
) -> None:
    situations = maker.situations
    rules = [rule for rule in book.rules if rule.when_it_runs != (0, 0)]
    found = [
        (one, other)
        for one in rules
        for other in rules
        if one is not other and one.about == other.about and situations.contained(one, one.sides[0], other)
    ]
    assert len(found) > 100
    for case, outcome in made:
        for one, other in found:
            if (one.id, one.sides[0]) in outcome.fired:
                assert (other.id, one.sides[0]) in outcome.fired, (one.id, other.id, case)


def _words(*words: str) -> Want:
    return Want(frozenset(words))


@pytest.mark.parametrize(
    ("one", "other", "both"),
    [
        (_words("yes", "no"), _words("no", "unknown"), _words("no")),
        (Want(low=1), Want(high=3), Want(low=1, high=3)),
        (Want(low=2, low_open=True), Want(low=2), Want(low=2, low_open=True)),
        (Want(high=2, high_open=True), Want(high=2), Want(high=2, high_open=True)),
    ],
)
def test_wants_join(one: Want, other: Want, both: Want) -> None:
    assert one.and_(other) == both == other.and_(one)
    assert both.within(one)
    assert both.within(other)


def test_wants_that_leave_nothing() -> None:
    assert not _words("yes").and_(_words("no")).possible
    assert not Want(low=3, low_open=True).and_(Want(high=3)).possible
    assert not Want(is_stated=True).and_(Want(is_stated=False)).possible
    assert Want(low=3).and_(Want(high=3)).possible


def _numbers(chance: Random) -> Iterator[Want]:
    for _ in range(300):
        low, high = sorted(chance.choices(range(5), k=2))
        yield Want(low=low, high=high, low_open=chance.random() < 0.5, high_open=chance.random() < 0.5)


def test_within_is_told_by_the_values() -> None:
    values = [step / 2 for step in range(-1, 11)]
    chance = Random(3)
    for one, other in zip(_numbers(chance), _numbers(chance), strict=True):
        if one.within(other):
            assert all(other.holds(value) for value in values if one.holds(value))
        joined = one.and_(other)
        for value in values:
            assert joined.holds(value) == (one.holds(value) and other.holds(value))


def test_a_situation_that_contradicts_itself_is_none(maker: CaseMaker) -> None:
    one = Situation({"left.bunion": _words("yes")}, frozenset({"left.needs_width"}))
    assert maker.situations.merged(one, Situation({"left.bunion": _words("no")})) is None
    assert maker.situations.merged(one, Situation(absent=frozenset({"left.needs_width"}))) is None
    assert maker.situations.merged(one, Situation({"right.bunion": _words("no")})) is not None
