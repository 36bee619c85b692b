"""What a person reads in a paper: its words, by format."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from io import BytesIO
from xml.etree.ElementTree import Element

import html5lib
import pypdfium2

from toeroom.papers.making import Paper
from toeroom.papers.marks import tokens_of


def words(text: str) -> Counter[str]:
    """The words of a text; a line to write on is none."""
    return Counter(re.findall(r"[^\W_]+", text))


def markdown_lines(paper: Paper) -> Iterator[str]:
    """The texts of the Markdown, without marks; what pictures say left out."""
    for token in tokens_of(paper.markdown):
        if token.type == "inline":
            yield "".join(
                " " if child.type == "softbreak" else child.content
                for child in token.children or []
                if child.type != "image"
            )


def drawn_words(paper: Paper) -> Counter[str]:
    """The words within the drawings that the paper shows."""
    texts = [re.findall(r"<text[^>]*>([^<]*)</text>", paper.drawings[name].svg) for name in paper.drawn]
    return words(" ".join(text for found in texts for text in found))


def html_tree(text: str) -> Element:
    """The document, parsed strictly: an `html5lib.html5parser.ParseError` where it is not valid."""
    tree = html5lib.getTreeBuilder("etree")
    parser = html5lib.HTMLParser(tree=tree, strict=True, namespaceHTMLElements=False)
    return parser.parse(text)


def pdf_pages(raw: bytes) -> list[str]:
    """The text of each page."""
    document = pypdfium2.PdfDocument(BytesIO(raw))
    return [page.get_textpage().get_text_range() for page in document]
