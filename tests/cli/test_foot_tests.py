"""`toeroom tests` and its like through real processes."""

from __future__ import annotations

import json

import pytest

from tests.cli.run import toeroom

POOR_SUPPLY = "cases_demo/toe-gone-and-poor-supply.yaml"


def test_the_tests_of_a_case() -> None:
    done = toeroom("tests", "--json", POOR_SUPPLY, "cases_demo/hot-swollen-foot.yaml")
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert len(lines) == 2
    assert all(line["deferral"] for line in lines)
    assert "no second day is waited for" in json.dumps(lines[1])
    assert "ankle/arm index" in toeroom("tests", POOR_SUPPLY).stdout


def test_a_case_without_tests_says_so() -> None:
    assert "states no test" in toeroom("tests", "cases_demo/unequal-feet-in-doubt.yaml").stdout


ASKED = [
    (["circulation", "--arms", "136", "140", "--left", "ankle=84/92"], "ankle_arm_index", 0.66),
    (["filament", "--left", "rwr", "rrr", "wrw"], "filament_sites_missed", 1),
    (["temperature", "2026-11-24=31.2/28.9C"], "skin_difference", 2.3),
    (["wound-score", "--site", "hindfoot", "--pulse", "absent"], "sinbad", [2, 6]),
    (["joints", "--left", "bunion=32"], "bunion_angle", 32),
    (["relief", "195kPa", "--before", "280kPa"], "in_shoe_pressure", 195),
]


@pytest.mark.parametrize(("words", "figure", "value"), ASKED)
def test_each_command_gives_its_figure_with_rule_and_source(
    words: list[str], figure: str, value: object
) -> None:
    found = json.loads(toeroom(*words, "--json").stdout)["tests"][0]["figures"][0]
    assert (found["id"], found["value"]) == (figure, value)
    assert found["rule"]
    assert found["source"]
    assert "name no disease" in toeroom(*words).stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["circulation", "--arms", "140"], "no pressure of a foot"),
        (["circulation", "--left", "ankle=nan"], "cannot be 'nan'"),
        (["filament"], "no answer is stated"),
        (["temperature"], "no reading is stated"),
        (["temperature", "2026-11-24=31/29C", "2026-11-24=31/30C"], "two readings on 2026-11-24"),
        (["wound-score"], "nothing of the wound"),
        (["wound-score", "--signs", "none", "pus"], "says none and more"),
        (["wound-score", "--area", "-1"], "the area cannot be '-1'"),
        (["joints"], "no angle is stated"),
        (["relief", "infkPa"], "cannot be 'infkPa'"),
        (["tests", "no-such.yaml"], "no such file"),
    ],
)
def test_bad_input_is_said_in_one_line(words: list[str], said: str) -> None:
    done = toeroom(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1, done.stderr
    assert said in done.stderr
