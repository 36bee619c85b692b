"""When rules, pages and guarantees were looked at, by whom, and when again."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from dateutil.relativedelta import relativedelta

from toeroom.errors import BadInput, BookFault, nearest
from toeroom.files import write_whole
from toeroom.handbook.index import pages_of, read_content
from toeroom.rules.reading import RuleFile
from toeroom.upkeep.cutting import Piece, cut, fields_of, joined
from toeroom.upkeep.guarantees import guarantees_file, read_guarantees
from toeroom.vocabulary import read_vocabulary
from toeroom.yamltree import read_text

KINDS = ("rule", "guarantee", "page")
NEVER = ""
INITIALS = re.compile(r"[A-Za-z][A-Za-z.-]{0,7}")


@dataclass(frozen=True, slots=True)
class Review:
    """When something was looked at and is to be looked at again.

    kind: rule, guarantee or page. place: its topic file or shelf. reviewed, next: ISO days, '' for never.
    by: who looked at it last.
    """

    kind: str
    id: str
    title: str
    place: str
    reviewed: str
    by: str
    next: str
    file: str
    line: int


def all_reviews(folder: Path) -> list[Review]:
    """The reviews of all that is not retired in the book in `folder`, what is due first at the top."""
    found = [*_of_rules(folder), *_of_guarantees(folder), *_of_pages(folder)]
    return sorted(found, key=lambda r: (r.next, KINDS.index(r.kind), r.place, r.id))


def due(reviews: Iterable[Review], until: date) -> list[Review]:
    """Those that are to be looked at again on `until` or before, or never were."""
    return [review for review in reviews if review.next <= until.isoformat()]


def _of_rules(folder: Path) -> list[Review]:
    vocabulary = read_vocabulary(folder / "rules" / "vocabulary.yaml")
    return [
        Review(
            "rule", rule.id, rule.title, path.stem, rule.reviewed, rule.reviewed_by or rule.author,
            rule.review_by, rule.file, rule.line,
        )
        for path in sorted((folder / "rules").glob("*.yaml"))
        if path.name not in ("vocabulary.yaml", "guarantees.yaml")
        for rule in RuleFile(path, vocabulary).rules()
        if rule.status != "retired"
    ]  # fmt: skip


def _of_guarantees(folder: Path) -> list[Review]:
    path = guarantees_file(folder)
    if not path.is_file():
        return []
    vocabulary = read_vocabulary(folder / "rules" / "vocabulary.yaml")
    return [
        Review("guarantee", g.id, g.title, path.stem, g.reviewed, g.reviewed_by, g.review_by, g.file, g.line)
        for g in read_guarantees(path, vocabulary)
    ]


def _of_pages(folder: Path) -> list[Review]:
    if not (folder / "kb").is_dir():
        return []
    pages, faults = pages_of(read_content(folder))
    if faults:
        raise faults[0]
    return [
        Review(
            "page", page.id, page.title, page.shelf, page.reviewed.isoformat(),
            page.reviewed_by or page.author, page.review_by.isoformat(), page.file, page.lines["review_by"],
        )
        for page in pages.values()
        if page.status != "retired"
    ]  # fmt: skip


# --- writing a review down ------------------------------------------------------------------------
def note_review(
    folder: Path, ids: Iterable[str], kinds: tuple[str, ...], by: str, on: date, following: date | None = None
) -> list[Review]:
    """Writes into the files that `by` looked at these on `on`, and when again: a year later where not said.

    `kinds`: what the ids may be of; `topic:fit` or `shelf:feet` stands for all of it. All ids are looked
    up before anything is written. Returns what was reviewed, as it stood before.
    """
    if not INITIALS.fullmatch(by):
        raise BadInput(f"'{by}' are no initials", file="--by", mend="use up to eight letters, never a name")
    following = following or on + relativedelta(years=1)
    if on > date.today() or following <= on:
        raise BadInput(
            "the review lies in the future, or the next one before it", mend="check --on and --next"
        )
    reviews = [review for review in all_reviews(folder) if review.kind in kinds]
    chosen = _chosen(reviews, ids)
    new = {"reviewed": on.isoformat(), "reviewed_by": by, "review_by": following.isoformat()}
    texts: dict[Path, str] = {}
    for review in chosen:
        path = Path(review.file)
        text = texts.get(path) or read_text(path, fault=BookFault)
        set_in = _in_page if review.kind == "page" else _in_list
        texts[path] = set_in(text, review, new)
    for path, text in texts.items():
        write_whole(path, text)
    return chosen


def _chosen(reviews: list[Review], ids: Iterable[str]) -> list[Review]:
    by_id = {review.id: review for review in reviews}
    places = {f"{'shelf' if r.kind == 'page' else 'topic'}:{r.place}" for r in reviews}
    found: dict[tuple[str, str], Review] = {}
    for named in ids:
        if named in places:
            place = named.partition(":")[2]
            found.update({(r.kind, r.id): r for r in reviews if r.place == place})
        elif named in by_id:
            found[by_id[named].kind, named] = by_id[named]
        else:
            raise BadInput(f"there is no '{named}'", mend=nearest(named, [*by_id, *places]))
    return list(found.values())


def _in_list(text: str, review: Review, new: dict[str, str]) -> str:
    """The text of a file of rules or guarantees with the fields of one entry set."""
    pieces = cut(text, review.file)
    key = f"{review.kind}s/{review.id}"
    if all(piece.key != key for piece in pieces):
        what = f"'{review.id}' cannot be told apart from what stands beside it"
        raise BadInput(what, file=review.file, line=review.line, mend="begin it on a line of its own")
    return joined([_set(piece, new) if piece.key == key else piece for piece in pieces])


def _set(piece: Piece, new: dict[str, str]) -> Piece:
    fields = fields_of(piece.text, piece.key)
    for key, value in new.items():
        fields = fields.setting(key, value)
    return Piece(piece.key, fields.joined())


def _in_page(text: str, review: Review, new: dict[str, str]) -> str:
    """The text of a page with these lines of its front matter set; a new one stands after the author."""
    lines = text.split("\n")
    end = lines.index("---", 1)
    for key, value in new.items():
        line = f"{key}: {value}"
        at = next((n for n in range(1, end) if lines[n].startswith(f"{key}:")), None)
        if at is None:
            after = next(n for n in range(1, end) if lines[n].startswith("reviewed:"))
            lines.insert(after + 1, line)
            end += 1
        else:
            lines[at] = line
    return "\n".join(lines)
