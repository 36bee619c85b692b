"""Photographs and scans rendered from known outlines: the reading lies within its stated error."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from tests.tracing.shapes import SHEET_MM, Egg, View, paper, photograph, turned
from toeroom.errors import BadInput
from toeroom.tracing.report import trace
from toeroom.tracing.result import Shape

A4 = SHEET_MM["a4"]
TIGHT = 0.8
"""Millimetres by which a photograph of a true sheet may be off; the stated error allows for more."""


def save(picture: np.ndarray, path: Path) -> str:
    assert cv2.imwrite(str(path), picture)
    return str(path)


def check(foot: Shape, egg: Egg, tight: float = TIGHT) -> None:
    assert abs(foot.length - egg.length) <= min(foot.length_error, tight)
    assert abs(foot.ball_width - egg.width) <= min(foot.width_error, tight)


@pytest.mark.parametrize("kind", ["a4", "letter"])
@pytest.mark.parametrize("filled", [False, True], ids=["pencil", "liner"])
@pytest.mark.parametrize(
    "view",
    [
        View(),
        View(tilt=24, swing=-8, roll=11, distance=820),
        View(tilt=-14, swing=20, roll=-33, distance=900, uneven=0.45),
        View(swing=18, roll=88, blur=2.4, noise=10),
        View(tilt=9, roll=170, wide=1400, high=1050),
        View(tilt=15, swing=-3, distance=640, focal=0.7),
    ],
    ids=["straight", "tilted", "dim", "blurred", "small", "wide angle"],
)
def test_photographs(tmp_path: Path, kind: str, filled: bool, view: View) -> None:
    egg = Egg(length=243, width=97)
    size = SHEET_MM[kind]
    sheet = paper(turned(egg.points(), 5), size, filled=filled)
    path = save(photograph(sheet, size, view, seed=len(kind)), tmp_path / "a.jpg")
    check(trace(path, scale=f"sheet:{kind}").foot, egg)


def test_a_sheet_that_misses_its_size_stays_within_the_error(tmp_path: Path) -> None:
    # The paper is 0.8 mm too long and 0.5 mm too narrow.
    egg, size = Egg(length=260), (209.5, 297.8)
    path = save(photograph(paper(egg.points(), size), size, View(tilt=12)), tmp_path / "a.png")
    foot = trace(path, scale="sheet:a4").foot
    check(foot, egg, tight=2.0)
    assert foot.length_error < 2


@pytest.mark.parametrize("angle", [-3.0, 0.0, 2.2])
@pytest.mark.parametrize("filled", [False, True], ids=["pencil", "liner"])
def test_flatbed_with_a_bar(tmp_path: Path, angle: float, filled: bool) -> None:
    egg = Egg(length=268, width=101)
    picture = paper(turned(egg.points(), angle), (240, 330), filled=filled, bar=150, ink=110, per_mm=5)
    high, wide = picture.shape
    turn = cv2.getRotationMatrix2D((wide / 2, high / 2), angle, 1)
    picture = cv2.warpAffine(picture, turn, (wide, high), borderMode=cv2.BORDER_REPLICATE)
    noisy = picture * np.linspace(1, 0.8, wide) + np.random.default_rng(3).normal(0, 4, picture.shape)
    path = save(np.clip(noisy, 0, 255).astype(np.uint8), tmp_path / "a.png")
    check(trace(path, scale="ruler:150mm").foot, egg, tight=1.2)


def test_two_marks_given(tmp_path: Path) -> None:
    # At 5 pixels a mm, 100 mm are 500 pixels.
    picture = paper(Egg().points(), (240, 330), per_mm=5)
    foot = trace(save(picture, tmp_path / "a.png"), scale="ruler:100mm@200,150:200,650").foot
    check(foot, Egg())
    assert foot.doubt.basis == "two marks given, 100 mm apart"


def test_a_slanted_ruler_is_refused(tmp_path: Path) -> None:
    size = (240.0, 330.0)
    sheet = paper(Egg().points(), size, bar=150)
    view = View(tilt=30, distance=800, floor=235, noise=2, uneven=0)
    with pytest.raises(BadInput, match="slanted"):
        trace(save(photograph(sheet, size, view), tmp_path / "a.png"), scale="ruler:150mm")


@pytest.mark.parametrize("kind", ["png", "jpg", "pdf", "deep", "clear"])
def test_kinds_of_file_agree(tmp_path: Path, kind: str) -> None:
    picture = Image.fromarray(paper(Egg().points(), (240, 330), per_mm=5, bar=150))
    path = tmp_path / f"a.{kind if kind in ('png', 'jpg', 'pdf') else 'png'}"
    if kind == "pdf":
        picture.convert("RGB").save(path, resolution=127)
    elif kind == "deep":
        Image.fromarray(np.asarray(picture).astype(np.uint16) * 257).save(path)
    elif kind == "clear":
        picture.putalpha(Image.fromarray(255 - np.asarray(picture)))
        picture.save(path)
    else:
        picture.save(path)
    check(trace(str(path), scale="ruler:150mm").foot, Egg())


def test_a_page_of_several_is_named(tmp_path: Path) -> None:
    blank = Image.new("RGB", (1200, 1650), "white")
    drawn = Image.fromarray(paper(Egg().points(), (240, 330), per_mm=5, bar=150)).convert("RGB")
    path = tmp_path / "a.pdf"
    blank.save(path, save_all=True, append_images=[drawn], resolution=127)
    check(trace(f"{path}#2", scale="ruler:150mm").foot, Egg())
    for page, words in (("", "has 2 pages"), ("#3", "has no page '3'"), ("#1", "nothing darker|no ruler")):
        with pytest.raises(BadInput, match=words):
            trace(f"{path}{page}", scale="ruler:150mm")


def test_the_marks_of_the_joints_are_not_the_foot(tmp_path: Path) -> None:
    sheet = paper(Egg().points(), A4)
    y = round((148.5 + 125 - 0.68 * 250) * 6)
    for x in (105 - 49, 105 + 49):
        cv2.line(sheet, (round(x * 6) - 40, y), (round(x * 6) + 40, y), 60, 5)
    path = save(photograph(sheet, A4, View(tilt=6)), tmp_path / "a.png")
    # Where a mark 13 mm long leaves the line, up to half a millimetre of its foot stays.
    check(trace(path, scale="sheet:a4").foot, Egg(), tight=1.0)


def test_a_small_gap_is_one_line_and_a_large_one_is_open(tmp_path: Path) -> None:
    for gap, opened in ((1.5, False), (25.0, True)):
        sheet = paper(Egg().points(), A4)
        y = round((148.5 - 40) * 6)
        sheet[y : y + round(gap * 6), 105 * 6 :] = 235
        path = save(photograph(sheet, A4, View()), tmp_path / "a.png")
        if opened:
            with pytest.raises(BadInput, match="the outline is open"):
                trace(path, scale="sheet:a4")
        else:
            check(trace(path, scale="sheet:a4").foot, Egg())


def test_a_lens_that_bends_stays_within_the_error_or_is_refused(tmp_path: Path) -> None:
    straight = photograph(paper(Egg().points(), A4), A4, View(distance=560))
    high, wide = straight.shape
    for bend in (-0.03, 0.02, 0.06, 0.2):
        y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
        u, v = (x - wide / 2) / wide, (y - high / 2) / wide
        stretch = 1 + bend * (u * u + v * v) * 4
        bent = cv2.remap(
            straight, u * stretch * wide + wide / 2, v * stretch * wide + high / 2, cv2.INTER_LINEAR
        )
        path = save(bent, tmp_path / "a.png")
        if bend == 0.2:
            with pytest.raises(BadInput, match=r"bent|no sheet"):
                trace(path, scale="sheet:a4")
        else:
            check(trace(path, scale="sheet:a4").foot, Egg(), tight=5)


def test_foot_and_liner_from_two_photographs(tmp_path: Path) -> None:
    foot = photograph(paper(Egg(width=104).points(), A4), A4, View(tilt=15))
    lies = paper(Egg(length=262, width=94).points(), A4, filled=True)
    liner = photograph(lies, A4, replace(View(swing=-12), roll=20, distance=850), seed=4)
    names = save(foot, tmp_path / "f.jpg"), save(liner, tmp_path / "l.jpg")
    found = trace(*names, scale="sheet:a4", side="right")
    assert found.laid is not None
    assert found.laid.toe_gap == pytest.approx(12, abs=found.laid.toe_gap_error)
    balls = [edge for edge in found.laid.passings if edge.region == "ball"]
    assert all(edge.verdict == "over" for edge in balls)
    assert [edge.beyond for edge in balls] == pytest.approx([5, 5], abs=balls[0].error)
    assert found.laid.finding == "yes"
