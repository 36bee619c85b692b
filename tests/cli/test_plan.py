"""`toeroom plan` through real processes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.run import toeroom
from tests.conftest import ROOT

WOUND = "tests/data/cases_dev/ev-126.yaml"
INFECTED = "tests/data/cases_dev/ev-111.yaml"
NUMB = "tests/data/cases_dev/ev-127.yaml"
DEMO = sorted(str(p.relative_to(ROOT)) for p in (ROOT / "cases_demo").glob("*.yaml"))
DEFERRAL = "licensed clinicians"


def test_the_demo_cases_are_two_dozen_that_teach() -> None:
    texts = [(ROOT / case).read_text() for case in DEMO]
    assert len(texts) >= 24
    assert all("teaches:" in text and "grade:" in text for text in texts)


def test_json_is_one_line_a_case_in_order() -> None:
    done = toeroom("plan", "--json", NUMB, WOUND, INFECTED)
    assert (done.returncode, done.stderr) == (0, "")
    plans = [json.loads(line) for line in done.stdout.splitlines()]
    assert [plan["case"] for plan in plans] == ["ev-127", "ev-126", "ev-111"]
    assert [plan["stop"] for plan in plans] == [False, True, True]
    assert plans[0]["book"]["rules"] >= 120


def test_json_has_the_shape_of_the_contract() -> None:
    plan = json.loads(toeroom("plan", "--json", WOUND).stdout)
    assert {"case", "as_of", "stop", "items", "derived", "cautions", "ask_next", "deferral", "book"} <= set(
        plan
    )
    wanted = {
        "id",
        "side",
        "section",
        "label",
        "standing",
        "by",
        "reasons",
        "cautions",
        "pages",
        "sources",
        "detail",
    }
    for item in plan["items"]:
        assert wanted <= set(item)
        assert item["standing"] in ("advised", "held_back")
        assert bool(item.get("held_back_by")) == (item["standing"] == "held_back")
    first = plan["items"][0]
    assert (first["id"], first["side"], first["section"]) == ("refer_wound_care", "left", "stop")
    matched = first["reasons"][0]["matched"]
    assert matched == [{"derived": "treated_as_wound", "side": "left", "is": "yes"}]
    chain = next(s for s in plan["derived"] if s["id"] == "treated_as_wound")
    assert chain["reasons"][0]["matched"] == [{"finding": "open_wound", "side": "left", "is": "yes"}]
    assert {"finding", "side", "question", "weight"} <= set(plan["ask_next"][0])


def test_the_same_case_gives_the_same_bytes() -> None:
    outputs = {toeroom("plan", "--json", INFECTED, env={"PYTHONHASHSEED": str(n)}).stdout for n in (0, 1, 2)}
    assert len(outputs) == 1


def test_text_puts_the_stop_first_and_the_deferral_last() -> None:
    text = toeroom("plan", WOUND).stdout
    lines = text.splitlines()
    assert lines[3].startswith("STOP  left foot is not fitted today")
    assert text.index("STOP") < text.index("\nShoe ") < text.index("\nHeld back ")
    assert DEFERRAL in " ".join(lines[-2:])
    assert "\x1b" not in text


def test_urgent_text_says_what_to_say_and_write_and_folds_the_rest() -> None:
    text = toeroom("plan", INFECTED).stdout
    assert text.count("say: ") == text.count("write: ") == 1
    assert "\nWaits      all else: " in text
    assert "\nShoe " not in text
    assert "\nShoe " in toeroom("plan", "--full", INFECTED).stdout


@pytest.mark.parametrize("case", [NUMB, WOUND, INFECTED, *DEMO])
def test_text_says_no_caution_twice_and_always_defers(case: str) -> None:
    for arguments in ([case], ["--full", case]):
        joined = " ".join(toeroom("plan", *arguments).stdout.split())
        cautions = [part.split(" ! ")[0][:60] for part in joined.split(" ! ")[1:]]
        assert len(cautions) == len(set(cautions))
        assert cautions
        assert DEFERRAL in joined


@pytest.mark.parametrize("case", DEMO)
def test_what_is_particular_fits_on_a_screen(case: str) -> None:
    # 100 columns wide; a screen at the bench has about 65 rows. A hard case has more that is its own.
    lines = toeroom("plan", case).stdout.splitlines()
    assert len(lines) <= (75 if "grade: hard" in (ROOT / case).read_text() else 65)


def test_why_leads_down_to_what_was_stated() -> None:
    text = toeroom("plan", "--why", "therapeutic_shoe@right", WOUND).stdout
    assert "Category 2 or 3 wears a shoe made for the diabetic foot [therapeutic-by-risk]" in text
    assert "- open wound, left" in text
    assert "- feeling lost, left" in text
    assert "source: iwgdf-2023-prevention" in text


def test_why_of_an_absent_item_says_what_failed() -> None:
    text = toeroom("plan", "--why", "rocker_sole@left", NUMB).stdout
    assert "Rocker sole, left foot: not in the plan" in text
    assert "Stiff ankle, left is unknown, not: yes" in text


def test_why_of_a_held_back_item_says_what_holds_it() -> None:
    found = json.loads(toeroom("plan", "--json", "--why", "therapeutic_shoe@left", WOUND).stdout)
    assert found["why"][0]["standing"] == "held_back"
    assert found["why"][0]["held_back_by"][0]["rule"] == "nothing-for-a-stopped-foot"


def test_what_if_tells_what_changes_item_by_item() -> None:
    found = json.loads(toeroom("plan", "--json", "--what-if", "open_wound@left=yes", NUMB).stdout)
    assert found["stop"] == {"before": False, "after": True}
    changed = {(c["id"], c["side"]): (c["before"], c["after"]) for c in found["changes"]}
    assert changed["refer_wound_care", "left"] == ("absent", "advised")
    assert changed["soft_padded_upper", "left"] == ("advised", "held_back")
    text = toeroom("plan", "--what-if", "open_wound@left=yes", NUMB).stdout
    assert "the fitting would stop" in text


def test_what_if_takes_measures_and_choices_too() -> None:
    arguments = ["--what-if", "leg_difference_mm=14", "--what-if", "short_leg=left"]
    found = json.loads(toeroom("plan", "--json", *arguments, NUMB).stdout)
    assert ("sole_build_up", "left") in {(c["id"], c["side"]) for c in found["changes"]}


@pytest.mark.parametrize(
    ("arguments", "mend"),
    [
        (["--why", "rocker_soul", NUMB], "did you mean 'rocker_sole'?"),
        (["--why", "rocker_sole@middle", NUMB], "use left, right or person"),
        (["--what-if", "open_wund=yes", NUMB], "did you mean 'open_wound'?"),
        (["--what-if", "open_wound@person=yes", NUMB], "use left or right"),
        (["--what-if", "open_wound=maybe", NUMB], "use yes, no or unknown"),
        (["--what-if", "foot_length_mm@left=26.2", NUMB], "262.0 mm"),
        (["--what-if", "open_wound", NUMB], "write FINDING@SIDE=yes"),
        (["--why", "rocker_sole", "--what-if", "bunion=yes", NUMB], "ask one of the two"),
        ([], "see 'toeroom --help'"),
    ],
)
def test_bad_arguments_are_said_in_one_line(arguments: list[str], mend: str) -> None:
    done = toeroom("plan", *arguments)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    assert mend in done.stderr


def test_one_bad_case_of_several_leaves_nothing_half_written(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("case: bad\nleft: {bunyon: yes}\n")
    done = toeroom("plan", "--json", NUMB, str(bad))
    assert (done.returncode, done.stdout) == (2, "")
    assert "line 2: 'bunyon' is not known here; did you mean 'bunion'?" in done.stderr


def test_a_folder_that_is_no_book(tmp_path: Path) -> None:
    done = toeroom("--book", str(tmp_path), "plan", NUMB)
    assert done.returncode == 2
    assert "there is no book here" in done.stderr


def test_hostile_text_reaches_the_terminal_without_control_characters(tmp_path: Path) -> None:
    case = tmp_path / "case.yaml"
    case.write_text('case: x\ntitle: "\\e[31mred \\a[bold]not bold[/b]"\n', encoding="utf-8")
    done = toeroom("plan", str(case))
    assert done.returncode == 0
    assert "\x1b" not in done.stdout
    assert "\x07" not in done.stdout
    assert "[bold]not bold[/b]" in done.stdout


def test_words_lists_what_a_case_may_state() -> None:
    lines = toeroom("words", "bunion").stdout.splitlines()
    assert [line.split()[0] for line in lines][:2] == ["bunion", "tailors_bunion"]


def test_rules_show_reads_a_rule_aloud() -> None:
    text = toeroom("rules", "show", "lift-outside").stdout
    assert "Leg-length difference is more than 10" in text
    assert "advise: sole_build_up" in text
    assert toeroom("rules", "show", "lift-outsid").returncode == 2
