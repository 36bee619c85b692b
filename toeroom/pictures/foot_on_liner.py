"""A foot's outline on the liner's: what passes is hatched on paper, a full block in the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from toeroom.pictures import svg
from toeroom.tracing.result import Ring, Tracing
from toeroom.wording import printable

PER_MM, TOP, LEFT, RIGHT = 2.0, 60.0, 90.0, 330.0
ACROSS_MM, DOWN_MM = 3.5, 7.0
"""Millimetres that one character stands for, across and down."""
FINER = 4
"""Each character looks at this many places across and down."""
BARE, ON, OVER, BESIDE = "·", "▒", "█", " "


def foot_on_liner_svg(tracing: Tracing, title: str = "") -> str:
    """The picture: liner pale, foot outlined, what passes hatched, and the figures beside it."""
    laid = tracing.laid
    foot = laid.foot if laid else tracing.foot.ring
    rings = [foot, *([laid.liner] if laid else [])]
    left, top = min(x for ring in rings for x, _ in ring), max(y for ring in rings for _, y in ring)
    wide = max(x for ring in rings for x, _ in ring) - left
    high = top - min(y for ring in rings for _, y in ring)

    def placed(ring: Ring) -> Iterator[tuple[float, float]]:
        return (((x - left) * PER_MM + LEFT, (top - y) * PER_MM + TOP) for x, y in ring)

    heading = title or f"{tracing.side} foot on the liner".strip().capitalize()
    if not laid:
        heading = title or f"Outline of the {tracing.side} foot".replace("  ", " ")
    parts = [svg.words(20, 28, heading, size=16)]
    if laid:
        parts.append(svg.shape(placed(laid.liner), fill="#e4efef", stroke=svg.ACCENT))
    parts.append(svg.shape(placed(foot), fill="none" if laid else "#f3ece4", stroke=svg.SECOND))
    if laid:
        parts += [svg.shape(placed(piece), fill="url(#hatch)", stroke=svg.ALERT) for piece in laid.over]
    words_at = LEFT + wide * PER_MM + 30
    for row, text in enumerate(figure_lines(tracing)):
        alarm = svg.ALERT if ": passes by " in text else svg.INK
        parts.append(svg.words(words_at, TOP + 20 + row * 20, text, size=12, fill=alarm))
    bottom = TOP + high * PER_MM + 26
    parts += [
        svg.line(LEFT, bottom, LEFT + 50 * PER_MM, bottom, width=2),
        svg.words(LEFT + 25 * PER_MM, bottom + 16, "50 mm", size=11, anchor="middle"),
    ]
    size = (words_at + RIGHT, max(bottom + 30, TOP + 40 + 20 * len(figure_lines(tracing))))
    return svg.document(*size, heading, "; ".join(figure_lines(tracing)), parts)


def figure_lines(tracing: Tracing) -> list[str]:
    """The figures beside the picture, each with its error."""
    foot, laid = tracing.foot, tracing.laid
    lines = [
        f"foot length {foot.length:.1f} mm ± {foot.length_error:.1f}",
        f"ball width {foot.ball_width:.1f} mm ± {foot.width_error:.1f}",
    ]
    if not laid or not tracing.liner:
        return lines
    liner = tracing.liner
    lines += [
        f"liner length {liner.length:.1f} mm ± {liner.length_error:.1f}",
        f"liner ball width {liner.ball_width:.1f} mm ± {liner.width_error:.1f}",
    ]
    before = "free before the toes" if laid.toe_gap >= 0 else "missing before the toes"
    lines.append(f"{abs(laid.toe_gap):.1f} mm ± {laid.toe_gap_error:.1f} {before}")
    for edge in laid.passings:
        if edge.verdict == "over":
            lines.append(f"{edge.name}: passes by {edge.beyond:.1f} mm ± {edge.error:.1f}")
        elif edge.verdict == "within":
            lines.append(f"{edge.name}: {-edge.beyond:.1f} mm ± {edge.error:.1f} free")
        else:
            lines.append(f"{edge.name}: {edge.beyond:+.1f} mm ± {edge.error:.1f}, too close to tell")
    return [printable(line) for line in lines]


def foot_on_liner_lines(tracing: Tracing) -> list[str]:
    """The same in characters, toes up: `·` liner that shows, `▒` foot on it, `█` foot beyond it."""
    laid = tracing.laid
    foot = laid.foot if laid else tracing.foot.ring
    liner = laid.liner if laid else ()
    everything = [*foot, *liner]
    left, right = min(x for x, _ in everything) - 1, max(x for x, _ in everything) + 1
    low, high = min(y for _, y in everything) - 1, max(y for _, y in everything) + 1
    columns, rows = int((right - left) / ACROSS_MM) + 1, int((high - low) / DOWN_MM) + 1
    on_foot = _grid(foot, left, high, columns, rows)
    on_liner = _grid(liner, left, high, columns, rows) if liner else on_foot
    lines = []
    for row in range(rows):
        cells = "".join(_cell(on_foot, on_liner, row, column) for column in range(columns))
        lines.append(cells.rstrip())
    legend = f"{ON} foot on the liner  {OVER} foot past it  {BARE} liner free" if liner else ""
    return [*lines, *([legend] if legend else [])]


def _cell(foot: list[list[bool]], liner: list[list[bool]], row: int, column: int) -> str:
    spots = [
        (foot[y][x], liner[y][x])
        for y in range(row * FINER, (row + 1) * FINER)
        for x in range(column * FINER, (column + 1) * FINER)
    ]
    # A narrow overhang must not vanish between characters: a few of 16 places show it.
    if sum(f and not on for f, on in spots) >= 3:
        return OVER
    if sum(f for f, _ in spots) * 2 >= len(spots):
        return ON
    return BARE if sum(on for _, on in spots) * 2 >= len(spots) else BESIDE


def _grid(
    ring: Sequence[tuple[float, float]], left: float, top: float, columns: int, rows: int
) -> list[list[bool]]:
    """Which places lie within a ring, counted by its crossings of each line of places."""
    found = []
    for row in range(rows * FINER):
        y = top - (row + 0.5) * DOWN_MM / FINER
        crossings = sorted(
            x1 + (y - y1) / (y2 - y1) * (x2 - x1)
            for (x1, y1), (x2, y2) in zip(ring, [*ring[1:], ring[0]], strict=True)
            if (y1 > y) != (y2 > y)
        )
        places = [left + (column + 0.5) * ACROSS_MM / FINER for column in range(columns * FINER)]
        found.append([sum(x <= place for x in crossings) % 2 == 1 for place in places])
    return found
