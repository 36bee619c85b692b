"""The papers on a line of days: how long each counts, and when the shoes may be handed over."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from toeroom.measures.papers import Paper, PapersReport
from toeroom.pictures import svg

LEFT, WIDE, ROW = 190.0, 620.0, 36.0
Place = Callable[[date], float]
"""Where a day lies across the picture."""


def paper_timeline_svg(report: PapersReport, title: str = "Papers and hand-over") -> str:
    """The picture: a bar a paper, hatched where it is not in order, and the days that satisfy all."""
    first, last = _span(report)
    days = (last - first).days or 1

    def x(day: date) -> float:
        return LEFT + (day - first).days * WIDE / days

    high = 130 + ROW * len(report.papers)
    bottom = 70 + ROW * len(report.papers)
    parts = [svg.words(20, 28, title, size=16)]
    if report.earliest and report.latest:
        wide = max(x(report.latest) - x(report.earliest), 2.0)
        parts.append(svg.bar(x(report.earliest), 44, wide, bottom - 44, fill="#e4efef"))
        parts.append(svg.words(LEFT, high - 14, _window(report), size=13, fill=svg.ACCENT))
    else:
        parts.append(svg.words(LEFT, high - 14, _window(report), size=13, fill=svg.ALERT))
    for row, paper in enumerate(report.papers):
        parts += _bar(paper, 56 + row * ROW, x, last)
    marks = [(report.as_of, "today"), (report.planned, "planned")]
    for level, (day, name) in enumerate(marks):
        if day is not None:
            parts.append(svg.line(x(day), 44, x(day), bottom, stroke=svg.INK, dashed=True))
            parts.append(
                svg.words(x(day), bottom + 14 + 14 * level, f"{name} {day}", size=11, anchor=_anchor(x(day)))
            )
    return svg.document(LEFT + WIDE + 90, high, title, "; ".join(paper_timeline_lines(report)), parts)


def _anchor(x: float) -> str:
    return "start" if x < LEFT + 60 else "end" if x > LEFT + WIDE - 60 else "middle"


def _span(report: PapersReport) -> tuple[date, date]:
    days = [report.as_of, *(d for d in (report.planned, report.earliest, report.latest) if d)]
    for paper in report.papers:
        days += [day for day in (paper.day, paper.until) if day]
    return min(days), max(days)


def _bar(paper: Paper, y: float, x: Place, last: date) -> list[str]:
    parts = [svg.words(20, y + 15, paper.label)]
    if paper.day is None:
        return [*parts, svg.words(LEFT, y + 15, paper.fault, fill=svg.ALERT)]
    start, end = x(paper.day), x(paper.until or last)
    parts.append(svg.bar(start, y + 2, max(end - start, 2), 18, hatched=bool(paper.fault), stroke=svg.ACCENT))
    until = f"to {paper.until}" if paper.until else "no end"
    parts.append(svg.words(start + 4, y + 32, f"{paper.day} {until}", size=10))
    return parts


def _window(report: PapersReport) -> str:
    if report.earliest is None:
        return "no day satisfies all papers"
    return f"hand over from {report.earliest} to {report.latest}"


def paper_timeline_lines(report: PapersReport, *, width: int = 40) -> list[str]:
    """The same in lines: a bar of characters a paper, `x` where it is not in order."""
    first, last = _span(report)
    days = (last - first).days or 1

    def at(day: date) -> int:
        return (day - first).days * (width - 1) // days

    lines = []
    for paper in report.papers:
        if paper.day is None:
            lines.append(f"{paper.label:22}{'':{width}}  {paper.fault}")
            continue
        start, end = at(paper.day), at(paper.until or last)
        sign = "x" if paper.fault else "="
        bar = " " * start + sign * (end - start + 1)
        until = f"to {paper.until}" if paper.until else "no end"
        lines.append(f"{paper.label:22}{bar:{width}}  {paper.day} {until}")
    if report.earliest and report.latest:
        bar = " " * at(report.earliest) + "#" * (at(report.latest) - at(report.earliest) + 1)
        lines.append(f"{'hand-over':22}{bar:{width}}  {_window(report)}")
    else:
        lines.append(f"{'hand-over':22}{'':{width}}  {_window(report)}")
    return lines
