"""How people ask for a page: kb/asked.yaml, a list of askings for each page, in anybody's words."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from toeroom.errors import BookFault
from toeroom.yamltree import parse


@dataclass(frozen=True, slots=True)
class Askings:
    """The askings for one page; `line` is where they begin in the file."""

    texts: tuple[str, ...]
    line: int


def read_asked(raw: str, path: Path) -> dict[str, Askings]:
    """The askings written as `raw` in the file at `path`, by page id; `BookFault` for anything else."""
    top = parse(raw, str(path), fault=BookFault)
    if top.value is None:
        return {}
    if not isinstance(top.value, dict):
        raise BookFault(
            "the file holds 'page: [askings]'", file=str(path), line=top.line, mend="see docs/search.md"
        )
    found: dict[str, Askings] = {}
    for page_id, node in top.value.items():
        inner = node.value if isinstance(node.value, list) else []
        texts = tuple(" ".join(n.value.split()) for n in inner if isinstance(n.value, str))
        if not texts or len(texts) != len(inner):
            mend = "write a '- ' line of words for each asking"
            raise BookFault(
                f"'{page_id}' must hold a list of askings", file=str(path), line=node.key_line, mend=mend
            )
        found[page_id] = Askings(texts, node.key_line)
    return found
