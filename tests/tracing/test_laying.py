"""The foot on the liner: where it passes and by how much, against shapely on shapes whose place is known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tracing.shapes import Egg, turned, write_csv
from tests.tracing.test_measuring import bunion
from toeroom.tracing.report import trace
from toeroom.tracing.result import Tracing


def laid(tmp_path: Path, foot: np.ndarray, liner: np.ndarray, **said: str) -> Tracing:
    return trace(write_csv(tmp_path / "f.csv", foot), write_csv(tmp_path / "l.csv", liner), **said)


def edges(tracing: Tracing) -> dict[str, float]:
    assert tracing.laid is not None
    return {edge.name: edge.beyond for edge in tracing.laid.passings}


def test_a_wide_foot_passes_by_what_shapely_says(tmp_path: Path) -> None:
    # Both shapes are symmetric, so the best place is heel on heel, axis on axis.
    foot, liner = Egg(width=104).points(), Egg(length=264, width=94).points()
    tracing = laid(tmp_path, turned(foot, 71, (9, 9)), turned(liner, -160), side="left")
    on, under = shapely.Polygon(foot), shapely.Polygon(liner)
    over = shapely.difference(on, under)
    assert tracing.laid is not None
    pieces = shapely.union_all([shapely.Polygon(ring) for ring in tracing.laid.over])
    assert pieces.area == pytest.approx(over.area, rel=0.01)
    farthest = max(shapely.distance(shapely.Point(p), under) for p in shapely.get_coordinates(over))
    assert max(edges(tracing).values()) == pytest.approx(farthest, abs=0.1)
    assert edges(tracing)["ball, inner"] == pytest.approx(edges(tracing)["ball, outer"], abs=0.1)
    assert tracing.laid.toe_gap == pytest.approx(14, abs=0.05)
    assert tracing.laid.finding == "yes"


def test_parallel_edges_pass_by_the_same_distance(tmp_path: Path) -> None:
    # A liner that is the foot shrunk by 3 mm all round; moved up by 3 mm it meets the heel.
    egg = shapely.Polygon(Egg().points())
    tracing = laid(tmp_path, Egg().points(), shapely.get_coordinates(egg.buffer(-3))[:-1])
    found = edges(tracing)
    assert found["toes"] == pytest.approx(6, abs=0.15)
    assert all(
        2 < found[f"{part}, {edge} edge"] < 4 for part in ("ball", "arch") for edge in ("left", "right")
    )


@pytest.mark.parametrize(("side", "edge"), [("left", "ball, inner"), ("right", "ball, outer")])
def test_a_bump_passes_on_its_own_side(tmp_path: Path, side: str, edge: str) -> None:
    tracing = laid(tmp_path, bunion(Egg(), 12), Egg(length=262, width=104).points(), side=side)
    found = edges(tracing)
    assert max(found, key=lambda name: found[name]) == edge
    # 12 mm of bump less 3 mm of room; laid for the least, the foot gives way to the other side.
    assert 3 < found[edge] < 9


def test_a_roomy_liner_is_passed_nowhere(tmp_path: Path) -> None:
    tracing = laid(tmp_path, Egg().points(), Egg(length=264, width=112).points(), side="right")
    assert tracing.laid is not None
    assert tracing.laid.over == () or sum(shapely.Polygon(r).area for r in tracing.laid.over) < 5
    assert tracing.laid.finding == "no"
    assert edges(tracing)["ball, outer"] == pytest.approx(-7, abs=0.7)


def test_the_same_outline_is_too_close_to_tell(tmp_path: Path) -> None:
    tracing = laid(tmp_path, Egg().points(), Egg().points())
    assert tracing.laid is not None
    assert tracing.laid.finding in ("unknown", "yes")
    assert max(abs(value) for value in edges(tracing).values()) < 0.05


@settings(max_examples=15, deadline=None)
@given(wider=st.floats(-12, 12), longer=st.floats(4, 20))
def test_a_wider_liner_is_never_passed_by_more(
    tmp_path_factory: pytest.TempPathFactory, wider: float, longer: float
) -> None:
    folder = tmp_path_factory.mktemp("t")
    egg = Egg()
    most = [
        max(edges(laid(folder, egg.points(), egg.larger(longer, width).points())).values())
        for width in (wider, wider + 3)
    ]
    assert most[1] <= most[0] + 0.05


def test_mirrored_feet_pass_on_mirrored_edges(tmp_path: Path) -> None:
    foot, liner = bunion(Egg(), 9), Egg(length=264, width=98).points()
    flip = np.array([-1.0, 1.0])
    left = edges(laid(tmp_path, foot, liner, side="left"))
    right = edges(laid(tmp_path, foot * flip, liner, side="right"))
    assert left == pytest.approx(right, abs=0.1)
    below = trace(
        write_csv(tmp_path / "b.csv", foot * flip), str(tmp_path / "l.csv"), side="left", from_below=True
    )
    assert edges(below) == pytest.approx(left, abs=0.1)


def test_a_liner_of_the_other_side_is_asked_about(tmp_path: Path) -> None:
    foot = bunion(Egg(), 14)
    liner = shapely.get_coordinates(shapely.Polygon(foot * np.array([-1.0, 1.0])).buffer(2))[:-1]
    assert "other side" in " ".join(laid(tmp_path, foot, liner, side="left").warnings)
    right_one = shapely.get_coordinates(shapely.Polygon(foot).buffer(2))[:-1]
    assert "other side" not in " ".join(laid(tmp_path, foot, right_one, side="left").warnings)
