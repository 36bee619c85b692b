"""`kb check` finds what is broken: one seeded fault at a time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from toeroom.errors import BadInput
from toeroom.handbook.check import ERROR, WARNING, Fault, check

TODAY = date(2026, 11, 25)
BUNION = "kb/feet/bunion.md"
LONG = "This one long sentence of more than ten words stands in the book a second time, word by word."


def swap(file: str, old: str, new: str) -> Callable[[Path], None]:
    def change(book: Path) -> None:
        text = (book / file).read_text(encoding="utf-8")
        assert old in text
        (book / file).write_text(text.replace(old, new, 1), encoding="utf-8")

    return change


def add(file: str, text: str) -> Callable[[Path], None]:
    def change(book: Path) -> None:
        with (book / file).open("a", encoding="utf-8") as stream:
            stream.write(text)

    return change


def both(*changes: Callable[[Path], None]) -> Callable[[Path], None]:
    def change(book: Path) -> None:
        for one in changes:
            one(book)

    return change


SEEDED: dict[str, tuple[Callable[[Path], None], str, str, str]] = {
    "id": (swap(BUNION, "id: bunion", "id: bunions"), ERROR, BUNION, "the file is named 'bunion'"),
    "shelf": (swap(BUNION, "shelf: feet", "shelf: shoes"), ERROR, BUNION, "stands on the shelf 'feet'"),
    "key": (swap(BUNION, "author:", "writer:"), ERROR, BUNION, "'writer' is not a known key"),
    "missing": (swap(BUNION, "author: toeroom\n", ""), ERROR, BUNION, "has no 'author'"),
    "date": (swap(BUNION, "reviewed: 2026-11-25", "reviewed: 2026-11-31"), ERROR, BUNION, "does not exist"),
    "dates": (swap(BUNION, "review_by: 2027", "review_by: 2025"), ERROR, BUNION, "lies before the last"),
    "overdue": (
        both(
            swap(BUNION, "reviewed: 2026", "reviewed: 2024"),
            swap(BUNION, "review_by: 2027", "review_by: 2025"),
        ),
        WARNING,
        BUNION,
        "was due on 2025-11-25",
    ),
    "future": (
        swap(BUNION, "reviewed: 2026-11-25", "reviewed: 2027-01-25"),
        WARNING,
        BUNION,
        "in the future",
    ),
    "finding": (swap(BUNION, "findings: [bunion", "findings: [bunyon"), ERROR, BUNION, "serves 'bunyon'"),
    "item": (
        swap(BUNION, "items: [extra_width", "items: [extra_widht"),
        ERROR,
        BUNION,
        "serves 'extra_widht'",
    ),
    "source": (
        swap(BUNION, "key: menz-2016", "key: menz-2061"),
        ERROR,
        BUNION,
        "'menz-2061' is not in sources",
    ),
    "citation": (swap(BUNION, "[@menz-2016]", "[@menz-2061]"), ERROR, BUNION, "cites 'menz-2061'"),
    "unnamed": (add(BUNION, "\nMore [@ssa-1861-s-12].\n"), WARNING, BUNION, "front matter does not name"),
    "citation form": (add(BUNION, "\nMore [@Menz 2016].\n"), ERROR, BUNION, "a citation that is not one"),
    "link": (swap(BUNION, "(page:red-marks)", "(page:red-mark)"), ERROR, BUNION, "the page 'red-mark'"),
    "outside link": (add(BUNION, "\n[here](https://example.org)\n"), ERROR, BUNION, "links to 'https"),
    "own link": (add(BUNION, "\n[here](page:bunion)\n"), WARNING, BUNION, "links to itself"),
    "broken link": (add(BUNION, "\n[here](page: bunion x)\n"), ERROR, BUNION, "a link that is not one"),
    "html": (add(BUNION, "\n<b>bold</b>\n"), ERROR, BUNION, "raw HTML"),
    "picture": (add(BUNION, "\n![foot](foot.png)\n"), ERROR, BUNION, "has a picture"),
    "first level": (add(BUNION, "\n# Bunion\n"), ERROR, BUNION, "heading of the first level"),
    "heading": (add(BUNION, "\n##Heading\n"), ERROR, BUNION, "without a space"),
    "bold": (add(BUNION, "\nSome **bold text.\n"), ERROR, BUNION, "bold that does not"),
    "fence": (add(BUNION, "\n```\ncode\n"), ERROR, BUNION, "never closed"),
    "table": (add(BUNION, "\n| a | b |\n| 1 | 2 |\n"), ERROR, BUNION, "a table that is not one"),
    "cells": (add(BUNION, "\n| a | b |\n|---|---|\n| 1 | 2 | 3 |\n"), ERROR, BUNION, "row of 3 cells"),
    "caution": (add(BUNION, "\n- one\n\n  > **Caution.** Two.\n"), ERROR, BUNION, "caution inside a list"),
    "twice": (
        both(add(BUNION, f"\n{LONG}\n"), add("kb/feet/swelling.md", f"\n{LONG}\n")),
        ERROR,
        "kb/feet",
        "say it once",
    ),
    "long": (add(BUNION, "\n" + "word " * 600), WARNING, BUNION, "words outside its tables"),
    "empty": (lambda book: empty(book / BUNION), ERROR, BUNION, "has no text"),
    "retired": (swap(BUNION, "status: active", "status: retired"), WARNING, BUNION, "replaced by nothing"),
    "linked to retired": (
        swap("kb/feet/tailors-bunion.md", "status: active", "status: retired"),
        WARNING,
        "kb/",
        "is retired",
    ),
    "unserved": (
        swap("kb/inserts/wear-and-change.md", ", walks_a_lot]", "]"),
        ERROR,
        "rules/vocabulary.yaml",
        "no page serves the finding 'walks_a_lot'",
    ),
    "gone": (
        lambda book: (book / BUNION).unlink(),
        ERROR,
        "rules/vocabulary.yaml",
        "names the page 'bunion'",
    ),
    "banned": (add("kb/banned.txt", "yields over\n"), ERROR, BUNION, "which kb/banned.txt bars"),
    "no shelf": (
        lambda book: (book / "kb/lost.md").write_text("x"),
        ERROR,
        "kb/lost.md",
        "stands on no shelf",
    ),
    "double": (lambda book: double(book), ERROR, "kb/shoes/bunion.md", "stands on the shelf 'shoes'"),
    "synonyms": (add("kb/synonyms.yaml", "  - {was: [a]}\n"), ERROR, "kb/synonyms.yaml", "a group has 'is'"),
    "asked": (add("kb/asked.yaml", "\nbunyon:\n  - x\n"), ERROR, "kb/asked.yaml", "no page 'bunyon'"),
    "places": (add("kb/places.yaml", "\nheal: [bunion]\n"), ERROR, "kb/places.yaml", "'heal' is no place"),
    "asked form": (add("kb/asked.yaml", "\nbunyon: x\n"), ERROR, "kb/asked.yaml", "must hold a list"),
    "sources": (
        swap("kb/sources.yaml", "kind: policy", "kind: gossip"),
        ERROR,
        "kb/sources.yaml",
        "'kind' cannot be",
    ),
    "not text": (
        lambda book: (book / BUNION).write_bytes(b"---\n\xff\n---\n"),
        ERROR,
        BUNION,
        "is not UTF-8",
    ),
}


def empty(file: Path) -> None:
    file.write_text("---".join(file.read_text().split("---")[:2]) + "---\n")


def double(book: Path) -> None:
    (book / "kb/shoes/bunion.md").write_text((book / BUNION).read_text())


def found(book: Path) -> list[Fault]:
    return list(check(book, TODAY).faults)


def test_the_shipped_handbook_has_no_fault(copy: Path) -> None:
    report = check(copy, TODAY)
    assert [str(fault) for fault in report.faults] == []
    assert report.ok
    assert len(report.figures) >= 95
    assert all(150 <= figures.words <= 600 and 0 < figures.grade < 12 for figures in report.figures)


@pytest.mark.parametrize("name", SEEDED)
def test_a_seeded_fault_is_found(copy: Path, name: str) -> None:
    change, severity, file, what = SEEDED[name]
    change(copy)
    report = check(copy, TODAY)
    right = [
        f for f in report.faults if what in f.what + f.mend and f.severity == severity and file in f.file
    ]
    assert right, [str(f) for f in report.faults]
    assert all(f.mend for f in right)
    assert report.ok == all(f.severity == WARNING for f in report.faults)


def test_the_line_is_that_of_the_fault(copy: Path) -> None:
    add(BUNION, "\n<b>bold</b>\n")(copy)
    fault = next(f for f in found(copy) if "raw HTML" in f.what)
    assert (copy / BUNION).read_text().split("\n")[fault.line - 1] == "<b>bold</b>"


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("pages: [open-wound]", "pages: [open-wounds]", "names the page 'open-wounds'"),
        (
            'source: ["van-netten-2018, rec. 10"',
            'source: ["van-netten-2108, rec. 10"',
            "rests on 'van-netten-2108'",
        ),
    ],
)
def test_a_rule_that_points_nowhere(copy: Path, old: str, new: str, what: str) -> None:
    swap("rules/stops.yaml", old, new)(copy)
    assert any(what in fault.what for fault in found(copy))


def test_no_handbook(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no handbook"):
        check(tmp_path, TODAY)
