"""A paper as PDF by Typst: real text, tagged (PDF/UA-1), the same bytes for the same paper.

Every word goes in as a string of the language, so that nothing in a case is ever taken for a command.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from importlib.resources import files
from itertools import zip_longest

from markdown_it.token import Token

from toeroom.errors import BadInput
from toeroom.papers.drawings import Drawing
from toeroom.papers.kinds import Kind
from toeroom.papers.marks import BLANK, BOX, TICKS, drawing_name, title_of, tokens_of, words_of

FONT = "Atkinson Hyperlegible"
FONT_PACKAGE = "fontpkg_atkinson_hyperlegible"
LAST_LATIN = 0x24F
"""Up to here the font has every letter; for others those of the machine are looked at as well."""
PX_PER_MM = 96 / 25.4
WIDEST_MM = 174.0
WIDEST_SHARE = 36
"""A column that holds more letters than this is no wider for it: it wraps."""
KEPT_WHOLE = 10
"""A table of no more rows than this is not torn over two pages."""
MISSING = "toeroom's papers extra is not installed"

SMALL_PRINT = """\
#set text(size: 8.5pt)
#set table(inset: (x: 5pt, y: 4pt))
"""
PREAMBLE = """\
#set document(title: {title}, date: datetime(year: {year}, month: {month}, day: {day}))
#set page(paper: "a4", margin: (x: 18mm, top: 16mm, bottom: 18mm), footer: context [
  #set text(size: 8pt, fill: rgb("#48565c"))
  #{foot} #h(1fr) #"page " #counter(page).display() #" of " #counter(page).final().first()
])
#set text(font: ({font}, "Libertinus Serif"), size: {size}pt, lang: "en", region: "GB", fill: rgb("#1f2a30"))
#set par(leading: 0.6em, spacing: 0.9em)
#set list(spacing: 0.7em, indent: 0.2em)
#set enum(spacing: 0.7em, indent: 0.2em)
#set table(align: left + horizon, stroke: 0.5pt + rgb("#8a979b"), inset: (x: 5pt, y: {pad}pt),
  fill: (_, y) => if y == 0 {{ rgb("#e4efef") }})
#show table.cell.where(y: 0): strong
#show table.cell: set par(justify: false)
#show table.cell: it => {{ set text(hyphenate: false); it }}
#show heading.where(level: 1): set text(size: 1.5em)
#show heading.where(level: 1): set block(below: 0.8em)
#show heading.where(level: 2): it => block(width: 100%, above: 1.5em, below: 0.7em, inset: (bottom: 0.35em),
  stroke: (bottom: 0.8pt + rgb("#2b6f77")), sticky: true, text(size: 1.15em, it.body))
#show heading.where(level: 3): set text(size: 1.05em)
#show heading.where(level: 3): set block(above: 1.1em, below: 0.6em)
#show quote: it => block(width: 100%, above: 0.5em, below: 0.5em,
  inset: (left: 8pt, right: 6pt, y: 5pt), fill: rgb("#fbf1f0"),
  stroke: (left: 3pt + rgb("#a8322d")), breakable: false, it.body)
#let line-to-fill(width) = box(width: width, height: 1.3em, baseline: 0.15em, stroke: (bottom: 0.5pt))
#let write-on = block(width: 100%, height: 1.6em, above: 0.4em, below: 0.4em, stroke: (bottom: 0.5pt))
#let tick = box(width: 0.8em, height: 0.8em, stroke: 0.7pt, baseline: 0.08em)
"""


def pdf_of(kind: Kind, markdown: str, drawings: Mapping[str, Drawing], foot: str, as_of: date) -> bytes:
    """The document, dated `as_of`; `foot` stands at the bottom of every page beside its number."""
    try:
        import typst

        fonts = str(files(FONT_PACKAGE) / "files")
    except ModuleNotFoundError:
        raise BadInput(
            MISSING, file="--format pdf", mend="pip install 'toeroom[papers]', or use html"
        ) from None
    # Letters our font does not have are looked for among those of the machine.
    everywhere = any(ord(c) > LAST_LATIN and c.isalpha() for c in markdown)
    source = source_of(kind, markdown, drawings, foot, as_of).encode()
    letters = typst.Fonts(include_system_fonts=everywhere, font_paths=[fonts])
    dated = datetime(as_of.year, as_of.month, as_of.day, tzinfo=UTC)
    made: bytes
    try:
        made = typst.compile(
            source, format="pdf", font_paths=letters, pdf_standards=["ua-1"], timestamp=dated
        )
    except typst.TypstError:
        # The standard refuses a letter that no font on the machine has. The paper still has to be had.
        made = typst.compile(source, format="pdf", font_paths=letters, timestamp=dated)
    return made


def source_of(kind: Kind, markdown: str, drawings: Mapping[str, Drawing], foot: str, as_of: date) -> str:
    """The document in Typst's language."""
    tokens = tokens_of(markdown)
    head = PREAMBLE.format(
        title=_string(title_of(tokens, kind.title)),
        foot=_string(foot),
        font=_string(FONT),
        size=15 if kind.large else 9.5,
        pad=7 if kind.large else 4,
        year=as_of.year,
        month=as_of.month,
        day=as_of.day,
    )
    return head + "".join(_Writer(tokens, drawings).write())


