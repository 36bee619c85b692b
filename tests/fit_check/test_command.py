"""`toeroom fit-check` as somebody at the desk meets it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.book import Book
from toeroom.case import read_case
from toeroom.cli import main


@pytest.fixture
def case(tmp_path: Path) -> Path:
    return Path(shutil.copy(ROOT / "cases_demo/bunion-and-numb-feet.yaml", tmp_path / "c.yaml"))


def _typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> list[str]:
    """Answers the prompts with `lines`, then ends the input; the prompts met."""
    left: Iterator[str] = iter(lines)
    met: list[str] = []

    def answer(prompt: str) -> str:
        met.append(prompt)
        try:
            return next(left)
        except StopIteration:
            raise EOFError from None

    monkeypatch.setattr("builtins.input", answer)
    return met


def test_it_stops_and_goes_on_where_it_was(
    case: Path, monkeypatch: pytest.MonkeyPatch, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    before = case.read_text()
    _typed(monkeypatch, "2026-12-08", "KB", "cotton", "13", "y", "q")
    assert main(["fit-check", str(case)]) == 1
    assert "goes on from this point" in capsys.readouterr().out
    assert case.read_text().startswith(before)
    met = _typed(monkeypatch, "2")
    assert main(["fit-check", str(case)]) == 1
    assert "wider than the left foot" in met[0]
    check = read_case(case, book.vocabulary).fit_check
    assert check is not None
    assert check.of("ball_spare_mm", "left") == 2


def test_a_wrong_answer_is_asked_again_and_enter_leaves_open(
    case: Path, monkeypatch: pytest.MonkeyPatch, book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    _typed(monkeypatch, "8 December", "2026-12-08", "", "", "plenty", "?", "130", "13", "")
    main(["fit-check", str(case)])
    out = capsys.readouterr().out
    assert "is not a date" in out
    assert "plain number of mm" in out
    assert "Heel back" in out
    assert "out of range" in out
    check = read_case(case, book.vocabulary).fit_check
    assert check is not None
    assert dict(check.found) == {("room_mm", "left"): 13}


def test_the_walk_comes_before_the_skin(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    met = _typed(monkeypatch, *[""] * 40)
    main(["fit-check", str(case)])
    order = ["crease in front", "both shoes walked in", "marks on the left", "skin of the left"]
    found = [next(i for i, prompt in enumerate(met) if words in prompt) for words in order]
    assert found == sorted(found)


def test_a_stopped_foot_is_not_asked_about(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = shutil.copy(ROOT / "cases_demo/open-wound-on-the-sole.yaml", tmp_path / "c.yaml")
    met = _typed(monkeypatch)
    assert main(["fit-check", str(path)]) == 1
    assert met == []
    assert capsys.readouterr().out.startswith("STOP  the left foot is not fitted")


def test_json_asks_nothing(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case.write_text(case.read_text() + "fit_check: {left: {room_mm: 16}}\n")
    assert main(["fit-check", "--json", str(case)]) == 1
    shown = json.loads(capsys.readouterr().out)
    room = next(p for p in shown["points"] if p["id"] == "room_mm" and p["side"] == "left")
    assert (room["found"], room["verdict"]) == ("16 mm", "look again")
    assert shown["deferral"]
