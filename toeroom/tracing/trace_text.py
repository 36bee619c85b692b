"""A tracing in words, for the terminal."""

from __future__ import annotations

from toeroom.pictures.foot_on_liner import figure_lines, foot_on_liner_lines
from toeroom.tracing.result import Doubt, Tracing
from toeroom.wording import printable

LEAST = "The foot is laid where it passes least, heel at heel: standing on the liner it may pass more."
DRAWN = "± is the reading alone: a slanted pencil, a foot not loaded or a worn liner come on top."


def trace_lines(tracing: Tracing) -> list[str]:
    """The whole reply: what to do first, picture, figures, what they rest on."""
    lines = [*foot_on_liner_lines(tracing), "", *figure_lines(tracing), ""]
    lines.append(f"foot: {_basis(tracing.foot.source, tracing.foot.doubt)}")
    if tracing.liner and tracing.laid:
        lines += [f"liner: {_basis(tracing.liner.source, tracing.liner.doubt)}", LEAST]
    lines.append(DRAWN)
    lines += [f"! {printable(warning)}" for warning in tracing.warnings]
    if tracing.laid:
        lines.append(FINDING[tracing.laid.finding])
    return lines


FINDING = {
    "yes": "Foot over the liner: yes. Too small there, whatever the wearer says (tracing-and-liner).",
    "no": "Foot over the liner: no, in length and width; depth is not seen here (tracing-and-liner).",
    "unknown": "Foot over the liner: not known, within the error. Stand the foot on the liner and look.",
}


def _basis(source: str, doubt: Doubt) -> str:
    parts = [f"scale {doubt.share * 100:.2f} %"] if doubt.share else []
    parts += [f"{name} {mm:.2g} mm" for name, mm in doubt.parts]
    return printable(f"{source}, scale from {doubt.basis}; error from {', '.join(parts)}")
