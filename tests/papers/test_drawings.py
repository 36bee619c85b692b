"""The drawings to mark and fill in: to scale where they say so, and the right way round."""

from __future__ import annotations

import re
from xml.etree.ElementTree import fromstring

import pytest

from toeroom.pictures.rocker_side import rocker_side_svg
from toeroom.pictures.sole_map import PX_PER_MM, sole_map_svg, sole_words

POINTS = re.compile(r"points='([^']+)'")
MEASURED = {"foot_length_mm": 260.0, "ball_width_mm": 104.0}


def _outlines(svg: str) -> list[list[tuple[float, float]]]:
    return [[tuple(map(float, p.split(","))) for p in found.split()] for found in POINTS.findall(svg)]  # type: ignore[misc]


def test_a_measured_foot_is_drawn_at_half_size() -> None:
    (ring,) = _outlines(sole_map_svg({"left": MEASURED}))
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    assert (max(ys) - min(ys)) / PX_PER_MM * 2 == pytest.approx(260, abs=1)
    assert (max(xs) - min(xs)) / PX_PER_MM * 2 == pytest.approx(104, abs=2)


def test_big_toes_point_to_each_other_as_on_a_tracing() -> None:
    left, right = _outlines(sole_map_svg({"left": MEASURED, "right": MEASURED}))
    middles = [(max(x for x, _ in ring) + min(x for x, _ in ring)) / 2 for ring in (left, right)]
    tips = [min(ring, key=lambda point: point[1])[0] for ring in (left, right)]
    assert tips[0] > middles[0]
    assert tips[1] < middles[1]
    assert middles[0] < middles[1]


def test_a_foot_not_measured_is_not_to_scale_and_says_so() -> None:
    drawn = sole_map_svg({"right": {}})
    assert "not to scale" in drawn
    assert "half size" not in drawn
    assert "length ____ mm" in drawn
    assert sole_words({"right": {}}) == "right foot to mark places on: not measured, not to scale"


def test_the_rocker_has_lines_to_fill_and_no_figure_of_its_own() -> None:
    drawn = rocker_side_svg(["left"])
    fromstring(drawn)
    texts = " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", drawn))
    assert "______ mm" in texts
    assert not re.search(r"\d", texts)
