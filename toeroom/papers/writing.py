"""Papers into files: one, or every paper of a case into a folder."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from toeroom.errors import BadInput
from toeroom.files import write_whole
from toeroom.papers.making import Paper

ENDINGS = {".md": "md", ".markdown": "md", ".html": "html", ".htm": "html", ".pdf": "pdf"}
"""What a file holds, by the ending of its name."""


def write_paper(paper: Paper, form: str, to: Path) -> list[Path]:
    """Writes a paper as md, html or pdf; the drawings of Markdown as files beside it.

    Returns what was written. Raises `BadInput`.
    """
    if form != "md":
        write_whole(to, paper.as_pdf() if form == "pdf" else paper.as_html())
        return [to]
    named = {name: to.with_name(f"{to.stem}-{name}.svg") for name in paper.drawn}
    for name, path in named.items():
        write_whole(path, paper.drawings[name].svg)
    write_whole(to, paper.as_text(to.stem))
    return [to, *named.values()]


def write_papers(papers: Iterable[Paper], form: str, folder: Path) -> Iterator[tuple[Paper, Path]]:
    """Writes papers into `folder`, made where it is not there; yields each file. Raises `BadInput`."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise BadInput(f"cannot be made ({error.strerror})", file=str(folder), mend="name a folder") from None
    for paper in papers:
        for path in write_paper(paper, form, folder / f"{paper.case}-{paper.kind.id}.{form}"):
            yield paper, path
