"""`toeroom size`, `due`, `lift` and `rocker` through real processes."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.cli.run import toeroom

UNEQUAL = "cases_demo/unequal-feet-in-doubt.yaml"
PAPERS = "cases_demo/papers-with-a-lapse.yaml"
STOPPED = "cases_demo/open-wound-on-the-sole.yaml"


def test_size_from_a_case_and_from_words_agree() -> None:
    # 262 mm is US men 8.94, the nearest half 9 (3 x inches - 22, domain table 1A).
    words = ["--left", "25.4cm", "--right", "262mm", "--system", "us_men"]
    found = json.loads(toeroom("size", "--json", *words).stdout)
    assert found["decides"] == "right"
    assert [size["mark"] for size in found["sizes"]] == [9]
    text = toeroom("size", *words).stdout
    assert "US men" in text
    assert "licensed clinicians" in text


def test_the_unit_of_entry_does_not_matter() -> None:
    one = json.loads(toeroom("size", "--json", "--left", "254mm").stdout)
    other = json.loads(toeroom("size", "--json", "--left", "10in").stdout)
    assert one == other


def test_size_of_a_stopped_foot_says_the_stop_first(tmp_path: Path) -> None:
    case = tmp_path / "case.yaml"
    case.write_text("case: x\nleft: {open_wound: yes}\nmeasures: {left: {foot_length_mm: 262}}\n")
    text = toeroom("size", str(case)).stdout
    assert text.startswith("STOP  the left foot is not fitted today")
    assert json.loads(toeroom("size", "--json", str(case)).stdout)["stopped"] == ["left"]


def test_size_draws_a_picture(tmp_path: Path) -> None:
    picture = tmp_path / "size.svg"
    assert toeroom("size", UNEQUAL, "--picture", str(picture)).returncode == 0
    assert ElementTree.parse(picture).getroot().tag.endswith("svg")


def test_a_stock_chart_picks_the_shoe(tmp_path: Path) -> None:
    chart = tmp_path / "chart.csv"
    rows = [f"{size},D,{260 + 5 * n},{98 + n},30" for n, size in enumerate(("8", "8.5", "9", "9.5", "10"))]
    chart.write_text("\n".join(["size,width,inner_length_mm,inner_width_mm,toe_depth_mm", *rows]) + "\n")
    done = toeroom("size", "--json", "--left", "255mm", "ball width=99mm", "--chart", str(chart))
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["chart"]


def test_due_says_which_paper_fails_and_until_when() -> None:
    found = json.loads(toeroom("due", "--json", PAPERS).stdout)
    faults = {paper["id"]: paper["fault"] for paper in found["papers"]["papers"]}
    assert faults["order_signed"]
    assert not faults["physician_visit"]
    assert "before the foot examination" in toeroom("due", PAPERS).stdout


def test_a_lapse_is_said_beside_another_fault() -> None:
    # The visit of 28 May counts to 28 November; the shoes are planned for 8 December.
    assert "counts until 2026-11-28, before the planned hand-over" in toeroom("due", PAPERS).stdout
    assert json.loads(toeroom("due", "--json", PAPERS).stdout)["replacing"] == []


def test_how_it_was_measured_is_said() -> None:
    said = toeroom(
        "size", "--left", "262mm", "--right", "258mm", "--sitting", "--morning", "--swollen", "left"
    ).stdout
    for text in ("measured sitting", "measured in the morning", "left foot swollen"):
        assert text in said


def test_a_last_and_another_shoe() -> None:
    found = json.loads(toeroom("size", "--json", "--of-last", "11in", "--system", "us_men").stdout)
    assert [size["mark"] for size in found["sizes"]] == [9]
    found = json.loads(toeroom("size", "--json", "--change", "9 D", "10 E").stdout)
    assert found["ball_girth_mm"] == 12.7


def test_the_shoe_beside_a_walker() -> None:
    words = ["--walker", "45mm", "--walker-on", "right", "--shoe", "25mm"]
    found = json.loads(toeroom("lift", "--json", "14mm", "left", *words).stdout)
    assert found["other_side"] == {"side": "left", "raise_mm": 34}
    assert found["steps_mm"][-1] == 14
    assert json.loads(toeroom("lift", "--json", *words).stdout)["other_side"]["raise_mm"] == 20
    assert "takes 8 mm of room" in toeroom("lift", "8mm", "left").stdout
    assert toeroom("lift", "8mm", "left", "--functional").stdout.startswith("no lift")


def test_the_benefit_answers_with_its_exit_code() -> None:
    assert toeroom("benefit", "--filler", "4.8mm", "--widths", "3").returncode == 0
    done = toeroom("benefit", "--json", "--filler", "4.5mm", "--widths", "3")
    assert done.returncode == 1
    assert json.loads(done.stdout)["verdicts"][0]["holds"] is False


def test_lift_is_full_at_the_heel_and_half_at_the_ball(tmp_path: Path) -> None:
    picture = tmp_path / "lift.svg"
    found = json.loads(toeroom("lift", "--json", "14mm", "left", "--picture", str(picture)).stdout)
    assert (found["where"], found["heel_mm"], found["ball_mm"], found["toe_mm"]) == ("sole", 14, 7, 0)
    assert ElementTree.parse(picture).getroot().tag.endswith("svg")


def test_rocker_names_the_sources_that_disagree() -> None:
    # 52 % of 290 mm is 150.8 mm (domain-fitting section 6, check 1).
    found = json.loads(toeroom("rocker", "--json", "290mm", "heads_2_to_4").stdout)
    assert found["apex_mm"] == 150.8
    assert len({place["source"] for place in found["published"]}) >= 3


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["size"], "name a case, or the measures of a foot"),
        (["size", "--left", "262"], "write its unit"),
        (["size", "--left", "262mm", "263mm"], "said twice"),
        (["size", "--left", "hat size=7in"], "not a measurement here"),
        (["size", "--left", "2.62mm"], "out of range"),
        (["size", "--left", "nanmm"], "cannot be"),
        (["size", "--left=-262mm"], "cannot be"),
        (["size", "--left", "262mm", "--chart", "no-such.csv"], "no such file"),
        (["lift", "0mm", "left"], "nothing"),
        (["lift", "500mm", "left"], "out of range"),
        (["lift", "14mm", "middle"], "invalid choice"),
        (["lift", "14mm"], "shorter leg is not named"),
        (["lift"], "no difference is stated"),
        (["lift", "14mm", "left", "--walker", "45mm"], "three things are needed"),
        (["lift", "14mm", "left", "--functional", "--picture", "x.svg"], "nothing to draw"),
        (["size", "--of-last", "280"], "write its unit"),
        (["size", "--of-last", "28mm"], "out of range"),
        (["size", "--of-last", "280mm", "--left", "262mm"], "stand alone"),
        (["size", "--left", "262mm", "ball width=104mm", "ball girth=104mm"], "out of range"),
        (["size", "--left", "262mm", "ball width=104mm", "ball girth=200mm"], "cannot be 200 mm around"),
        (["size", UNEQUAL, "--morning"], "write it in the case"),
        (["rocker", "290mm", "big_toe", "--ball-at", "300mm"], "does not lie on the sole"),
        (["benefit"], "nothing is stated"),
        (["benefit", "--filler", "4.8mm"], "filler and widths"),
        (["benefit", "--custom", "4.8mm@35", "--heat", "230F"], "belongs to a prefabricated"),
        (["rocker", "29mm", "big_toe"], "out of range"),
        (["rocker", "290mm", "nose"], "invalid choice"),
        (["rocker", "290mm", "big_toe", "--percent", "150"], "between 0 and 100"),
    ],
)
def test_bad_input_is_said_in_one_line(arguments: list[str], said: str) -> None:
    done = toeroom(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1, done.stderr
    assert said in done.stderr
