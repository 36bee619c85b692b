"""What was practised, what is weak, what comes next, and what a room decided."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from fsrs import Rating

from tests.training.trainees import as_planned
from toeroom.book import Book
from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.training.classroom import GO_ON, rooms
from toeroom.training.decisions import Decision
from toeroom.training.journal import Recorded
from toeroom.training.library import demo_cases
from toeroom.training.marking import moment_of
from toeroom.training.progress import COLUMNS, as_csv, attempts, next_case, progress, rating
from toeroom.training.session import Session, recorded_sessions
from toeroom.training.variants import variant

START = datetime(2026, 11, 2, 9, 0, tzinfo=UTC)


def closed(case: str, day: int, score: int, trainee: str = "T7", **sections: dict[str, int]) -> Recorded:
    at = (START + timedelta(days=day)).isoformat()
    result: dict[str, Any] = {"score": score, "harm": 0, "decided": 0.5, "asked": 0.5, "steps": 9}
    result |= {"sections": sections or {"stop": {"right": 1}}, "seconds": 300, "grade": "simple"}
    head = {"at": at, "case": case, "of": case.partition("-v")[0], "trainee": trainee}
    return Recorded(Path(f"{trainee}-{case}-{day}"), head, ({"at": at, "result": result},), 0)


@pytest.mark.parametrize(
    ("score", "wanted"),
    [
        (-1, Rating.Again),
        (-86, Rating.Again),
        (0, Rating.Hard),
        (44, Rating.Hard),
        (45, Rating.Good),
        (90, Rating.Easy),
        (100, Rating.Easy),
    ],
)
def test_any_harm_is_done_again(score: int, wanted: Rating) -> None:
    assert rating(score) == wanted


def test_the_better_it_went_the_later_it_comes_again() -> None:
    due = [progress([closed("boats", 0, s)], "T7", START).standings["boats"].due for s in (-50, 20, 70, 95)]
    assert due == sorted(due)
    assert due[0] < due[2] < due[3]


def test_the_same_sessions_give_the_same_progress() -> None:
    own = [closed("boats", n, 40 + n) for n in range(0, 40, 7)]
    first = progress(own, "T7", START + timedelta(days=60)).as_json()
    assert first == progress(own[::-1], "T7", START + timedelta(days=60)).as_json()


def test_what_is_due_comes_first_then_what_is_new(book: Book) -> None:
    cases = demo_cases(book)
    later = START + timedelta(days=400)
    own = [closed("boats", 0, 95), closed("new-sandals", 0, -50), closed("new-sandals-v1", 1, 20)]
    found = next_case(progress(own, "T7", later), cases, book.vocabulary, later)
    assert (found.case.id, found.variant, found.why) == ("new-sandals", 2, "due again")
    soon = START + timedelta(hours=1)
    found = next_case(progress(own[:1], "T7", soon), cases, book.vocabulary, soon)
    assert (found.why, found.variant, found.case.grade) == ("new", 0, "simple")
    assert found.case.id != "boats"


def test_a_new_case_is_one_on_the_weakest_topic(book: Book) -> None:
    cases = demo_cases(book)
    for section in ("alteration", "stop", "insert"):
        own = [closed("boats", 0, 95, **{section: {"missed": 3, "right": 1}, "build": {"right": 4}})]
        stands = progress(own, "T7", START)
        assert stands.weak[0] == section
        found = next_case(stands, cases, book.vocabulary, START)
        taught = {book.vocabulary.plan_items[item].section for item in found.case.lesson.covers}
        assert section in taught


def test_when_all_is_known_the_first_to_fall_due_is_named(book: Book) -> None:
    cases = demo_cases(book)[:3]
    own = [closed(case.id, n, 95) for n, case in enumerate(cases)]
    at = START + timedelta(days=3)
    found = next_case(progress(own, "T7", at), cases, book.vocabulary, at)
    assert found.case.id == cases[0].id
    assert found.why.startswith("due on 2026-")


def test_only_the_latest_walk_of_a_case_makes_a_topic_weak() -> None:
    own = [closed("boats", 0, 10, build={"missed": 4}), closed("boats", 9, 90, build={"right": 4})]
    stands = progress(own, "T7", START)
    assert stands.topics["build"] == 1.0
    assert "asking" in stands.weak


def test_the_table_holds_a_line_a_walk_and_no_other_trainee() -> None:
    recorded = [
        closed("boats", 0, 10),
        closed("boats", 2, 60, trainee="T9"),
        closed("boats", 1, 5, trainee=""),
    ]
    rows = list(csv.DictReader(io.StringIO(as_csv(attempts(recorded, "T7")))))
    assert [row["score"] for row in rows] == ["10"]
    assert tuple(rows[0]) == COLUMNS
    assert len(attempts(recorded)) == 2


# --- a room ------------------------------------------------------------------------------------------
def test_a_room_is_counted_stage_by_stage(book: Book, tmp_path: Path) -> None:
    case = next(c for c in demo_cases(book) if c.id == "hot-swollen-foot")
    for code, stops in (("T1", True), ("T2", True), ("T3", False)):
        walk_through(book, case, tmp_path, code, stops=stops)
    (tmp_path / "stray.session.jsonl").write_text("not a session")
    (room,) = rooms(book.planner, tmp_path)
    assert (room.case, room.sessions, room.closed) == ("hot-swollen-foot", 3, 3)
    look = room.stages["look"]
    assert look["stop", "right"].codes == ["T1", "T2"]
    assert (look[GO_ON, "person"].codes, look[GO_ON, "person"].harmful) == (["T3"], 1)
    assert look["refer_suspected_charcot", "right"].harmful == 0
    assert room.asked["look"]["hot_swollen_foot"] == 3
    assert room.decided["touch"] == 1


def walk_through(book: Book, case: Case, folder: Path, code: str, *, stops: bool) -> None:
    session = Session.begin(book.planner, case, folder, trainee=code)
    session.decide()
    session.ask("hot_swollen_foot")
    if stops:
        session.sketch(as_planned(book.planner, moment_of(book.planner, session.walk.known)))
        session.decide(end=True)
    while not session.walk.closed:
        session.sketch(Decision())
        session.decide()


def test_a_walk_of_a_variant_counts_for_its_case(book: Book, tmp_path: Path) -> None:
    case = demo_cases(book)[0]
    session = Session.begin(book.planner, variant(book.planner, case, 4), tmp_path, trainee="T1", of=case.id)
    session.decide(end=True)
    (attempt,) = attempts(recorded_sessions(tmp_path))
    assert (attempt.case, attempt.of) == (f"{case.id}-v4", case.id)


def test_a_folder_that_is_none_is_said(book: Book, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such folder"):
        rooms(book.planner, tmp_path / "none")
