"""Both feet on a size rule: how long each is, where the marks fall, how long a shoe must be inside."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from toeroom.measures.sizes import SizeRule, rules_of, size_in_words
from toeroom.pictures import svg
from toeroom.size_text import mm
from toeroom.sizing import FootReport, SizeReport

MARGIN, PER_MM, ROW = 215, 7.0, 34
Place = Callable[[Fraction], float]
"""Where a length in mm lies across the picture."""
TORN = ((-14, 0), (-4, 8), (-10, 15), (-4, 22), (-14, 30), (-20, 30), (-20, 0))
"""The torn edge of a bar, whose heel is not shown."""
SHOWN = 40
"""Millimetres of the rule that are shown before the shorter foot's toe; the heel is far to the left."""


def size_rule_svg(report: SizeReport, title: str = "Both feet on the size rule") -> str:
    """The picture. The rule is cut: it begins a little before the shorter foot's longest toe."""
    start, end = _span(report)
    rules = rules_of(report.system)
    feet_high = 40 + 2 * ROW * len(report.feet)
    wide, high = MARGIN + float(end - start) * PER_MM + 30, feet_high + 50 + ROW * len(rules)

    def x(value: Fraction) -> float:
        return MARGIN + float(value - start) * PER_MM

    parts = [svg.words(20, 26, title, size=16)]
    low, high_in = report.inner_length
    parts += [
        svg.bar(x(low), 44, x(high_in) - x(low), feet_high - 30, fill="#e4efef"),
        svg.words(
            wide - 20,
            feet_high + 10,
            f"shoe inside {mm(low)} to {mm(high_in)}",
            size=11,
            anchor="end",
            fill=svg.ACCENT,
        ),
    ]
    for row, foot in enumerate(report.feet):
        parts += _foot(foot, 56 + row * 2 * ROW, x)
    for row, rule in enumerate(rules):
        parts += _rule(rule, feet_high + 44 + row * ROW, x, start, end, report)
    return svg.document(wide, high, title, "; ".join(size_rule_lines(report)), parts)


def _span(report: SizeReport) -> tuple[Fraction, Fraction]:
    lengths = [foot.measures["foot_length_mm"] for foot in report.feet]
    return min(lengths) // 5 * Fraction(5) - SHOWN // 2, report.inner_length[1] + 12


def _foot(foot: FootReport, y: float, x: Place) -> list[str]:
    length, fit = foot.measures["foot_length_mm"], foot.fit_length
    end = x(length)
    fill = svg.ACCENT if foot.side == "left" else svg.SECOND
    parts = [
        svg.words(20, y + 20, f"{foot.side} foot", size=13),
        svg.bar(MARGIN - 14, y + 2, end - MARGIN + 14, 26, fill=fill),
        svg.shape([(MARGIN + dx, y + dy) for dx, dy in TORN], fill="#ffffff", stroke="#ffffff"),
        svg.words(end - 6, y + 20, mm(length), size=13, anchor="end", fill="#ffffff"),
    ]
    if fit > length:
        parts += [
            svg.line(x(fit), y, x(fit), y + 44, stroke=fill, width=2, dashed=True),
            svg.words(x(fit) + 4, y + 44, f"ball asks for {mm(fit)}", size=11, fill=fill),
        ]
    return parts


def _rule(
    rule: SizeRule, y: float, x: Place, start: Fraction, end: Fraction, report: SizeReport
) -> list[str]:
    parts = [
        svg.words(20, y + 4, rule.label, size=12),
        svg.line(x(start), y, x(end), y, stroke=svg.PALE, width=2),
    ]
    mark = rule.mark(start)
    chosen = next(size.mark for size in report.sizes if size.rule is rule)
    while rule.foot(mark) <= end:
        at = rule.foot(mark)
        if at >= start:
            tick = 7 if mark != chosen else 10
            fill = svg.ALERT if mark == chosen else svg.INK
            parts.append(svg.line(x(at), y - tick, x(at), y, stroke=fill, width=1 + (mark == chosen)))
            if mark == chosen or mark.denominator == 1:
                size = 13 if mark == chosen else 10
                parts.append(
                    svg.words(x(at), y + 14, size_in_words(mark), size=size, anchor="middle", fill=fill)
                )
        mark += rule.step
    return parts


def size_rule_lines(report: SizeReport, *, width: int = 72) -> list[str]:
    """The feet as bars of characters, toes to the right, and the inside length they ask for."""
    start, end = _span(report)
    cells = max(width - 22, 20)

    def at(value: Fraction) -> int:
        return int((value - start) * cells / (end - start))

    low, high = report.inner_length
    lines = [
        f"{'shoe inside':12}{' ' * at(low)}[{'-' * max(at(high) - at(low) - 1, 1)}] {mm(low)} to {mm(high)}"
    ]
    for foot in report.feet:
        length = foot.measures["foot_length_mm"]
        asks = f", ball asks for {mm(foot.fit_length)}" if foot.fit_length > length else ""
        lines.append(f"{foot.side + ' foot':12}{'=' * at(length)}) {mm(length)}{asks}")
    sizes = ", ".join(size.words for size in report.sizes)
    return [*lines, sizes]
