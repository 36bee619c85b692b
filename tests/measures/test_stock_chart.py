"""A chart of one's own stock: read strictly, and the shoe it gives."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toeroom.book import Book
from toeroom.errors import BadInput
from toeroom.stock_chart import FootNeeds, StockChart, parse_chart, pick, read_chart

HEAD = "size,width,inner_length_mm,inner_width_mm,toe_depth_mm\n"
GOOD = HEAD + "\n".join(
    f"{41 + half / 2:g},{width},{265 + half * 4},{96 + half + 6 * step},{27 + step}"
    for half in range(9)
    for step, width in enumerate("FGH")
)


@pytest.fixture(scope="module")
def chart(book: Book) -> StockChart:
    return parse_chart(GOOD, book.vocabulary)


def needs(
    side: str, length: float, width: float | None = None, depth: float | None = None, fit: float = 0
) -> FootNeeds:
    def exact(value: float | None) -> Fraction | None:
        return None if value is None else Fraction(str(value))

    foot = exact(length)
    assert foot is not None
    return FootNeeds(side, foot, max(foot, Fraction(str(fit))), exact(width), exact(depth))


def test_read(chart: StockChart) -> None:
    assert len(chart.shoes) == 27
    first = chart.shoes[0]
    assert (first.name, first.inner_length, first.inner_width, first.toe_depth) == ("41 F", 265, 96, 27)


def test_marks_with_parts(book: Book) -> None:
    text = HEAD.replace(",toe_depth_mm", "") + "8½,,270,100\n42 2/3,,275,101\n43.5,,280,102\n"
    assert [shoe.size for shoe in parse_chart(text, book.vocabulary).shoes] == [
        Fraction(17, 2),
        Fraction(128, 3),
        Fraction(87, 2),
    ]


REFUSED = [
    ("", 1, "holds no shoe"),
    (HEAD, 1, "holds no shoe"),
    (HEAD.replace(",", ";"), 1, "not separated by commas"),
    (
        HEAD.replace("inner_length_mm", "inner_length_cm") + "42,G,27,10,3",
        1,
        "in millimetres, 'inner_length_mm'",
    ),
    (HEAD.replace("inner_width_mm", "inner_widht_mm"), 1, "did you mean 'inner_width_mm'"),
    (HEAD.replace("inner_width_mm,", ""), 1, "'inner_width_mm' is missing"),
    (HEAD.replace("toe_depth_mm", "size"), 1, "there twice"),
    (HEAD + "42,G,275,101\n", 2, "4 values for 5 columns"),
    (HEAD + "42,G,nan,101,27\n", 2, "cannot be 'nan'"),
    (HEAD + "42,G,-275,101,27\n", 2, "cannot be '-275'"),
    (HEAD + '42,G,"27,5",101,27\n', 2, "decimals with a point"),
    (HEAD + "42,G,1e2,101,27\n", 2, "cannot be '1e2'"),
    (HEAD + "42,G,,101,27\n", 2, "cannot be ''"),
    (HEAD + "42,G,27.5,101,27\n", 2, "27.5 centimetres would be 275 mm"),
    (HEAD + "42,G,275,4,27\n", 2, "4 inches would be 101.6 mm"),
    (HEAD + "forty,G,275,101,27\n", 2, "the size cannot be 'forty'"),
    (HEAD + "42 3/2,G,275,101,27\n", 2, "the size cannot be"),
    (HEAD + ",G,275,101,27\n", 2, "the size cannot be"),
    (HEAD + "42,[red]G,275,101,27\n", 2, "the width cannot be"),
    (HEAD + "42,G,275,101,27\n\n42.0,G,276,102,27\n", 4, "there twice"),
    (HEAD + "42,G,275,101,27\n43,G,275,102,27\n", 3, "overlap"),
    (HEAD + "43,G,275,101,27\n42,G,280,102,27\n", 2, "overlap"),
    (HEAD + "42,G,275,101,27\n43,G,285.1,102,27\n", 3, "a gap of 10.1 mm"),
    (HEAD + "42,G,275,101,27\n43,G,282,100,27\n", 3, "narrower inside"),
    (HEAD + "42,G,275,101,27\n42,H,276,101,27\n", 3, "equally wide"),
    (HEAD + "42,G,275,101,27\n42,H,275,105,27\n43,G,280,106,27\n43,H,280,105.5,27\n", 4, "narrower"),
    (HEAD + '42,"G,275,101,27\n', 2, "not CSV"),
]


@pytest.mark.parametrize(("text", "line", "what"), REFUSED)
def test_a_wrong_chart_is_refused_with_its_line(text: str, line: int, what: str, book: Book) -> None:
    with pytest.raises(BadInput) as caught:
        parse_chart(text, book.vocabulary, name="stock.csv")
    assert what in str(caught.value)
    assert str(caught.value).startswith(f"stock.csv, line {line}:")
    assert "\n" not in str(caught.value)


def test_a_file(tmp_path: Path, book: Book) -> None:
    path = tmp_path / "stock.csv"
    path.write_text("﻿" + GOOD, encoding="utf-8")
    assert len(read_chart(path, book.vocabulary).shoes) == 27
    with pytest.raises(BadInput, match="no such file"):
        read_chart(tmp_path / "none.csv", book.vocabulary)


def test_the_shoe_and_how_each_foot_sits(chart: StockChart) -> None:
    found = pick(chart, [needs("left", 262, 104, 28), needs("right", 258, 100)])
    assert (found.pair, found.found) == (True, True)
    left, right = found.feet
    assert left.shoe.name == right.shoe.name == "42 G"
    assert (left.room, left.width_spare, left.depth_spare) == (11, 0, 0)
    assert (right.room, right.width_spare, right.depth_spare) == (15, 4, None)
    assert any("left: the depth just equals" in note for note in found.notes)
    assert any(note.startswith("right: toe height") for note in found.notes)


def test_nothing_fits_says_by_how_much(chart: StockChart) -> None:
    found = pick(chart, [needs("left", 262, 125)])
    assert not found.found
    assert any("too narrow" in note for note in found.notes)


def test_unequal_feet_get_a_shoe_each(chart: StockChart) -> None:
    found = pick(chart, [needs("left", 255, 96), needs("right", 266, 100)])
    assert (found.pair, found.found) == (False, True)
    assert found.notes[0].startswith("no one shoe")
    two = pick(chart, [needs("left", 255, 96), needs("right", 264, 100)], two_sizes=True)
    assert two.found
    assert all(10 <= foot.room <= 20 for foot in two.feet)


def test_the_ball_is_served_first(chart: StockChart) -> None:
    plain, by_ball = (pick(chart, [needs("left", 262, 100, fit=fit)]).feet[0] for fit in (0, 268))
    assert by_ball.shoe.inner_length - 268 >= 10
    assert by_ball.room <= 20
    assert plain.room < by_ball.room


@given(length=st.integers(2550, 2900), width=st.integers(900, 1150), depth=st.integers(200, 300))
def test_a_pick_that_is_called_found_fits_and_another_that_fits_is_never_missed(
    length: int, width: int, depth: int, chart: StockChart
) -> None:
    foot = needs("left", length / 10, width / 10, depth / 10)

    def fits(shoe: object) -> bool:
        room = shoe.inner_length - foot.length  # type: ignore[attr-defined]
        return 10 <= room <= 20 and shoe.inner_width >= foot.width and shoe.toe_depth >= foot.depth  # type: ignore[attr-defined]

    found = pick(chart, [foot])
    assert found.found is any(fits(shoe) for shoe in chart.shoes)
    assert found.found is fits(found.feet[0].shoe)
    assert bool(found.feet[0].misses) is not found.found


rows = st.lists(st.text(alphabet='0123456789.,½/ "\n;GH-nae\x00', max_size=40), max_size=6)


@given(lines=rows, with_head=st.booleans())
def test_any_text_is_a_chart_or_one_line(lines: list[str], with_head: bool, book: Book) -> None:
    said = ""
    try:
        assert parse_chart((HEAD if with_head else "") + "\n".join(lines), book.vocabulary).shoes
    except BadInput as fault:
        said = str(fault)
    assert "\n" not in said
