"""`toeroom trace`: a foot's outline measured, and laid on the shoe's liner."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from toeroom.book import open_book
from toeroom.commands.common import DONE, add_command, show_json
from toeroom.files import write_whole
from toeroom.pictures.foot_on_liner import foot_on_liner_svg
from toeroom.tracing import need_extra
from toeroom.tracing.trace_text import trace_lines
from toeroom.vocabulary import SIDES


def add(commands: Any) -> None:
    """Declares the command."""
    trace = add_command(commands, "trace", "a foot's outline measured, and laid on the shoe's liner", _trace)
    trace.add_argument("foot", metavar="FOOT", help="SVG, CSV, PNG, JPEG or PDF; FILE.svg#ID, FILE.pdf#PAGE")
    trace.add_argument("--liner", default="", metavar="LINER", help="the liner's outline, likewise")
    trace.add_argument("--side", default="", choices=SIDES, help="of the foot: names inner and outer edges")
    trace.add_argument(
        "--scale",
        default="",
        metavar="sheet:a4",
        help="what sets the scale of a scan: sheet:a4, sheet:letter, ruler:100mm, ruler:100mm@X,Y:X,Y",
    )
    trace.add_argument(
        "--liner-scale", default="", metavar="ruler:100mm", help="where the liner's is another"
    )
    trace.add_argument(
        "--unit", default="", choices=["mm", "cm", "in"], help="of a CSV or SVG that names none"
    )
    trace.add_argument("--toes", default="", choices=["up", "down", "left", "right"], help="where they point")
    trace.add_argument("--from-below", action="store_true", help="the foot was scanned from below")
    trace.add_argument("--picture", metavar="FILE.svg", help="draw it as well")


def _trace(options: argparse.Namespace) -> int:
    need_extra()
    # Only now: it needs the libraries of the extra.
    from toeroom.tracing.report import trace

    deferral = open_book(options.book).vocabulary.deferral
    tracing = trace(
        options.foot,
        options.liner,
        side=options.side,
        scale=options.scale,
        liner_scale=options.liner_scale,
        unit=options.unit,
        toes=options.toes,
        from_below=options.from_below,
    )
    if options.picture:
        write_whole(Path(options.picture), foot_on_liner_svg(tracing))
    if options.json:
        show_json({**tracing.as_json(), "deferral": deferral})
        return DONE
    print("Look at the skin first: a foot with a wound, an infection or heat does not stand on a liner.")
    print("\n".join([*trace_lines(tracing), deferral]))
    return DONE
