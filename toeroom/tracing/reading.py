"""Reading an outline from whatever file it is in."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BadInput
from toeroom.measures.entry import millimetres
from toeroom.tracing import raster
from toeroom.tracing.ink import outline_on
from toeroom.tracing.outline import Outline, outline
from toeroom.tracing.points_file import read_points
from toeroom.tracing.result import Doubt
from toeroom.tracing.ruler import Marks, flat_by_ruler
from toeroom.tracing.sheet import SHEETS, flat_by_sheet
from toeroom.tracing.svg_file import read_svg

KNOWN = (".svg", ".csv", *raster.SUFFIXES)
RULER_RANGE = (20, 500)
"""Millimetres that a ruler may be long."""
SHOWN = "--scale sheet:a4, sheet:letter or ruler:100mm"


@dataclass(frozen=True, slots=True)
class Scale:
    """What sets the scale of a scan: a sheet by name, or the marks of a ruler."""

    sheet: str = ""
    marks: Marks | None = None


def scale_of(text: str) -> Scale:
    """The scale that `sheet:a4`, `ruler:100mm` or `ruler:100mm@X,Y:X,Y` (pixels of two marks) names."""
    kind, _, rest = text.strip().lower().partition(":")
    if kind == "sheet" and rest in SHEETS:
        return Scale(sheet=rest)
    if kind != "ruler" or not rest:
        known = ", ".join(f"sheet:{name}" for name in SHEETS)
        raise BadInput(f"'{text[:40]}' is no scale", mend=f"use {known}, ruler:100mm or ruler:100mm@X,Y:X,Y")
    length, at, places = rest.partition("@")
    value = millimetres(length, "the ruler")
    if not RULER_RANGE[0] <= value <= RULER_RANGE[1]:
        raise BadInput(f"a ruler of {float(value):g} mm is out of range", mend="20 to 500 mm")
    if not at:
        return Scale(marks=Marks(float(value)))
    found = re.fullmatch(
        r"(\d{1,5}(?:\.\d+)?),(\d{1,5}(?:\.\d+)?):(\d{1,5}(?:\.\d+)?),(\d{1,5}(?:\.\d+)?)", places
    )
    if not found:
        raise BadInput("the marks of the ruler cannot be read", mend="two pixels: ruler:100mm@120,85:1420,90")
    x1, y1, x2, y2 = (float(number) for number in found.groups())
    return Scale(marks=Marks(float(value), ((x1, y1), (x2, y2))))


def is_scan(name: str) -> bool:
    """Whether a file name, with or without `#part`, is that of a scan."""
    return Path(name.partition("#")[0]).suffix.lower() in raster.SUFFIXES


def read_outline(name: str, role: str, scale: Scale | None, unit: str = "") -> Outline:
    """The outline in the file `name`, after which `#ID` names a shape of an SVG and `#2` a page of a PDF.

    role: `foot` or `liner`. scale: needed by a scan, and by nothing else. Raises `BadInput` in one line for
    all that keeps an outline from being measured.
    """
    path, _, part = name.partition("#")
    suffix = Path(path).suffix.lower()
    if suffix not in KNOWN:
        raise BadInput("is no outline this reads", file=path, mend=f"use {', '.join(KNOWN)}")
    if part and suffix not in (".svg", ".pdf"):
        raise BadInput(f"has no part '{part[:20]}'", file=path, mend="only an SVG or a PDF has parts")
    if suffix == ".csv":
        return read_points(path, unit)
    if suffix == ".svg":
        return read_svg(path, role, part=part, unit=unit)
    if scale is None:
        raise BadInput(
            "a scan without a scale cannot be measured", file=path, mend=f"name what is in it: {SHOWN}"
        )
    return _scan(path, part, scale)


def _scan(path: str, page: str, scale: Scale) -> Outline:
    grey = raster.read_grey(path, page)
    if scale.marks is not None:
        flat, bar = flat_by_ruler(grey, scale.marks, path)
    else:
        flat, bar = flat_by_sheet(grey, scale.sheet, path), None
    found = outline_on(flat, path, without=bar)
    parts = [("pixel", flat.source_pixel)]
    parts += [("fit of the edges", 2 * flat.residual)] if flat.residual else []
    parts += [("half the line", found.line / 2)] if found.line else []
    return outline(found.points, Doubt(flat.basis, flat.share, tuple(parts)), path)
