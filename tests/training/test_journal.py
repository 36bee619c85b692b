"""A session is on the disk after every step, whatever happens next."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.case import read_case
from toeroom.errors import BadInput
from toeroom.training.decisions import Decision
from toeroom.training.journal import read_journal, sessions_folder, trainee_code
from toeroom.training.session import Session, recorded_sessions, unfinished

CASE = ROOT / "cases_demo/bunion-and-numb-feet.yaml"
START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


def ticking(step: int = 60):  # type: ignore[no-untyped-def]
    times = (START + timedelta(seconds=step * n) for n in range(10_000))
    return lambda: next(times)


def begun(book: Book, folder: Path) -> Session:
    return Session.begin(
        book.planner, read_case(CASE, book.vocabulary), folder, trainee="T7", clock=ticking()
    )


def walked_a_bit(book: Book, folder: Path) -> Session:
    session = begun(book, folder)
    session.decide()
    session.ask("open_wound")
    session.sketch(Decision(items=frozenset({("deep_toe_box", "left")}), say="Let me see"))
    session.decide()
    session.ask("sensation_lost")
    session.sketch(Decision(items=frozenset({("extra_width", "left")})))
    return session


def test_a_session_goes_on_where_it_was(book: Book, tmp_path: Path) -> None:
    before = walked_a_bit(book, tmp_path)
    recorded = unfinished(tmp_path, "T7")
    assert recorded is not None
    after = Session.resume(book.planner, recorded, clock=ticking())
    assert after.walk.as_json() == before.walk.as_json()
    assert (after.draft, after.walk.known) == (before.draft, before.walk.known)
    while not after.walk.closed:
        after.decide()
    result = read_journal(after.path).result
    assert result is not None
    assert result["score"] == after.walk.score
    assert unfinished(tmp_path, "T7") is None


def test_every_torn_end_loses_only_the_step_that_is_torn(book: Book, tmp_path: Path) -> None:
    path = walked_a_bit(book, tmp_path).path
    whole = path.read_bytes()
    lines = whole.splitlines(keepends=True)
    for size in range(len(lines[0]), len(whole) + 1, 37):
        path.write_bytes(whole[:size])
        kept = sum(1 for n in range(1, len(lines) + 1) if len(b"".join(lines[:n])) <= size)
        recorded = read_journal(path)
        assert 1 + len(recorded.events) == kept
        Session.resume(book.planner, recorded, clock=ticking())
        assert [json.loads(line) for line in path.read_text().splitlines()][-1]["resumed"] is True


def test_time_away_is_not_counted(book: Book, tmp_path: Path) -> None:
    session = begun(book, tmp_path)
    session.decide()
    recorded = unfinished(tmp_path, "T7")
    assert recorded is not None
    later = iter(START + timedelta(days=3, seconds=30 * n) for n in range(99))
    again = Session.resume(book.planner, recorded, clock=lambda: next(later))
    for _ in range(5):
        again.decide()
    result = read_journal(again.path).result
    assert result is not None
    assert result["seconds"] == 60 + 5 * 30


@pytest.mark.parametrize("text", ["", "Anna", "T 7", "../7", "7" * 17, "T7\n"])
def test_a_name_is_no_code(text: str) -> None:
    with pytest.raises(BadInput, match="never a name"):
        trainee_code(text)


def test_a_damaged_line_is_named_and_another_file_is_passed_over(book: Book, tmp_path: Path) -> None:
    path = walked_a_bit(book, tmp_path).path
    lines = path.read_text().splitlines()
    path.write_text("\n".join([*lines[:2], "{]", *lines[2:]]) + "\n")
    with pytest.raises(BadInput, match="line 3: a line of the session is damaged"):
        read_journal(path)
    assert list(recorded_sessions(tmp_path)) == []


def test_a_folder_that_cannot_be_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="cannot be made"):
        sessions_folder(tmp_path / "file" / "below")


WALKER = """
import sys
from pathlib import Path
from toeroom.book import open_book
from toeroom.case import read_case
from toeroom.training.session import Session, unfinished
book, folder = open_book(), Path(sys.argv[1])
recorded = unfinished(folder, "K1")
if recorded:
    session = Session.resume(book.planner, recorded)
else:
    session = Session.begin(book.planner, read_case(sys.argv[2], book.vocabulary), folder, trainee="K1")
print("steps", len(session.walk.asked) + len(session.walk.steps), flush=True)
while not session.walk.closed:
    for term in session.walk.may_ask()[:6]:
        session.ask(term.id)
        print("steps", len(session.walk.asked) + len(session.walk.steps), flush=True)
    session.decide()
    print("steps", len(session.walk.asked) + len(session.walk.steps), flush=True)
print("closed", flush=True)
"""


def test_killed_again_and_again_it_loses_at_most_the_step_being_taken(tmp_path: Path) -> None:
    die, last = random.Random(8), 0
    for _ in range(12):
        process = subprocess.Popen(
            [sys.executable, "-c", WALKER, str(tmp_path), str(CASE)],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
            text=True,
        )
        assert process.stdout is not None
        first = process.stdout.readline()
        assert int(first.split()[1]) >= last
        said = [first, *(process.stdout.readline() for _ in range(die.randrange(8)))]
        process.send_signal(signal.SIGKILL)
        said += process.stdout.read().splitlines()
        process.wait()
        last = max(int(line.split()[1]) for line in said if line.startswith("steps"))
        (path,) = tmp_path.glob("*.jsonl")
        recorded = read_journal(path)
        assert len([e for e in recorded.events if "ask" in e or "decide" in e]) >= last
        if recorded.result is not None:
            break
    assert last > 10
