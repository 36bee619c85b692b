"""A paper as one HTML file: nothing is fetched, it prints as it looks, and a screen reader finds its way."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from html import escape

from markdown_it.renderer import RendererHTML
from markdown_it.token import Token

from toeroom.papers.drawings import Drawing
from toeroom.papers.kinds import Kind
from toeroom.papers.marks import BLANK, drawing_name, parser, title_of, tokens_of, words_of

LANGUAGE = "en-GB"
STYLE = """
:root { color: #1f2a30; background: #fff; font: 100%/1.45 "Atkinson Hyperlegible", Verdana, sans-serif; }
body { max-width: 50rem; margin: 0 auto; padding: 1rem; }
body.large { font-size: 1.35rem; line-height: 1.6; }
h1 { font-size: 1.7em; margin: 0 0 .4em; }
h2 { font-size: 1.2em; margin: 1.4em 0 .4em; border-bottom: 1px solid #2b6f77; }
h3 { font-size: 1.05em; margin: 1em 0 .3em; }
table { border-collapse: collapse; width: 100%; margin: .5em 0 1em; }
th, td { border: 1px solid #8a979b; padding: .3em .5em; text-align: left; vertical-align: top; }
thead th { background: #e4efef; } tbody th { font-weight: normal; }
blockquote { margin: .8em 0; padding: .5em .8em; border-left: .4em solid #a8322d; background: #fbf1f0; }
blockquote p { margin: 0; }
figure { margin: .8em 0; } figure svg { max-width: 100%; height: auto; }
.blank { display: inline-block; min-width: 4em; border-bottom: 1px solid #1f2a30; color: transparent; }
ul.ticks { list-style: "☐  "; padding-left: 1.4em; }
.line { border-bottom: 1px solid; height: 1.6em; margin: 0; }
.small { font-size: .85rem; line-height: 1.4; }
@page { size: A4; margin: 16mm; }
@media print { body { padding: 0; max-width: none; font-size: 10.5pt; }
  body.large { font-size: 16pt; }
  h2, h3 { break-after: avoid; }
  tr, figure, blockquote { break-inside: avoid; }
  thead { display: table-header-group; } }
"""


def html_of(kind: Kind, markdown: str, drawings: Mapping[str, Drawing]) -> str:
    """The document. `drawings` are set in as SVG where the Markdown names them."""
    tokens = tokens_of(markdown)
    _row_heads(tokens)
    body = _Page(drawings).render(tokens, parser().options, {})
    small = "</div>\n" * sum(token.type == "small_print" for token in tokens)
    size = ' class="large"' if kind.large else ""
    return (
        f'<!DOCTYPE html>\n<html lang="{LANGUAGE}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title_of(tokens, kind.title))}</title>\n<style>{STYLE}</style>\n</head>\n"
        f"<body{size}>\n<main>\n{body}{small}</main>\n</body>\n</html>\n"
    )


class _Page(RendererHTML):
    """Renders the tokens of a paper; each method is the rule for the tokens of its name."""

    def __init__(self, drawings: Mapping[str, Drawing]) -> None:
        super().__init__()
        self._drawings = drawings

    def text(self, tokens: Sequence[Token], idx: int, *_: object) -> str:
        """Words; a run of low lines is a line to write on."""
        escaped = escape(tokens[idx].content)
        return BLANK.sub(lambda run: f'<span class="blank">{run[0]}</span>', escaped)

    def image(self, tokens: Sequence[Token], idx: int, *_: object) -> str:
        """A drawing, its ids made its own: two drawings stand in one document."""
        name = drawing_name(tokens[idx])
        if name not in self._drawings:
            return f"<em>{escape(words_of(tokens[idx]))}</em>"
        drawn = re.sub(r"\bhatch\b", f"hatch-{name}", self._drawings[name].svg)
        return f"<figure>\n{drawn}</figure>\n"

    def write_on(self, *_: object) -> str:
        """A line to write on, across the page."""
        return '<p class="line"></p>\n'

    def small_print(self, *_: object) -> str:
        """What follows is small."""
        return '<div class="small">\n'


def _row_heads(tokens: Sequence[Token]) -> None:
    """The head of a table names its columns, and the first cell of a row names the row."""
    in_body, first = False, False
    for token in tokens:
        if token.type in ("tbody_open", "tbody_close"):
            in_body = token.type == "tbody_open"
        elif token.type == "tr_open":
            first = True
        elif token.type == "th_open":
            token.attrs = {"scope": "col"}
        elif token.type in ("td_open", "td_close") and in_body and first:
            token.tag = "th"
            token.attrs = {"scope": "row"} if token.nesting == 1 else {}
            first = token.nesting == 1
        elif token.type == "td_open":
            token.attrs = {}
