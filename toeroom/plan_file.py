"""A plan as a sheet of paper: written whole to a file, as Markdown or as plain text."""

from __future__ import annotations

import re
from io import StringIO
from itertools import groupby
from pathlib import Path

from rich.console import Console
from rich.text import Text

from toeroom.files import write_whole
from toeroom.plan import Plan
from toeroom.printing import MARGIN, WIDTH_WITHOUT_TERMINAL, print_sheet, rows
from toeroom.sheet import Sheet, make_sheet
from toeroom.vocabulary import Vocabulary

MARKDOWN = (".md", ".markdown")
_MARKS = re.compile(r"([\\`*_{}\[\]<>#|])")


def write_plan(path: Path, plan: Plan, vocabulary: Vocabulary) -> None:
    """Writes the whole plan to `path`: Markdown where its name ends so, else plain text.

    Raises `BadInput` where it cannot be written; what stood there stays.
    """
    sheet = make_sheet(plan, vocabulary)
    as_markdown = path.suffix.lower() in MARKDOWN
    write_whole(path, sheet_as_markdown(sheet) if as_markdown else sheet_as_text(sheet))


def sheet_as_text(sheet: Sheet) -> str:
    """The sheet with everything opened that is folded, in lines of fixed width."""
    stream = StringIO()
    out = Console(
        file=stream, width=WIDTH_WITHOUT_TERMINAL, highlight=False, markup=False, emoji=False, no_color=True
    )
    print_sheet(out, sheet, full=True)
    return stream.getvalue()


def sheet_as_markdown(sheet: Sheet) -> str:
    """The same as Markdown: sections are headings, paragraphs are list entries."""
    lines: list[str] = []
    for number, row in enumerate(rows(sheet, full=True)):
        if row.margin:
            lines += ["", f"## {row.margin}", ""]
        text = _marked(row.text)
        if not number:
            lines.append(f"# {_escaped(row.text.plain)}")
        elif row.indent >= MARGIN:
            lines.append(f"{' ' * (row.indent - MARGIN)}- {text}")
        else:
            lines += ["", text] if text else []
    return "\n".join(lines) + "\n"


def _marked(text: Text) -> str:
    """`text` with what is bold marked as bold; everything else stands for itself."""
    bold = [False] * len(text.plain)
    for span in text.spans:
        if "bold" in str(span.style):
            bold[span.start : span.end] = [True] * (span.end - span.start)
    if "bold" in str(text.style):
        bold = [True] * len(bold)
    found = ""
    for is_bold, run in groupby(zip(text.plain, bold, strict=True), key=lambda pair: pair[1]):
        inner = "".join(character for character, _ in run)
        words = inner.strip()
        before, _, after = inner.partition(words) if words else (inner, "", "")
        found += f"{before}**{_escaped(words)}**{after}" if is_bold and words else _escaped(inner)
    return found


def _escaped(text: str) -> str:
    return _MARKS.sub(r"\\\1", text)
