"""Whether the figures on the pages are those of the facts they rest on.

`page_numbers.yaml` holds what was read against the collected facts: the text, its figures, the number
of the fact and the source. A changed figure, a changed citation or a new cited figure is seen here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.conftest import ROOT
from toeroom.handbook.pages import Page, read_page
from toeroom.handbook.sections import plain_inline, tokens_of, without_citations
from toeroom.handbook.sources import Source, read_sources

CODE_TABLE = "1f"
WORDS = {
    "half": "1/2", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7",
    "eight": "8", "nine": "9", "ten": "10", "eleven": "11", "twelve": "12", "twenty": "20",
}  # fmt: skip
GLYPHS = {"½": "1/2", "¼": "1/4", "¾": "3/4"}
FIGURE = re.compile(
    r"(?<![A-Za-z\d])[A-Z]\d{4}\b"  # a code
    r"|(?<![A-Za-z\d.,])(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?:[½¼¾]|(?: \d+)?/\d+(?![\d/]))?(?![A-Za-z\d])"
    r"|[½¼¾]"
    rf"|\b(?:{'|'.join(WORDS)})\b",
    re.IGNORECASE,
)
CITATION = re.compile(r"\[@([a-z0-9-]+)(?:,[^\]]*)?\]")
SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9“\"(‘])")


@dataclass(frozen=True)
class Told:
    """A sentence or a row of a table: its page, its words without citations, the keys cited in it."""

    page: str
    text: str
    keys: frozenset[str]


@dataclass(frozen=True)
class Row:
    """A row of the table in `page_numbers.yaml`."""

    page: str
    text: str
    figures: tuple[str, ...]
    facts: tuple[str, ...]
    sources: tuple[str, ...]
    derived: tuple[str, ...]
    why: str


def figures_in(text: str) -> list[str]:
    return [figure for figure, _, _ in figures_at(text)]


def figures_at(text: str) -> Iterator[tuple[str, int, int]]:
    """The figures of `text`, written in one way, and where they begin and end."""
    for found in FIGURE.finditer(text):
        figure = WORDS.get(found[0].lower(), found[0].replace(",", ""))
        if figure[-1] in GLYPHS:
            figure = f"{figure[:-1]} {GLYPHS[figure[-1]]}".strip()
        yield figure, found.start(), found.end()


def value(figure: str) -> Fraction:
    return sum((Fraction(part) for part in figure.split()), Fraction(0))


def blocks(page: Page) -> Iterator[str]:
    """Paragraphs, list entries, headings and table rows, with their citations."""
    row: list[str] | None = None
    for token in tokens_of(page.body):
        if token.type == "tr_open":
            row = []
        elif token.type == "tr_close" and row is not None:
            yield " | ".join(row)
            row = None
        elif token.type == "inline":
            text = plain_inline(token, citations=True)
            if row is None:
                yield from sentences(text)
            else:
                row.append(text)


def sentences(text: str) -> Iterator[str]:
    """The sentences of `text`; a place named in a citation ends none."""
    kept = CITATION.findall(text)
    hidden = CITATION.sub("\0", text)
    keys = iter(kept)
    for sentence in SENTENCE.split(hidden):
        yield re.sub("\0", lambda _: f"[@{next(keys)}]", sentence)


@pytest.fixture(scope="module")
def pages() -> dict[str, Page]:
    return {page.id: page for page in map(read_page, sorted((ROOT / "kb").glob("*/*.md")))}


@pytest.fixture(scope="module")
def told(pages: dict[str, Page]) -> dict[str, list[Told]]:
    return {
        page.id: [
            Told(page.id, without_citations(text), frozenset(CITATION.findall(text))) for text in blocks(page)
        ]
        for page in pages.values()
    }


@pytest.fixture(scope="module")
def sources() -> dict[str, Source]:
    return read_sources(ROOT / "kb" / "sources.yaml")


def _row(page: str, raw: dict[str, Any]) -> Row:
    many = {name: tuple(raw.get(name, ())) for name in ("figures", "facts", "sources", "derived")}
    return Row(page=page, text=" ".join(raw["text"].split()), why=raw.get("why", ""), **many)


def read_rows() -> list[Row]:
    text = Path(__file__).with_name("page_numbers.yaml").read_text(encoding="utf-8")
    # The base loader leaves figures as they are written: 0.90 is not 0.9 there.
    pages = yaml.load(text, Loader=yaml.BaseLoader)["pages"]
    return [_row(page, raw) for page, rows in pages.items() for raw in rows]


ROWS = read_rows()
IDS = [f"{row.page}: {row.text[:40]}" for row in ROWS]


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_the_text_stands_on_its_page(row: Row, told: dict[str, list[Told]]) -> None:
    assert any(row.text in place.text for place in told.get(row.page, ())), "changed or gone: read it anew"


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_the_figures_are_those_of_the_table(row: Row) -> None:
    assert figures_in(row.text) == list(row.figures)
    assert row.figures, "a row without a figure"
    assert set(row.derived) <= set(row.figures)
    assert bool(row.derived) == bool(row.why)


def supports(source: Source, fact: str) -> bool:
    return fact in source.facts or (fact == CODE_TABLE and "code table" in source.note)


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_the_source_named_beside_it_supports_the_fact(
    row: Row, told: dict[str, list[Told]], pages: dict[str, Page], sources: dict[str, Source]
) -> None:
    places = [place for place in told[row.page] if row.text in place.text]
    beside = frozenset[str]().union(*(place.keys for place in places))
    at_head = {source.key for source in pages[row.page].sources}
    if "from memory" in row.text:
        beside |= {"from-memory"} & at_head if beside else frozenset()
    assert set(row.sources) <= (beside or at_head)
    for fact in row.facts:
        assert any(supports(sources[key], fact) for key in row.sources), f"{fact}: by none of {row.sources}"
    for key in row.sources:
        assert any(supports(sources[key], fact) for fact in row.facts), f"{key}: for none of {row.facts}"


INCHES = [row for row in ROWS if "inches in mm" in row.why]
HALVES = [row for row in ROWS if row.why == "half at the ball"]


@pytest.mark.parametrize("row", INCHES, ids=lambda row: f"{row.page}: {row.text[:40]}")
def test_millimetres_are_those_of_the_inches(row: Row) -> None:
    """To the digits printed; a tie may go either way. Zero is the toe of a lift."""
    stated = [value(figure) * Fraction("25.4") for figure in row.figures if "/" in figure or figure == "4"]
    for figure in row.derived:
        if "/" not in figure and figure != "0":
            half = Fraction(1, 2 * 10 ** len(figure.partition(".")[2]))
            assert any(abs(mm - Fraction(figure)) <= half for mm in stated), figure


@pytest.mark.parametrize("row", HALVES, ids=lambda row: f"{row.page}: {row.text[:40]}")
def test_a_lift_has_half_its_height_at_the_ball(row: Row) -> None:
    lift, heel, ball, toe = (Fraction(figure) for figure in row.figures)
    assert [heel, ball, toe] == [lift, lift / 2, Fraction(0)]


def test_every_cited_figure_stands_in_the_table(told: dict[str, list[Told]]) -> None:
    missing = []
    for page, places in told.items():
        texts = [row.text for row in ROWS if row.page == page]
        for place in places:
            if place.keys:
                spans = [found.span() for text in texts for found in re.finditer(re.escape(text), place.text)]
                missing += [
                    f"{page}: {figure} in {place.text!r}"
                    for figure, start, end in figures_at(place.text)
                    if not any(first <= start and end <= last for first, last in spans)
                ]
    assert not missing


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("10-20 mm, 8.47 and 2,890 people", ["10", "20", "8.47", "2890"]),
        ("3 7/16 in, 1/4 in, 34½, ½ size", ["3 7/16", "1/4", "34 1/2", "1/2"]),
        ("A5512, TcPO2 and 2E; half of twelve", ["A5512", "1/2", "12"]),
        ("15°, 52 %, 0.90.", ["15", "52", "0.90"]),
    ],
)
def test_how_figures_are_read(text: str, figures: list[str]) -> None:
    assert figures_in(text) == figures
