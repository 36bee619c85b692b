"""The fit check in a case file: strictly read, written back to the same, never read by the plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.case import case_as_yaml, parse_case, read_case
from toeroom.errors import BadInput
from toeroom.fit_check.points import POINTS, FitCheck, Point

HEAD = "case: a\nas_of: 2026-11-25\n"
FULL = f"""{HEAD}fit_check:
  day: 2026-12-08
  by: KB
  socks: thin cotton
  left: {{room_mm: 13.5, ball_at_widest: yes, skin_whole: unknown}}
  right: {{ball_spare_mm: -3}}
  person: {{walked_minutes: 10}}
"""


def test_a_full_block_is_read(book: Book) -> None:
    check = parse_case(FULL, book.vocabulary).fit_check
    assert check is not None
    assert (check.day, check.by, check.socks) == (date(2026, 12, 8), "KB", "thin cotton")
    assert check.found == {
        ("room_mm", "left"): Decimal("13.5"),
        ("ball_at_widest", "left"): "yes",
        ("skin_whole", "left"): "unknown",
        ("ball_spare_mm", "right"): Decimal(-3),
        ("walked_minutes", "person"): Decimal(10),
    }
    assert check.of("heel_lift_mm", "left") == "unknown"


def test_a_case_without_one_has_none(book: Book) -> None:
    assert parse_case(HEAD, book.vocabulary).fit_check is None
    assert parse_case(f"{HEAD}fit_check:\n", book.vocabulary).fit_check is None


@pytest.mark.parametrize(
    ("block", "line", "word"),
    [
        ("fit_check: fits well", 3, "'name: value' lines"),
        ("fit_check:\n  left: {room: 13}", 4, "'room_mm'"),
        ("fit_check:\n  left:\n    room_mm: 900", 5, "-20 to 60 mm"),
        ("fit_check:\n  left: {room_mm: 13 mm}", 4, "plain number of mm"),
        ("fit_check:\n  left: {room_mm: yes}", 4, "plain number of mm"),
        ("fit_check:\n  left: {skin_whole: good}", 4, "yes, no or unknown"),
        ("fit_check:\n  left: {skin_whole: 1}", 4, "yes, no or unknown"),
        ("fit_check:\n  left: {walked_minutes: 10}", 4, "not known"),
        ("fit_check:\n  person: {room_mm: 13}", 4, "not known"),
        ("fit_check:\n  day: 2026-02-30", 4, "does not exist"),
        ("fit_check:\n  by: Somebody With A Name", 4, "longer than 12"),
        ("fit_check:\n  by: [a]", 4, "must be text"),
        ("fit_check:\n  verdict: fits well", 4, "not known"),
        ("fit_check:\n  left: {room_mm: 13, room_mm: 14}", 4, "second time"),
    ],
)
def test_what_is_not_understood_is_refused_with_its_line(
    block: str, line: int, word: str, book: Book
) -> None:
    with pytest.raises(BadInput) as caught:
        parse_case(f"{HEAD}{block}\n", book.vocabulary, name="c.yaml")
    assert f"c.yaml, line {line}:" in str(caught.value)
    assert word in str(caught.value)


def _values(point: Point) -> st.SearchStrategy[object]:
    if point.unit:
        tenths = st.integers(point.low * 10, point.high * 10)
        return tenths.map(lambda n: Decimal(n) / 10) | st.just("unknown")
    return st.sampled_from(["yes", "no", "unknown"])


@st.composite
def checks(draw: st.DrawFn) -> FitCheck:
    places = [
        (p, side) for p in POINTS for side in (("person",) if p.scope == "person" else ("left", "right"))
    ]
    chosen = draw(st.lists(st.sampled_from(places), min_size=1, unique_by=lambda at: (at[0].id, at[1])))
    words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=12)
    by = draw(words.map(lambda t: " ".join(t.split())))
    return FitCheck(
        draw(st.none() | st.dates(date(2020, 1, 1), date(2030, 1, 1))),
        by,
        "",
        {(point.id, side): draw(_values(point)) for point, side in chosen},
    )


@given(check=checks())
def test_what_is_written_is_read_back_to_the_same(check: FitCheck, book: Book) -> None:
    case = replace(parse_case(HEAD, book.vocabulary), fit_check=check)
    assert parse_case(case_as_yaml(case, book.vocabulary), book.vocabulary) == case


def test_the_plan_never_reads_it(book: Book) -> None:
    case = read_case(book.cases_demo / "bunion-and-numb-feet.yaml", book.vocabulary)
    bad = FitCheck(found={("room_mm", "left"): Decimal(-5), ("skin_whole", "left"): "no"})
    assert book.planner.plan(replace(case, fit_check=bad)) == book.planner.plan(case)
