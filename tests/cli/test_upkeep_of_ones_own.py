"""A senior fitter's journey without a line of Python: a book of one's own, a rule, its review, an update."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.conftest import ROOT


@pytest.fixture
def own(tmp_path: Path) -> Path:
    done = toeroom("book", "new", str(tmp_path / "own"))
    assert done.returncode == 0
    assert done.stdout.endswith(f"use it with --book {tmp_path / 'own'}\n")
    return tmp_path / "own"


def run(book: Path, *words: str) -> tuple[int, str, str]:
    done = toeroom("--book", str(book), *words)
    assert "Traceback" not in done.stderr
    return done.returncode, done.stdout, done.stderr


def change(path: Path, *pairs: tuple[str, str]) -> None:
    text = path.read_text()
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    path.write_text(text)


FINDING = """findings:
  ticklish:
    scope: foot
    said_by: wearer
    group: feeling
    label: Ticklish foot
    question: "Is the {foot} ticklish?"
    look: "Ask."
    page: ticklish-feet
    words: [ticklish]
"""
FILLED = (
    ("title: …", "title: A ticklish foot gets a soft upper"),
    ("when: []", "when: [ticklish]"),
    ("then: {}", "then: {advise: [soft_padded_upper]}"),
    ("source: […]", "source: [common-practice]"),
    ("pages: […]", "pages: [ticklish-feet]"),
    ("{…: yes}", "{ticklish: yes}"),
    ("{…: no}", "{ticklish: no}"),
)


def test_a_new_finding_its_page_its_rule_and_a_newer_book(own: Path, tmp_path: Path) -> None:
    change(own / "rules/vocabulary.yaml", ("findings:\n", FINDING))
    told = run(own, "kb", "new", "ticklish-feet", "--shelf", "feet", "--title", "Ticklish feet", "--by", "ab")
    page = own / "kb/feet/ticklish-feet.md"
    assert told[1].startswith(f"{page}, line ")
    change(page, ("words: […]", "words: [ticklish]"), ("findings: []", "findings: [ticklish]"))
    change(
        page, ('{key: …, at: "…"', '{key: common-practice, at: "all"'), ("status: draft", "status: active")
    )
    page.write_text(page.read_text().replace("…", "A ticklish foot draws back when it is touched."))
    told = run(own, "rules", "new", "ticklish-foot", "--topic", "our-own", "--by", "ab")
    rule = own / "rules/our-own.yaml"
    assert told == (0, f"{rule}, line 6: a draft; fill in every … and run 'toeroom rules check'\n", "")
    code, said, _ = run(own, "rules", "check")
    assert code == 1
    assert said.count("still to be filled in") == 6
    change(rule, *FILLED)
    assert "no rule looks at 'ticklish'" in run(own, "rules", "check")[1]
    change(rule, ("    status: draft\n", ""))
    assert run(own, "rules", "check") == (0, "the rules hold together\n", "")
    assert run(own, "rules", "test")[0] == 0
    assert run(own, "kb", "check")[0] == 0

    assert run(own, "rules", "review", "ticklish-foot", "--by", "cd", "--on", "2026-11-25")[0] == 0
    code, table, _ = run(own, "rules", "table", "our-own")
    assert "| A ticklish foot gets a soft upper<br>ticklish-foot |" in table
    assert "2026-11-25 by cd" in table

    newer = tmp_path / "newer"
    for part in ("kb", "rules", "cases_demo"):
        shutil.copytree(ROOT / part, newer / part)
    change(newer / "rules/fit.yaml", ("Overlapping toes, soft corns", "Overlapping toes, corns"))
    change(newer / "rules/vocabulary.yaml", ("label: Open wound\n", "label: Open wound or sore\n"))
    code, said, _ = run(own, "book", "update", str(own), "--newer", str(newer))
    assert said.endswith("your book is up to date now; as it was it lies in .toeroom-base/before\n")
    assert code == 0
    assert "ticklish" in (own / "rules/vocabulary.yaml").read_text()
    assert "label: Open wound or sore" in (own / "rules/vocabulary.yaml").read_text()
    case = tmp_path / "case.yaml"
    case.write_text("case: x\nleft: {ticklish: yes}\n")
    plan = json.loads(run(own, "plan", "--json", str(case))[1])
    assert ("soft_padded_upper", "left") in {(item["id"], item["side"]) for item in plan["items"]}


def test_a_conflict_is_shown_rule_by_rule_and_settled(own: Path, tmp_path: Path) -> None:
    newer = tmp_path / "newer"
    for part in ("kb", "rules", "cases_demo"):
        shutil.copytree(ROOT / part, newer / part)
    change(own / "rules/fit.yaml", ("stretch_upper, seamless_lining]}", "stretch_upper]}"))
    change(newer / "rules/fit.yaml", ("    when: [bunion]\n", "    when: [bunion, lops]\n"))
    update = ("book", "update", str(own), "--newer", str(newer))
    code, said, _ = run(own, *update)
    assert code == 1
    assert "CONFLICT rule:bunion-build in rules/fit.yaml: meaning changed on both sides" in said
    assert "+    when: [bunion, lops]" in said
    assert "nothing was changed: settle the conflict with --take ours ID or --take theirs ID" in said
    told = json.loads(run(own, *update, "--json")[1])
    assert [c["name"] for c in told["conflicts"]] == ["rule:bunion-build"]
    assert run(own, *update, "--take", "mine", "bunion-build")[0] == 2
    assert run(own, *update, "--take", "ours", "bunion")[0] == 2
    code, said, _ = run(own, *update, "--take", "ours", "bunion-build", "--dry-run")
    assert (code, said.splitlines()[-1]) == (0, "your book is up to date")
    code, said, _ = run(own, *update, "--take", "ours", "bunion-build")
    assert code == 0
    assert run(own, *update)[1] == "your book is up to date\n"


def test_what_is_due_in_one_list(own: Path) -> None:
    assert run(own, "reviews")[1].startswith("0 of ")
    assert run(own, "rules", "review", "--until", "2026-12-01")[0] == 0
    run(own, "kb", "review", "bunion", "--by", "ab", "--on", "2026-11-25", "--next", "2026-12-01")
    run(own, "rules", "review", "bunion-build", "--by", "ab", "--on", "2026-11-25", "--next", "2026-12-01")
    code, said, _ = run(own, "reviews", "--until", "2026-12-01", "--json")
    assert code == 1
    assert [json.loads(line)["id"] for line in said.splitlines()] == ["bunion-build", "bunion"]
    lines = run(own, "reviews", "--until", "2026-12-01", "--csv")[1].splitlines()
    assert lines[0] == "kind,id,title,place,reviewed,by,next,file,line"
    assert len(lines) == 3
    for words in (
        ("reviews", "--until", "1.12.2026"),
        ("reviews", "--csv", "--json"),
        ("rules", "review", "bunion-build"),
        ("rules", "review", "--by", "ab"),
        ("rules", "review", "bunion-build", "--by", "ab", "--until", "2026-12-01"),
    ):
        code, said, fault = run(own, *words)
        assert (code, said, fault.count("\n")) == (2, "", 1)


def test_gaps_and_tables_are_written(own: Path, tmp_path: Path) -> None:
    asked = tmp_path / "asked.txt"
    asked.write_text("How do I get chewing gum off a sole?\n")
    code, said, _ = run(own, "rules", "gaps", str(asked), str(own / "cases_demo"))
    assert code == 1
    assert said.splitlines()[0] == "no page: How do I get chewing gum off a sole?"
    assert "1 questions: 1 found no page, 0 hardly one, 0 are not for a fitter" in said
    told = json.loads(run(own, "rules", "gaps", str(asked), "--json")[1])
    assert told["asked"][0]["page"] is None
    to = tmp_path / "socks.csv"
    assert run(own, "rules", "table", "socks", "--to", str(to))[0] == 0
    assert to.read_text().startswith("Rule,About,When,Then,")
    assert len(json.loads(run(own, "rules", "table", "socks", "--json")[1])["rows"]) == len(
        [line for line in (own / "rules/socks.yaml").read_text().splitlines() if "- id:" in line]
    )


def test_a_folder_called_as_a_command_is(tmp_path: Path) -> None:
    book = tmp_path / "book"
    assert toeroom("book", "new", str(book)).returncode == 0
    done = toeroom("--book", str(book), "rules", "check")
    assert done.stdout == "the rules hold together\n"
    done = subprocess.run(
        [sys.executable, "-m", "toeroom", "--book", "book", "rules", "check"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout == "the rules hold together\n"
