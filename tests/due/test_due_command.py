"""`toeroom due` through real processes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.conftest import ROOT

PAPERS = "cases_demo/papers-with-a-lapse.yaml"
STOPPED = "cases_demo/open-wound-on-the-sole.yaml"
ON = ("--on", "2026-11-25")


def test_a_folder_by_week() -> None:
    lines = toeroom("due", "cases_demo", "--by-week", *ON).stdout.splitlines()
    headings = [line for line in lines if line.startswith(("STOP", "Overdue", "Week"))]
    assert headings[:3] == [
        "STOP: refer before anything else",
        "Overdue",
        "Week 48, 2026-11-23 to 2026-11-29",
    ]
    assert "licensed clinicians" in lines[-1]
    fewer = toeroom("due", "cases_demo", "--weeks", "1", *ON).stdout
    assert "Week 48" in fewer
    assert "Week 50" not in fewer


def test_json_is_one_document_a_case_in_order() -> None:
    done = toeroom("due", "cases_demo", "--json", *ON)
    found = [json.loads(line) for line in done.stdout.splitlines()]
    assert [one["case"] for one in found] == sorted(one["case"] for one in found)
    assert len(found) == len(list((ROOT / "cases_demo").glob("*.yaml")))
    kept = {"id", "label", "from", "until", "standing", "source"}
    added = {"side", "what", "why", "page", "category", "week", "stopped"}
    assert {frozenset(due) for one in found for due in one["due"]} == {frozenset(kept | added)}


def test_a_stop_is_said_first() -> None:
    assert "STOP  left foot not fitted" in toeroom("due", STOPPED).stdout.splitlines()[1]


def test_the_calendar_file_is_the_same_each_time(tmp_path: Path) -> None:
    one, other = tmp_path / "a.ics", tmp_path / "b.ics"
    for path in (one, other):
        assert toeroom("due", "cases_demo", "--weeks", "9", "--ics", str(path), *ON).returncode == 0
    assert one.read_bytes() == other.read_bytes()
    assert one.read_bytes().count(b"BEGIN:VEVENT\r\n") > 5


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([STOPPED, "--picture", "x.svg"], "no papers to draw"),
        ([STOPPED, PAPERS, "--picture", "x.svg"], "a picture shows one case"),
        (["docs"], "no case file here"),
        (["no-such"], "no such file"),
        ([STOPPED, "--weeks", "0"], "between 1 and"),
        ([STOPPED, "--weeks", "9" * 6000], "between 1 and"),
        ([STOPPED, "--on", "2026-02-30"], "does not exist"),
        ([STOPPED, "--with-titles"], "--ics"),
        ([STOPPED, STOPPED, "--ics", "x.ics"], "two files hold the case"),
        ([STOPPED, "--ics", "no-such-folder/x.ics"], "cannot be written"),
    ],
)
def test_bad_input_is_said_in_one_line(arguments: list[str], said: str) -> None:
    done = toeroom("due", *arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1, done.stderr
    assert said in done.stderr
