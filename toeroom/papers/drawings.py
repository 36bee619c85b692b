"""The drawings a paper may show, each with its figures in words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.measured_feet import feet_from_case
from toeroom.measures import lift_profiles
from toeroom.measures.papers import PapersReport
from toeroom.papers.order import LIFTS, ROCKER, Order
from toeroom.pictures.lift_profile import lift_profile_lines, lift_profile_svg
from toeroom.pictures.paper_timeline import paper_timeline_lines, paper_timeline_svg
from toeroom.pictures.rocker_side import rocker_side_svg, rocker_words
from toeroom.pictures.size_rule import size_rule_lines, size_rule_svg
from toeroom.pictures.sole_map import sole_map_svg, sole_words
from toeroom.plan import Plan
from toeroom.sizing import size_report
from toeroom.vocabulary import SIDES


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture as SVG, and what it says in words. `mm`: how wide it is printed; 0 where it is to scale."""

    svg: str
    says: str
    mm: int = 140


def drawings_of(case: Case, papers: PapersReport | None, order: Order, plan: Plan) -> dict[str, Drawing]:
    """By name: `size-rule`, `papers`, `lift`, `rocker`, `soles`; none where there is nothing to draw."""
    found = {"size-rule": _size_rule(case), "papers": _papers(papers)}
    found.update({"lift": _lift(order, plan), "rocker": _rocker(order), "soles": _soles(case, order)})
    return {name: drawing for name, drawing in found.items() if drawing is not None}


def _size_rule(case: Case) -> Drawing | None:
    try:
        report = size_report(feet_from_case(case))
    except BadInput:
        # No foot is measured, or its figures contradict each other: `toeroom size` says which.
        return None
    return Drawing(size_rule_svg(report), "; ".join(_plain(line) for line in size_rule_lines(report)))


def _plain(line: str) -> str:
    """A line of the character drawing without its bars."""
    return " ".join("".join(" " if c in "[]-=)" else c for c in line).split())


def _papers(report: PapersReport | None) -> Drawing | None:
    if report is None:
        return None
    lines = (re.sub(r"(?<= )[=x#]+(?= )", " ", line) for line in paper_timeline_lines(report))
    return Drawing(paper_timeline_svg(report), "; ".join(" ".join(line.split()) for line in lines))


def _lift(order: Order, plan: Plan) -> Drawing | None:
    line = next((line for line in plan.lines if line.id in LIFTS and line.advised), None)
    if line is None or not order.lines or "heel_mm" not in line.detail:
        return None
    height, where = Fraction(str(line.detail["heel_mm"])), LIFTS[line.id]
    make = lift_profiles.inside_profile if where == "inside" else lift_profiles.outside_profile
    profile = make(height)
    says = ". ".join(
        " ".join(text.rstrip("#").split())
        for text in lift_profile_lines(profile, side=line.side, where=where)
    )
    return Drawing(lift_profile_svg(profile, side=line.side, where=where), says)


def _rocker(order: Order) -> Drawing | None:
    sides = [
        side
        for line in order.lines
        if line.id == ROCKER
        for side in SIDES
        if side in line.sides or "both" in line.sides
    ]
    return Drawing(rocker_side_svg(sides), rocker_words(sides)) if sides else None


def _soles(case: Case, order: Order) -> Drawing | None:
    if not order.places:
        return None
    feet = {
        side: {term: float(value) for (term, at), value in case.measures.items() if at == side}
        for side in order.sides
    }
    return Drawing(sole_map_svg(feet), sole_words(feet), mm=0) if feet else None
