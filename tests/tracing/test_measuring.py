"""Length, width and area of outlines whose answers are known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.tracing.shapes import Egg, turned, write_csv, write_svg
from toeroom.tracing.axis import measured
from toeroom.tracing.outline import outline
from toeroom.tracing.report import trace
from toeroom.tracing.result import Doubt

EXACT = Doubt("known")


def test_length_width_and_area_of_a_known_shape(tmp_path: Path) -> None:
    egg = Egg(length=262, width=104)
    foot = trace(write_csv(tmp_path / "foot.csv", egg.points())).foot
    assert foot.length == pytest.approx(262, abs=0.01)
    assert foot.ball_width == pytest.approx(104, abs=0.01)
    assert foot.area == pytest.approx(egg.area, rel=1e-4)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    length=st.floats(200, 330),
    share=st.floats(0.34, 0.46),
    angle=st.floats(-180, 180),
    x=st.floats(-300, 300),
)
def test_place_and_turn_do_not_matter(length: float, share: float, angle: float, x: float) -> None:
    egg = Egg(length=length, width=length * share)
    found = measured(outline(turned(egg.points(), angle, (x, -x)), EXACT, "x"))
    assert found.length == pytest.approx(length, abs=0.05)
    assert found.ball_width == pytest.approx(length * share, abs=0.05)
    # Heel at the bottom, and the widest place where the shape has it.
    points = np.array(found.polygon.exterior.coords)
    assert points[points[:, 0].argmax(), 1] == pytest.approx(0.68 * length, abs=3)


@settings(max_examples=30, deadline=None)
@given(bump=st.floats(3, 15), at=st.floats(0.6, 0.75))
def test_a_mirrored_foot_is_mirrored(bump: float, at: float) -> None:
    points = bunion(Egg(), bump, at)
    foot, other = (measured(outline(p, EXACT, "x")) for p in (points, points * np.array([-1, 1])))
    assert foot.length == pytest.approx(other.length, abs=0.02)
    assert foot.ball_width == pytest.approx(other.ball_width, abs=0.02)
    assert foot.polygon.bounds[2] == pytest.approx(-other.polygon.bounds[0], abs=0.05)


def bunion(egg: Egg, bump: float, at: float = 0.68) -> np.ndarray:
    """The egg with a bump of `bump` mm on its right edge at a share of its length: a left foot's bunion."""
    points = egg.points()
    swell = bump * np.exp(-(((points[:, 1] - at * egg.length) / 14) ** 2))
    return points + np.stack([np.where(points[:, 0] > 0, swell, 0), np.zeros(len(points))], axis=1)


def test_the_ball_width_takes_in_a_bunion() -> None:
    plain, bumped = (measured(outline(p, EXACT, "x")) for p in (Egg().points(), bunion(Egg(), 8)))
    assert bumped.ball_width - plain.ball_width == pytest.approx(8, abs=0.3)


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1.0), ("cm", 0.1), ("in", 1 / 25.4)])
def test_the_unit_of_entry_does_not_matter(tmp_path: Path, unit: str, factor: float) -> None:
    points = Egg().points()
    named = trace(write_csv(tmp_path / "a.csv", points, f"x_{unit},y_{unit}", factor)).foot
    said = trace(write_csv(tmp_path / "b.csv", points, "", factor), unit=unit).foot
    assert named.length == pytest.approx(250, abs=0.01) == said.length
    assert abs(named.length - 250) <= named.length_error


def test_an_svg_and_its_points_agree(tmp_path: Path) -> None:
    points = Egg().points()
    by_points = trace(write_csv(tmp_path / "a.csv", points)).foot
    by_svg = trace(write_svg(tmp_path / "a.svg", points)).foot
    by_unit = trace(write_svg(tmp_path / "b.svg", points, size="width='800'"), unit="mm").foot
    for other in (by_svg, by_unit):
        assert other.length == pytest.approx(by_points.length, abs=0.01)
        assert other.ball_width == pytest.approx(by_points.ball_width, abs=0.01)


def test_svg_curves_transforms_and_ids(tmp_path: Path) -> None:
    # An ellipse of 250 by 100 mm, drawn at half size in centimetres and turned; beside it another shape.
    file = tmp_path / "a.svg"
    file.write_text(
        "<svg xmlns='http://www.w3.org/2000/svg' width='40cm' height='40cm' viewBox='0 0 200 200'>"
        "<g transform='rotate(20 100 100)'><ellipse id='foot' cx='100' cy='100' rx='25' ry='62.5'/></g>"
        "<path id='other' d='M 0 0 C 50 0 50 100 0 100 Z'/></svg>"
    )
    found = trace(str(file), toes="up").foot
    assert found.length == pytest.approx(250, abs=found.length_error)
    assert found.ball_width == pytest.approx(100, abs=0.6)
    assert found.area == pytest.approx(np.pi * 125 * 50, rel=2e-3)
    assert trace(f"{file}#foot", toes="up").foot.length == found.length


def test_an_ellipse_has_no_heel_until_it_is_said(tmp_path: Path) -> None:
    angle = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    path = write_csv(tmp_path / "a.csv", np.stack([50 * np.cos(angle), 125 * np.sin(angle)], axis=1))
    with pytest.raises(Exception, match="heel and toes look alike; say where the toes point: --toes up"):
        trace(path)
    assert trace(path, toes="down").foot.area == pytest.approx(np.pi * 125 * 50, rel=1e-3)
