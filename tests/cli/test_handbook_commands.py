"""`toeroom search`, `page`, `kb check` and `ask` through real processes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from tests.cli.run import toeroom
from tests.conftest import ROOT
from toeroom.book import open_book
from toeroom.case import read_case


def lines_in(command: list[str], text: str) -> subprocess.CompletedProcess[str]:
    whole = [sys.executable, "-m", "toeroom", *command]
    return subprocess.run(whole, cwd=ROOT, input=text, capture_output=True, text=True, timeout=120)


def test_search_json_has_the_shape_of_the_contract() -> None:
    found = json.loads(toeroom("search", "--json", "numb foot wants a smaller size").stdout)
    assert set(found) >= {"query", "corrected", "hits"}
    assert set(found["hits"][0]) >= {"page", "heading", "score", "text"}
    assert found["hits"][0]["page"] == "feels-too-big"


def test_search_reads_lines_and_answers_each() -> None:
    done = lines_in(["search", "--json", "-"], "bunion\n\nrocker sole\n")
    assert [json.loads(line)["query"] for line in done.stdout.splitlines()] == ["bunion", "rocker sole"]


def test_a_slip_of_spelling_is_mended_and_said() -> None:
    found = json.loads(toeroom("search", "--json", "metatarsel heads").stdout)
    assert found["corrected"] == "metatarsal heads"
    assert "searched for: metatarsal heads" in toeroom("search", "metatarsel heads").stdout


def test_page_is_plain_where_it_is_no_terminal() -> None:
    text = toeroom("page", "bunion").stdout
    assert "\x1b" not in text
    assert "**" not in text
    assert text.startswith("Bunion")


def test_an_unknown_page_names_the_nearest() -> None:
    done = toeroom("page", "bunyon")
    assert (done.returncode, done.stdout) == (2, "")
    assert "'bunion'" in done.stderr


def test_the_shipped_handbook_holds_together() -> None:
    done = toeroom("kb", "check")
    assert done.returncode == 0, done.stdout
    assert "95 pages" in done.stdout or "pages" in done.stdout


def test_ask_json_is_one_line_for_each_line() -> None:
    done = lines_in(["ask", "--json", "-"], "which shoe for a bunion on the left\nhow do I boil an egg\n")
    assert done.returncode == 0
    first, second = (json.loads(line) for line in done.stdout.splitlines())
    assert (first["abstained"], second["abstained"]) == (False, True)
    assert first["answers"][0]["page"] == "bunion"
    assert second["answers"] == []


def test_ask_about_a_case_plans_that_case() -> None:
    case = "tests/data/cases_dev/ev-109.yaml"
    reply = json.loads(toeroom("ask", "--json", "--case", case, "which closure?").stdout)
    assert reply["plan"]["case"] == "ev-109"


def test_a_conversation_is_saved_as_case_and_markdown(tmp_path: Path) -> None:
    case, words = tmp_path / "talk.yaml", tmp_path / "talk.md"
    done = lines_in(["ask", "--save", str(case), "--markdown", str(words)], "numb both feet, bunion L\nno\n")
    assert done.returncode == 0, done.stderr
    read = read_case(case, open_book(ROOT).vocabulary)
    assert read.finding("bunion", "left") == "yes"
    assert "## Understood" in words.read_text()


def test_where_it_cannot_be_saved_one_line_says_so(tmp_path: Path) -> None:
    done = lines_in(["ask", "--save", str(tmp_path / "no" / "talk.yaml")], "bunion L\n")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1


def test_any_bytes_on_standard_input_are_survived() -> None:
    whole = [sys.executable, "-m", "toeroom", "ask", "--json", "-"]
    done = subprocess.run(
        whole, cwd=ROOT, input=b"\xff\xfe bunion \x00\x1b[31m L\n", capture_output=True, timeout=120
    )
    assert done.returncode == 0
    assert json.loads(done.stdout)["question"]
