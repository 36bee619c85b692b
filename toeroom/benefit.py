"""What the US benefit asks of shoe and insert in figures, and what it pays in a calendar year.

Dated policy, read 2026-11: the current text counts. What is not a number (leather, closure, moulding)
is not judged here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from toeroom.errors import BadInput
from toeroom.measures import inserts, yearly_units
from toeroom.measures.depth import LEAST_WIDTHS, is_depth_shoe
from toeroom.measures.entry import millimetres
from toeroom.size_text import mm

MANUAL = "Medicare Benefit Policy Manual ch. 15 §140"
SHORE = (5, 95)
HEAT_F = (100, 500)


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether what is stated meets a figure of the benefit; holds: None where something is not stated.

    asked: the figure in words.
    """

    about: str
    holds: bool | None
    stated: str
    asked: str
    source: str

    def as_json(self) -> dict[str, Any]:
        """The verdict as plain values."""
        return {
            "about": self.about,
            "holds": self.holds,
            "stated": self.stated,
            "asked": self.asked,
            "source": self.source,
        }

    @property
    def line(self) -> str:
        """The verdict in a line."""
        word = {True: "meets the figure", False: "does not meet it", None: "not decided"}[self.holds]
        return f"{self.about}, {self.stated}: {word} ({self.asked}) [{self.source}]"


@dataclass(frozen=True, slots=True)
class Base:
    """The base layer of an insert: thickness in mm, Shore A hardness."""

    thickness: Fraction
    shore: int

    @property
    def words(self) -> str:
        """`6.35 mm at Shore A 35`."""
        return f"{float(self.thickness):g} mm at Shore A {self.shore}"


def base_from_words(text: str) -> Base:
    """`6.35mm@35` or `1/4in@35`: thickness, and hardness on the Shore A scale."""
    length, sign, hardness = text.partition("@")
    if not sign or not re.fullmatch(r" ?[0-9]{1,2} ?", hardness):
        raise BadInput(f"'{text[:30]}' is no base layer", mend="thickness and Shore A, as in 6.35mm@35")
    shore = int(hardness)
    if not SHORE[0] <= shore <= SHORE[1]:
        raise BadInput(f"Shore A {shore} is out of range", mend=f"{SHORE[0]} to {SHORE[1]}")
    thickness = millimetres(length, "the base layer")
    if thickness > 30:
        raise BadInput("the base layer is out of range", mend="at most 30 mm")
    return Base(thickness, shore)


def depth_shoe(filler: Fraction, widths: int) -> Verdict:
    """Filler in mm and the number of widths of a shoe, against A5500."""
    asked = f"a full-length filler of 3/16 in and {LEAST_WIDTHS} widths; its other terms are no figures"
    stated = f"filler {float(filler):g} mm, {widths} widths"
    return Verdict("depth shoe, A5500", is_depth_shoe(filler, widths), stated, asked, f"{MANUAL}.A.2")


def prefabricated(base: Base, heat_f: int | None) -> Verdict:
    """The base layer of a prefabricated insert, and the heat it is formed at, against A5512."""
    holds: bool | None = inserts.prefabricated_base_holds(
        base.shore, base.thickness, inserts.LEAST_HEAT_F if heat_f is None else heat_f
    )
    heat = "heat not stated" if heat_f is None else f"{heat_f} °F"
    if heat_f is None and holds:
        holds = None
    asked = f"1/4 in at Shore A 35, 3/16 in from 40, formed at {inserts.LEAST_HEAT_F} °F or more"
    return Verdict("prefabricated insert, A5512", holds, f"{base.words}, {heat}", asked, inserts.CODE_TEXT)


def custom(base: Base, heel: Fraction | None) -> Verdict:
    """The base layer of an insert made on a model, and its finished central heel, against A5513."""
    holds = inserts.custom_base_holds(base.shore, base.thickness, heel)
    stated = base.words + ("" if heel is None else f", heel {mm(heel)} when finished")
    asked = "3/16 in at Shore A 35 or harder; the finished central heel 1/16 in (older page)"
    return Verdict("custom insert, A5513", holds, stated, asked, "DME MAC joint publication; PDAC")


def units_from_words(words: Iterable[str]) -> dict[str, int]:
    """`A5500=2 A5512=4`: units of a calendar year, claimed and asked for."""
    found: dict[str, int] = {}
    known = (yearly_units.DEPTH, yearly_units.CUSTOM, *yearly_units.INSERTS, *yearly_units.MODIFICATIONS)
    for word in words:
        match = re.fullmatch(r"(A[0-9]{4})=([0-9]{1,2})", word.strip().upper())
        if not match:
            raise BadInput(f"'{word[:20]}' is no count of a code", mend="write A5512=4")
        if match[1] not in known:
            raise BadInput(f"the code {match[1]} is not counted here", mend=f"use {', '.join(known)}")
        found[match[1]] = found.get(match[1], 0) + int(match[2])
    return found


def year(units: Mapping[str, int]) -> Verdict:
    """The units of one calendar year together, against what is paid."""
    over = yearly_units.over_the_year(units)
    stated = ", ".join(f"{count} × {code}" for code, count in units.items())
    asked = "2 × A5500 with 6 inserts, or 2 × A5501 with 4; a modification stands in for an insert"
    if over:
        stated = f"{stated}: {'; '.join(over)}"
    return Verdict("calendar year", not over, stated, asked, f"{MANUAL}.B")
