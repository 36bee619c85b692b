"""A debrief to keep: as plain text, as Markdown, and as one HTML file that needs nothing else."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator
from html import escape

from toeroom.training.debrief import SIGNS, Block
from toeroom.wording import printable

WIDTH = 100

_STYLE = """
body { font: 17px/1.5 Georgia, serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; color: #1d1d1b; }
h1 { font-size: 1.5rem; } h2 { font-size: 1.15rem; margin: 1.8rem 0 .4rem; border-bottom: 1px dashed #999; }
ul { padding-left: 1.2rem; } li { margin: .2rem 0; } em { color: #555; font-size: .9em; }
blockquote { margin: .4rem 0; padding-left: .8rem; border-left: 4px solid #b23; }
@media print { body { margin: 0; max-width: none; } }
"""


def as_text(blocks: Iterable[Block], width: int = WIDTH) -> str:
    """For a terminal or a file: no line longer than `width`, a sign before each verdict."""
    lines: list[str] = []
    for block in blocks:
        if block.kind in ("title", "heading"):
            lines += ["", block.text, ("=" if block.kind == "title" else "-") * len(block.text)]
            continue
        lead = f"{SIGNS[block.kind]} " if block.kind in SIGNS else ""
        lines += textwrap.wrap(
            printable(block.text), width, initial_indent=lead, subsequent_indent=" " * len(lead)
        )
        if block.more:
            lines += textwrap.wrap(
                printable(block.more), width, initial_indent="    ", subsequent_indent="    "
            )
    return "\n".join(lines).strip() + "\n"


def as_markdown(blocks: Iterable[Block]) -> str:
    """As Markdown; nothing that a case says is taken as markup."""
    return "\n".join(_markdown(blocks)).strip() + "\n"


def _markdown(blocks: Iterable[Block]) -> Iterator[str]:
    in_list = False
    for block in blocks:
        text = _plain(block.text)
        more = f"*{_plain(block.more)}*" if block.more else ""
        listed = block.kind in SIGNS and block.kind != "caution"
        if in_list and not listed:
            yield ""
        in_list = listed
        if block.kind in ("title", "heading"):
            yield f"{'#' if block.kind == 'title' else '##'} {text}\n"
        elif listed:
            text = f"**{text}**" if block.kind == "harmful" else text
            yield f"- {_plain(SIGNS[block.kind])} {text}{f'  {more}' if more else ''}"
        elif block.kind == "caution":
            yield f"> {text}\n"
        else:
            yield f"{text}{f'  {more}' if more else ''}\n"


def _plain(text: str) -> str:
    """`text` on one line, whatever Markdown or HTML could take as markup made plain."""
    line = re.sub(r"([\\`*_\[\]<>&])", r"\\\1", " ".join(printable(text).split()))
    line = re.sub(r"^([#+\-=~!])", r"\\\1", line)
    return re.sub(r"^([0-9]+)([.)])", r"\1\\\2", line)


def as_html(blocks: Iterable[Block]) -> str:
    """One HTML file: no script, nothing fetched, made of the Markdown with HTML in it switched off."""
    from markdown_it import MarkdownIt

    found = tuple(blocks)
    title = next((b.text for b in found if b.kind == "title"), "Debrief")
    body = MarkdownIt("commonmark", {"html": False}).render(as_markdown(found))
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(printable(title))}</title>\n<style>{_STYLE}</style>\n</head>\n"
        f"<body>\n{body}</body>\n</html>\n"
    )
