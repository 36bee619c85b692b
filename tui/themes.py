"""Two looks: lamp (dark) and daylight (light). Leather, linen, thread; brick is kept for a stop."""

from __future__ import annotations

from textual.theme import Theme

LAMP = Theme(
    name="toeroom-lamp",
    dark=True,
    primary="#c59a6d",
    secondary="#7fb0a8",
    accent="#e0b77f",
    warning="#e2b34d",
    error="#ea8573",
    success="#8fb573",
    foreground="#e4dccf",
    background="#1d1b19",
    surface="#242120",
    panel="#2e2a27",
    variables={
        "stop": "#b23a2a",
        "on-stop": "#fff4ec",
        "quiet": "#ab9f91",
        "thread": "#5c534a",
        "row": "#3b342d",
        "footer-background": "#2e2a27",
        "footer-key-foreground": "#e0b77f",
    },
)

DAYLIGHT = Theme(
    name="toeroom-daylight",
    dark=False,
    primary="#7d4f26",
    secondary="#1f665e",
    accent="#83490e",
    warning="#794e00",
    error="#a62c1c",
    success="#3d6a25",
    foreground="#2a2622",
    background="#f7f2e9",
    surface="#f1eadd",
    panel="#e7ddcb",
    variables={
        "stop": "#a62c1c",
        "on-stop": "#fffaf4",
        "quiet": "#61574d",
        "thread": "#b9ab97",
        "row": "#e2d3ba",
        "footer-background": "#e7ddcb",
        "footer-key-foreground": "#7d4f26",
    },
)
