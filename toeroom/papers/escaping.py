"""Text that is not ours, written so that Markdown shows it and does nothing else with it."""

from __future__ import annotations

import re

from markupsafe import Markup

_EVERYWHERE = re.compile(r"[\\`*_\[\]<>&|~]")
_AT_THE_START = re.compile(r"[#+\-=:.!()]")
_NUMBERED = re.compile(r"[0-9]{1,9}(?=[.)](?: |$))")


def as_markdown(text: str) -> Markup:
    """`text` on one line, control characters left out, every mark of Markdown escaped.

    It may stand in a paragraph, a heading, a list entry or a table cell, also at its beginning.
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    escaped = _EVERYWHERE.sub(r"\\\g<0>", plain)
    numbered = _NUMBERED.match(escaped)
    if numbered:
        escaped = f"{numbered[0]}\\{escaped[numbered.end() :]}"
    elif _AT_THE_START.match(escaped):
        escaped = f"\\{escaped}"
    return Markup(escaped)


def shown(value: object) -> object:
    """What a template prints for `value`: text escaped, nothing for nothing, markup as it is."""
    if value is None:
        return Markup("")
    return value if hasattr(value, "__html__") else as_markdown(str(value))
