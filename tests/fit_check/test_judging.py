"""Each point against its published limit, and never a word for the whole."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from toeroom.book import Book
from toeroom.case import parse_case
from toeroom.fit_check.judging import AGAIN, BLANK, FAILS, HOLDS, judge
from toeroom.fit_check.points import POINTS, FitCheck
from toeroom.fit_check.report import judgement_lines


def _verdict(point: str, value: str | int, book: Book, findings: str = "") -> tuple[str, str]:
    case = parse_case(f"case: a\nas_of: 2026-11-25\n{findings}", book.vocabulary)
    found = {(point, "left"): Decimal(value) if isinstance(value, int) else value}
    judged = judge(replace(case, fit_check=FitCheck(found=found))).judged
    one = next(one for one in judged if (one.point.id, one.side) == (point, "left"))
    return one.verdict, one.says


@pytest.mark.parametrize(
    ("room", "verdict"),
    [(9, FAILS), (10, HOLDS), (13, HOLDS), (15, HOLDS), (16, AGAIN), (20, AGAIN), (21, FAILS)],
)
def test_toe_room_by_both_bands(room: int, verdict: str, book: Book) -> None:
    found, says = _verdict("room_mm", room, book)
    assert found == verdict
    assert "10 to 20 mm" in says
    assert "10 to 15 mm" in says


@pytest.mark.parametrize(
    ("point", "value", "verdict", "says"),
    [
        ("ball_spare_mm", 0, HOLDS, ""),
        ("ball_spare_mm", -5, FAILS, "any inequality, 4 mm"),
        ("depth_spare_mm", 0, FAILS, "nothing"),
        ("depth_spare_mm", 3, HOLDS, "no source"),
        ("heel_lift_mm", 0, HOLDS, ""),
        ("heel_lift_mm", 7, FAILS, "more than"),
        ("bend_off_mm", -8, AGAIN, "8 mm behind"),
        ("mark_minutes", 19, HOLDS, "note where"),
        ("mark_minutes", 20, FAILS, "20 minutes"),
        ("skin_whole", "no", FAILS, "clinician"),
        ("toes_move", "yes", HOLDS, ""),
        ("toes_move", "unknown", BLANK, ""),
    ],
)
def test_points(point: str, value: str | int, verdict: str, says: str, book: Book) -> None:
    found, said = _verdict(point, value, book)
    assert found == verdict
    assert says in said


def test_a_numb_or_untested_heel_is_not_waited_for(book: Book) -> None:
    assert "do not wait" in _verdict("heel_lift_mm", 4, book)[1]
    assert "do not wait" in _verdict("heel_lift_mm", 4, book, "left: {sensation_lost: yes}\n")[1]
    assert "fades" in _verdict("heel_lift_mm", 4, book, "left: {sensation_lost: no}\n")[1]


def test_a_check_that_holds_is_still_only_figures(book: Book) -> None:
    good = {"mm": Decimal(12), "min": Decimal(15)}
    zero = ("heel_lift_mm", "bend_off_mm", "mark_minutes")
    found = {
        (p.id, side): Decimal(0) if p.id in zero else good.get(p.unit, "yes")
        for p in POINTS
        for side in (("person",) if p.scope == "person" else ("left", "right"))
    }
    case = replace(
        parse_case("case: a\nas_of: 2026-11-25\n", book.vocabulary), fit_check=FitCheck(found=found)
    )
    judgement = judge(case)
    assert judgement.done
    text = "\n".join(judgement_lines(case, judgement)).lower()
    assert "12 mm" in text
    assert not any(phrase in text for phrase in ("fits well", "good fit", "comfortable"))


def test_a_missing_foot_is_not_asked_about(book: Book) -> None:
    case = parse_case("case: a\nas_of: 2026-11-25\nleft: {leg_amputated: yes}\n", book.vocabulary)
    assert {one.side for one in judge(case).judged} == {"right", "person"}


def test_broken_skin_outranks_all(book: Book) -> None:
    case = parse_case("case: a\nas_of: 2026-11-25\nfit_check: {left: {skin_whole: no}}\n", book.vocabulary)
    assert "clinician" in judge(case).summary
