"""Pages and search results as text for a terminal or a file."""

from __future__ import annotations

from rich.console import Console
from rich.markdown import Markdown
from rich.text import Text

from toeroom.handbook.pages import Page
from toeroom.handbook.render import plain_text
from toeroom.handbook.search import Hit, SearchResult
from toeroom.printing import print_text
from toeroom.wording import printable


def print_hits(out: Console, result: SearchResult) -> None:
    """What was found, best first; says what was searched where the spelling was changed."""
    if result.corrected:
        print_text(out, Text(f"searched for: {printable(result.corrected)}", "italic"))
    if not result.hits:
        print_text(out, Text("The handbook has nothing on this. Ask the prescriber or the foot service."))
    for hit in result.hits:
        _print_hit(out, hit)


def _print_hit(out: Console, hit: Hit) -> None:
    head = Text.assemble((printable(hit.title), "bold"), f"  [{hit.page}] {printable(hit.heading)}")
    print_text(out, head)
    text = Text(printable(hit.text))
    for start, end in hit.passage.marks:
        text.stylize("bold yellow", start, end)
    print_text(out, text, 2)


def print_page(out: Console, page: Page) -> None:
    """A page: set as Markdown on a terminal, plain where it goes to a file."""
    if out.is_terminal:
        out.print(Markdown(f"# {page.title}\n\n{page.body}"))
    else:
        print(plain_text(page))
