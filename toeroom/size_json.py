"""A size report as plain values for JSON: lengths in mm, to the thousandth."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from toeroom.measures.toe_room import BANDS
from toeroom.measures.widths import LetterReading
from toeroom.sizing import FootReport, MarkedSize, PairAdvice, ShoeInHand, SizeReport, WidthAdvice
from toeroom.stock_chart import Pick


def as_number(value: Fraction) -> float:
    """A length or size as JSON shows it."""
    return float(round(value, 3))


def report_as_json(report: SizeReport) -> dict[str, Any]:
    """The whole report."""
    return {
        "last": report.last,
        "system": report.system,
        "decides": report.decides,
        "inner_length_mm": [as_number(value) for value in report.inner_length],
        "sizes": [_size(size) for size in report.sizes],
        "ties": report.ties,
        "feet": [_foot(foot) for foot in report.feet],
        "pair": None if report.pair is None else _pair(report.pair),
        "chart": None if report.pick is None else _pick(report.pick),
        "disagreements": list(report.disagreements),
        "warnings": list(report.warnings),
        "sources": list(report.sources),
    }


def _maybe(value: Fraction | None) -> float | None:
    return None if value is None else as_number(value)


def _size(size: MarkedSize) -> dict[str, Any]:
    return {
        "rule": size.rule.id,
        "system": size.rule.system,
        "label": size.rule.label,
        "formula": size.rule.said,
        "exact": as_number(size.exact),
        "mark": as_number(size.mark),
        "foot_mm_from": as_number(size.foot_from),
        "foot_mm_below": as_number(size.foot_to),
        "last_mm": _maybe(size.rule.last(size.mark)),
        "last_over_foot_mm": _maybe(size.rule.last_allowance),
    }


def _foot(foot: FootReport) -> dict[str, Any]:
    return {
        "side": foot.side,
        "measures": {term: as_number(value) for term, value in foot.measures.items()},
        "fit_length_mm": as_number(foot.fit_length),
        "ball_implied_length_mm": _maybe(foot.ball_length),
        "decided_by": foot.decided_by,
        "sizes": {size.rule.id: as_number(size.mark) for size in foot.sizes},
        "widths": [_width(advice) for advice in foot.widths],
        "depth_needed_mm": _maybe(foot.depth_needed),
        "shoe_in_hand": _in_hand(foot.in_hand),
        "doubts": list(foot.doubts),
        "deviations_sd": {measure: as_number(value) for measure, value in foot.deviations.items()},
        "usual_at_this_length": [
            {"measure": usual.measure, "mm": as_number(usual.value), "group": usual.group}
            for usual in foot.usual
        ],
    }


def _width(advice: WidthAdvice) -> dict[str, Any]:
    return {
        "rule": advice.rule.id,
        "size": as_number(advice.size),
        "letter": advice.letter or None,
        "by_width": _reading(advice.by_width),
        "by_girth": _reading(advice.by_girth),
        "same_girth": [[as_number(size), letter] for size, letter in advice.same_girth],
        "uk_fitting": advice.uk_fitting or None,
    }


def _reading(reading: LetterReading | None) -> dict[str, Any] | None:
    if reading is None:
        return None
    return {
        "letter": reading.letter or None,
        "letter_mm": as_number(reading.width),
        "spare_mm": as_number(reading.spare),
        "next": reading.next_letter or None,
        "how": reading.how,
    }


def _in_hand(shoe: ShoeInHand) -> dict[str, Any]:
    bands = None
    if shoe.room is not None:
        bands = [
            {
                "from_mm": as_number(band.least),
                "to_mm": as_number(band.most),
                "verdict": verdict,
                "source": band.source,
            }
            for band, verdict in zip(BANDS, shoe.room.verdicts, strict=True)
        ]
    return {
        "toe_room_mm": None if shoe.room is None else as_number(shoe.room.room),
        "bands": bands,
        "width_spare_mm": _maybe(shoe.width_spare),
        "too_narrow_by": list(shoe.too_narrow_by),
        "depth_spare_mm": _maybe(shoe.depth_spare),
    }


def _pair(pair: PairAdvice) -> dict[str, Any]:
    return {
        "larger": pair.larger or None,
        "smaller": pair.smaller or None,
        "difference_mm": as_number(pair.difference),
        "in_sizes": {system: as_number(count) for system, count in pair.in_sizes.items()},
        "two_sizes": pair.two_sizes,
        "room_for_smaller_mm": None
        if pair.room_for_smaller is None
        else [as_number(value) for value in pair.room_for_smaller],
        "say": list(pair.say),
    }


def _pick(pick: Pick) -> dict[str, Any]:
    return {
        "chart": pick.chart,
        "one_shoe_for_all": pick.pair,
        "found": pick.found,
        "feet": [
            {
                "side": foot.side,
                "shoe": foot.shoe.name,
                "line": foot.shoe.line,
                "fits": foot.fits,
                "toe_room_mm": as_number(foot.room),
                "width_spare_mm": _maybe(foot.width_spare),
                "depth_spare_mm": _maybe(foot.depth_spare),
                "misses": list(foot.misses),
            }
            for foot in pick.feet
        ],
        "notes": list(pick.notes),
    }
