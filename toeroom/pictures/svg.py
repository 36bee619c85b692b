"""The few marks our pictures are made of. Text is escaped; colours never carry a meaning alone."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

INK, PALE, ACCENT, SECOND, ALERT = "#1f2a30", "#c9d2d3", "#2b6f77", "#8a5a2b", "#a8322d"
FONT = "font-family='DejaVu Sans, Verdana, sans-serif'"


def number(value: float) -> str:
    """A coordinate with at most two decimals."""
    return f"{round(float(value), 2):g}"


def clean(text: str) -> str:
    """`text` as XML may hold it: no control characters, marks of the language escaped."""
    return escape(plain(text))


def words(x: float, y: float, text: str, *, size: int = 13, anchor: str = "start", fill: str = INK) -> str:
    """A text whose base line begins, is centred or ends (`anchor`) at a point."""
    return (
        f"<text x='{number(x)}' y='{number(y)}' font-size='{size}' text-anchor='{anchor}' fill='{fill}'>"
        f"{clean(text)}</text>"
    )


def line(
    x1: float, y1: float, x2: float, y2: float, *, stroke: str = INK, width: float = 1, dashed: bool = False
) -> str:
    """A straight line."""
    dashes = " stroke-dasharray='5 4'" if dashed else ""
    return (
        f"<line x1='{number(x1)}' y1='{number(y1)}' x2='{number(x2)}' y2='{number(y2)}' "
        f"stroke='{stroke}' stroke-width='{number(width)}'{dashes}/>"
    )


def bar(
    x: float,
    y: float,
    wide: float,
    high: float,
    *,
    fill: str = ACCENT,
    stroke: str = "none",
    hatched: bool = False,
) -> str:
    """A rectangle; `hatched` marks it for who sees no colour."""
    shown = "url(#hatch)" if hatched else fill
    return (
        f"<rect x='{number(x)}' y='{number(y)}' width='{number(max(wide, 0))}' height='{number(high)}' "
        f"fill='{shown}' stroke='{stroke}'/>"
    )


def shape(points: Iterable[tuple[float, float]], *, fill: str, stroke: str = INK) -> str:
    """A closed shape."""
    path = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return f"<polygon points='{path}' fill='{fill}' stroke='{stroke}'/>"


def document(wide: float, high: float, title: str, description: str, parts: Iterable[str]) -> str:
    """The whole picture, on white, with a title and a description for who cannot see it."""
    hatch = (
        "<defs><pattern id='hatch' width='6' height='6' patternUnits='userSpaceOnUse' "
        f"patternTransform='rotate(45)'><rect width='6' height='6' fill='#ffffff'/>"
        f"<rect width='2.5' height='6' fill='{ALERT}'/></pattern></defs>"
    )
    size = f"width='{number(wide)}' height='{number(high)}' viewBox='0 0 {number(wide)} {number(high)}'"
    label = f"role='img' aria-label={quoteattr(plain(title))}"
    head = f"<svg xmlns='http://www.w3.org/2000/svg' {size} {label} {FONT}>"
    back = f"<rect width='{number(wide)}' height='{number(high)}' fill='#ffffff'/>"
    about = f"<title>{clean(title)}</title><desc>{clean(description)}</desc>"
    return "\n".join([head, about, hatch, back, *parts, "</svg>"]) + "\n"


def plain(text: str) -> str:
    """`text` without control characters, not yet escaped."""
    return "".join(c if c.isprintable() else " " for c in text)
