"""Outlines drawn as shapes in an SVG file, read by svgelements."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree

import numpy as np
import svgelements

from toeroom.errors import BadInput, one_line
from toeroom.tracing.outline import Outline, Points, outline
from toeroom.tracing.points_file import UNITS
from toeroom.tracing.result import Doubt
from toeroom.yamltree import read_text

LARGEST, MOST_ELEMENTS, MOST_SEGMENTS = 4_000_000, 5_000, 20_000
CURVE_STEP = 1.0
"""Millimetres between the points taken on a curve."""
FLATTENED = 0.05
"""Millimetres by which the straight pieces leave a curve of 5 mm radius or more, with room to spare."""
MET = 0.5
"""Millimetres within which the ends of a line count as meeting."""
SMALL = 0.3
"""What is shorter than this share of the longest shape is a mark, not an outline."""
_LENGTH = re.compile(r"\s*[0-9.]+(?:[eE][+-]?[0-9]+)?\s*(mm|cm|in|pt|pc)\s*")


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One line of the drawing: the id it goes by, its points in mm, whether it closes."""

    name: str
    points: Points
    closed: bool

    @property
    def extent(self) -> float:
        return float(np.ptp(self.points, axis=0).max(initial=0.0))


def read_svg(path: str, role: str, *, part: str = "", unit: str = "") -> Outline:
    """The outline in the SVG file at `path`: the shape with the id `part`, or the id `role`, or the only one.

    The drawing's size must carry a unit (`width='210mm'`); where it does not, `unit` says what one user unit
    is. Raises `BadInput` for a file that is no SVG, that has no unit, no or several shapes, or an open one.
    """
    root = _root(read_text(path, largest=LARGEST), path)
    factor = _unit(root, unit, path)
    lines = _lines(root, factor, path)
    chosen = _chosen(lines, role, part, path)
    if not chosen.closed:
        raise BadInput("the outline is open", file=path, mend="close the path (Z)")
    return outline(chosen.points, Doubt("units of the drawing", 0.0, (("curves", FLATTENED),)), path)


def _root(text: str, path: str) -> ElementTree.Element:
    if re.search(r"<!(DOCTYPE|ENTITY)[^>]*[\[%]|<!ENTITY", text):
        raise BadInput("declares entities of its own", file=path, mend="save it as plain SVG")
    try:
        root = ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError) as error:
        raise BadInput(
            f"is not SVG ({one_line(str(error))})", file=path, mend="save it as plain SVG"
        ) from None
    if root.tag.rpartition("}")[2] != "svg":
        raise BadInput("is not SVG", file=path, mend="save it as plain SVG")
    count = 0
    for element in root.iter():
        count += 1
        if isinstance(element.tag, str) and element.tag.rpartition("}")[2] == "use":
            raise BadInput("shows copies of shapes ('use')", file=path, mend="make them shapes of their own")
    if count > MOST_ELEMENTS:
        raise BadInput(f"has more than {MOST_ELEMENTS:,} elements", file=path, mend="leave only the outlines")
    return root


def _unit(root: ElementTree.Element, unit: str, path: str) -> float:
    """What svgelements' results are multiplied with; takes the size off `root` where `unit` replaces it."""
    sizes = [root.get("width", ""), root.get("height", "")]
    if all(_LENGTH.fullmatch(size) for size in sizes):
        return 1.0
    if not unit:
        raise BadInput(
            "the drawing's size has no unit",
            file=path,
            mend="give its width and height in mm, or --unit mm for what one user unit is",
        )
    for name in ("width", "height", "viewBox"):
        root.attrib.pop(name, None)
    return UNITS[unit]


def _lines(root: ElementTree.Element, factor: float, path: str) -> list[_Drawn]:
    # 25.4 dots an inch: one dot is one millimetre.
    try:
        drawing = svgelements.SVG.parse(io.BytesIO(ElementTree.tostring(root)), reify=True, ppi=25.4)
        shapes = [element for element in drawing.elements() if isinstance(element, svgelements.Shape)]
        lines: list[_Drawn] = []
        segments = 0
        for shape in shapes:
            for piece in svgelements.Path(shape).reify().as_subpaths():
                segments += len(piece)
                if segments > MOST_SEGMENTS:
                    raise BadInput(f"has more than {MOST_SEGMENTS:,} segments", file=path, mend="simplify it")
                lines.append(_flat(str(shape.id or ""), list(piece), factor))
    except (ValueError, TypeError, AttributeError, IndexError, KeyError, ArithmeticError, RecursionError):
        raise BadInput("has a shape that cannot be read", file=path, mend="save it as plain SVG") from None
    if not all(np.isfinite(line.points).all() for line in lines):
        raise BadInput("has a point that is nowhere", file=path, mend="save it as plain SVG")
    return [line for line in lines if len(line.points) > 2]


def _flat(name: str, segments: list[Any], factor: float) -> _Drawn:
    found: list[Points] = []
    closed = False
    for segment in segments:
        if isinstance(segment, svgelements.Close):
            closed = True
        elif isinstance(segment, svgelements.Line | svgelements.Move):
            found.append(np.array([[segment.end.x, segment.end.y]], dtype=np.float64))
        else:
            rough = segment.npoint(np.linspace(0, 1, 9))
            length = float(np.linalg.norm(np.diff(rough, axis=0), axis=1).sum()) * factor
            count = int(np.clip(np.ceil(length / CURVE_STEP), 8, 1500)) if np.isfinite(length) else 8
            found.append(np.asarray(segment.npoint(np.linspace(0, 1, count + 1)[1:]), dtype=np.float64))
    points = np.concatenate(found) * factor if found else np.empty((0, 2))
    if len(points) > 2 and float(np.linalg.norm(points[0] - points[-1])) <= MET:
        closed = True
    # A drawing counts y downward; here y goes up.
    return _Drawn(name, points * np.array([1.0, -1.0]), closed)


def _chosen(lines: list[_Drawn], role: str, part: str, path: str) -> _Drawn:
    if part or any(line.name == role for line in lines):
        lines = [line for line in lines if line.name == (part or role)]
        if not lines:
            raise BadInput(f"has no shape with the id '{part[:40]}'", file=path, mend="check the id after #")
    if not lines:
        raise BadInput("holds no outline", file=path, mend="draw one closed path")
    longest = max(line.extent for line in lines)
    large = [line for line in lines if line.extent >= SMALL * longest]
    if len(large) > 1:
        names = ", ".join(sorted({line.name for line in large if line.name})[:6])
        mend = f"name one: '{path}#ID' (ids: {names})" if names else f"give the right one the id '{role}'"
        raise BadInput(f"holds {len(large)} shapes", file=path, mend=mend)
    return large[0]
