"""`toeroom trace`: its text, its JSON and its pictures."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.tracing.shapes import Egg, write_csv, write_svg
from toeroom.commands import tracing as command
from toeroom.commands.common import Parser
from toeroom.errors import BadInput
from toeroom.pictures.foot_on_liner import BARE, ON, OVER, foot_on_liner_lines, foot_on_liner_svg
from toeroom.tracing.report import trace

Run = Callable[..., str]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def run(*words: str) -> str:
        parser = Parser()
        parser.set_defaults(book=None)
        command.add(parser.add_subparsers())
        options = parser.parse_args(["trace", *words])
        assert options.run(options) == 0
        return capsys.readouterr().out

    return run


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    foot = write_svg(tmp_path / "foot.svg", Egg(width=104).points())
    return foot, write_csv(tmp_path / "liner.csv", Egg(length=264, width=94).points())


def test_text(run: Run, files: tuple[str, str]) -> None:
    text = run(files[0], "--liner", files[1], "--side", "left")
    assert text.startswith("Look at the skin first")
    assert "foot length 250.0 mm ± 0.1" in text
    assert "14.0 mm ± 0.1 free before the toes" in text
    assert "ball, inner: passes by 5" in text
    assert "Foot over the liner: yes" in text
    assert "licensed clinicians" in text
    assert all(mark in text for mark in (ON, OVER))


def test_json(run: Run, files: tuple[str, str]) -> None:
    found = json.loads(run(files[0], "--liner", files[1], "--side", "right", "--json"))
    assert found["on_liner"]["foot_over_liner"] == "yes"
    assert found["foot"]["length_mm"] == pytest.approx(250, abs=0.02)
    assert {edge["edge"] for edge in found["on_liner"]["edges"]} == {"inner", "outer", ""}
    assert found["deferral"]
    alone = json.loads(run(files[0], "--json"))
    assert alone["on_liner"] is None
    assert alone["side"] is None


def test_the_picture_shows_what_passes(run: Run, files: tuple[str, str], tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    run(files[0], "--liner", files[1], "--picture", str(out))
    root = ElementTree.parse(out).getroot()
    shapes = [element.get("fill") for element in root.iter() if element.tag.endswith("polygon")]
    assert shapes.count("url(#hatch)") == 2
    words = " ".join(root.itertext())
    assert "passes by" in words
    assert "50 mm" in words


def test_characters_show_the_shape(tmp_path: Path) -> None:
    foot = write_csv(tmp_path / "f.csv", Egg().points())
    roomy = trace(foot, write_csv(tmp_path / "l.csv", Egg(length=275, width=118).points()))
    lines = foot_on_liner_lines(roomy)[:-1]
    assert OVER not in "".join(lines)
    assert BARE in lines[0] + lines[1]
    # A character is 3.5 by 7 mm: their count gives the area.
    area = sum(line.count(ON) for line in lines) * 3.5 * 7
    assert area == pytest.approx(Egg().area, rel=0.03)
    alone = trace(foot)
    assert "".join(foot_on_liner_lines(alone)).strip(" " + ON) == ""
    assert ElementTree.fromstring(foot_on_liner_svg(alone)) is not None


def test_a_name_that_is_no_text_does_no_harm(run: Run, tmp_path: Path) -> None:
    name = tmp_path / "a\x1b[31m<b>.csv"
    text = run(write_csv(name, Egg().points()))
    assert "\x1b" not in text
    with pytest.raises(BadInput) as fault:
        run(str(tmp_path / "no\x1b[31m.csv"))
    assert "\x1b" not in str(fault.value)
