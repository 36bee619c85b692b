"""`toeroom feet` through a real process."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

from tests.cli.run import toeroom

WOUND = "cases_demo/open-wound-on-the-sole.yaml"


def test_it_draws_both_feet_and_names_each_number(tmp_path: Path) -> None:
    picture = tmp_path / "feet.svg"
    done = toeroom("feet", WOUND, "--svg", str(picture))
    assert done.returncode == 0, done.stderr
    assert " left foot    right foot" in done.stdout
    assert " 1  STOP  Open wound, left" in done.stdout
    assert "licensed clinicians" in done.stdout
    assert ElementTree.parse(picture).getroot().tag.endswith("svg")


def test_json_names_the_places() -> None:
    found = json.loads(toeroom("feet", "--json", WOUND).stdout)
    toes = next(mark for mark in found["marks"] if mark["finding"] == "claw_toes")
    assert (toes["sides"], toes["place"], toes["stops"]) == (["right"], "toes", [])
    assert found["marks"][0]["stops"] == ["left"]
