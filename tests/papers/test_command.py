"""`toeroom paper` as it is typed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.conftest import ROOT
from toeroom.cli import main
from toeroom.papers.kinds import KINDS

CASE = str(ROOT / "cases_demo/leg-length-14-mm.yaml")


def _refused(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert main(arguments) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    return captured.err


def test_markdown_goes_to_the_screen(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["paper", "work-order", CASE]) == 0
    out = capsys.readouterr().out
    assert out.startswith("# Work order\n")
    assert "](work-order-lift.svg)" in out


def test_the_ending_says_the_format(tmp_path: Path) -> None:
    for ending, start in (("md", b"# Work order"), ("html", b"<!DOCTYPE html>"), ("pdf", b"%PDF")):
        path = tmp_path / f"order.{ending}"
        assert main(["paper", "work-order", CASE, "--to", str(path)]) == 0
        assert path.read_bytes().startswith(start)
    assert (tmp_path / "order-lift.svg").read_text().startswith("<svg")
    assert "](order-lift.svg)" in (tmp_path / "order.md").read_text()


def test_all_papers_go_into_a_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["paper", "--all", CASE, "--to", str(tmp_path / "new")]) == 0
    written = {path.name for path in (tmp_path / "new").iterdir()}
    assert written == {f"leg-length-14-mm-{kind}.pdf" for kind in KINDS}
    assert len(capsys.readouterr().out.splitlines()) == len(KINDS)


def test_the_kinds_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["paper", "--kinds", "--json"]) == 0
    assert [json.loads(line)["kind"] for line in capsys.readouterr().out.splitlines()] == list(KINDS)


def test_json_says_whether_the_plan_stops(capsys: pytest.CaptureFixture[str]) -> None:
    main(["paper", "--json", "work-order", str(ROOT / "cases_demo/hot-swollen-foot.yaml")])
    shown = json.loads(capsys.readouterr().out)
    assert (shown["kind"], shown["format"], shown["stop"]) == ("work-order", "md", True)
    assert shown["text"].startswith("# Work order")


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["paper"], "toeroom paper KIND CASE.yaml"),
        (["paper", "work-order"], "needs its kind and a case"),
        (["paper", "workorder", CASE], "did you mean 'work-order'?"),
        (["paper", "plan", "nowhere.yaml"], "nowhere.yaml"),
        (["paper", "plan", CASE, "--format", "pdf"], "--to FILE.pdf"),
        (["paper", "--all", CASE], "--to DIR"),
        (["paper", "--all", CASE, "--to", CASE], "cannot be made"),
        (["paper", "plan", CASE, "--templates", "nowhere"], "no such folder"),
        (["paper", "plan", CASE, "--to", "/proc/none/x.html"], "cannot be written"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(
    arguments: list[str], word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert word in _refused(arguments, capsys)


def test_without_the_extra_a_pdf_is_refused_with_what_to_install(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(__import__("sys").modules, "typst", None)
    said = _refused(["paper", "plan", CASE, "--to", str(tmp_path / "x.pdf")], capsys)
    assert "pip install 'toeroom[papers]'" in said
    assert not (tmp_path / "x.pdf").exists()