def _string(text: str) -> str:
    """`text` as a string of the language: nothing in it is markup or code."""
    plain = "".join(c if c.isprintable() else " " for c in text)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


class _Writer:
    """Writes tokens as calls, their words as strings."""

    AROUND = {
        "paragraph_open": "#par[",
        "blockquote_open": "#quote(block: true)[",
        "bullet_list_open": "#list(",
        "ordered_list_open": "#enum(",
        "list_item_open": "[",
        "strong_open": "#strong[",
        "em_open": "#emph[",
    }
    CLOSED = {
        "paragraph_close": "]\n",
        "heading_close": "]\n",
        "blockquote_close": "]\n",
        "bullet_list_close": ")\n",
        "ordered_list_close": ")\n",
        "list_item_close": "],",
        "strong_close": "]",
        "em_close": "]",
    }

    def __init__(self, tokens: Sequence[Token], drawings: Mapping[str, Drawing]) -> None:
        self.tokens, self.drawings = tokens, drawings

    def write(self) -> Iterator[str]:
        in_table: list[Token] | None = None
        for token, after in zip_longest(self.tokens, self.tokens[1:]):
            if token.type == "table_open":
                in_table = []
            elif token.type == "table_close":
                yield self.table(in_table or [])
                in_table = None
            elif in_table is not None:
                in_table.append(token)
            elif token.type == "paragraph_open" and not token.hidden and words_of(after).endswith(":"):
                # What leads to something stays on its page.
                yield "#block(sticky: true)["
            else:
                yield self.one(token)

    def one(self, token: Token) -> str:
        if token.type == "inline":
            return "".join(self.one(child) for child in token.children or [])
        if token.type == "heading_open":
            return f"#heading(level: {token.tag[1]})["
        if token.type == "paragraph_open" and token.hidden:
            return "#["
        if token.attrs.get("class") == TICKS:
            return "#list(marker: tick, "
        if token.type == "text":
            return _text(token.content)
        if token.type == "code_inline":
            return f"#{_string(token.content)}"
        if token.type == "hardbreak":
            return "#linebreak()"
        if token.type == "softbreak":
            return '#" "'
        if token.type == "image":
            return self.drawing(token)
        if token.type == "write_on":
            return "#write-on\n"
        if token.type == "small_print":
            return SMALL_PRINT
        return self.AROUND.get(token.type) or self.CLOSED.get(token.type, "")

    def table(self, tokens: Sequence[Token]) -> str:
        rows: list[list[Token]] = []
        for token in tokens:
            if token.type == "tr_open":
                rows.append([])
            elif token.type == "inline":
                rows[-1].append(token)
        widths = ", ".join(f"{share}fr" for share in _shares(rows))
        cells = [[f"[{self.cell(cell)}]" for cell in row] for row in rows]
        body = ",\n".join(", ".join(row) for row in cells[1:])
        head = f"table.header({', '.join(cells[0])})"
        whole = "false" if len(rows) <= KEPT_WHOLE else "true"
        written = f"table(columns: ({widths},), {head},\n{body}{',' if body else ''})"
        return f"#block(breakable: {whole}, {written})\n"

    def cell(self, token: Token) -> str:
        """A cell that is all blank is written on from edge to edge."""
        if BLANK.fullmatch(words_of(token)):
            return "#line-to-fill(100%)"
        return self.one(token)

    def drawing(self, token: Token) -> str:
        name = drawing_name(token)
        if name not in self.drawings:
            return f"#emph[{_text(words_of(token))}]"
        drawn = self.drawings[name].svg
        wide = min(self.drawings[name].mm or _width_px(drawn) / PX_PER_MM, WIDEST_MM)
        drawn = drawn.replace("DejaVu Sans, Verdana, sans-serif", FONT)
        return (
            f'#image(bytes({_string(drawn)}), format: "svg", width: {wide:.2f}mm, '
            f"alt: {_string(words_of(token))})\n"
        )


def _text(text: str) -> str:
    """Words as strings; blanks as lines to write on, boxes as boxes."""
    parts, last = [], 0
    for run in BLANK.finditer(text):
        parts += [_boxed(text[last : run.start()]), f"#line-to-fill({len(run[0]) * 0.5}em)"]
        last = run.end()
    return "".join([*parts, _boxed(text[last:])])


def _boxed(text: str) -> str:
    return "#tick".join(f"#{_string(part)}" if part else "" for part in text.split(BOX))


def _width_px(svg: str) -> float:
    return float(svg.partition("width='")[2].partition("'")[0])


def _shares(rows: Sequence[Sequence[Token]]) -> list[int]:
    """How wide each column is against the others: by its longest word and by how much it holds."""
    shares = []
    for column in zip(*rows, strict=True):
        words = [" ".join(c.content for c in cell.children or []) for cell in column]
        longest = max((len(word) for text in words for word in text.split()), default=1)
        most = max(len(text) for text in words)
        # The inset of a cell takes about three letters.
        shares.append(max(longest, min(most, WIDEST_SHARE)) + 3)
    return shares
