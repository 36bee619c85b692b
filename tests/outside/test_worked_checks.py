"""The table of worked checks: every check of a subject is there once, and every test it names exists."""

from __future__ import annotations

import re

from tests.conftest import ROOT

PAGE = (ROOT / "docs" / "worked-checks.md").read_text(encoding="utf-8")
COUNTS = {
    "1B": 10, "2B": 8, "3 heel": 7, "4 room": 9, "5": 8, "6 rockers": 7, "7 inserts": 10, "8": 7, "10": 8,
    "1 benefit": 13, "3 scales": 10, "4 english": 6, "6 compression": 7, "7 skin": 6,
}  # fmt: skip
"""How many checks each subject has, in the order of the page."""


def rows() -> list[tuple[str, list[int], list[tuple[str, str]]]]:
    """Subject (as it was last named), numbers and tests of each row."""
    found, subject = [], ""
    for line in PAGE.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if not line.startswith("|") or len(cells) != 3 or not re.match(r"\d", cells[1]):
            continue
        subject = cells[0] or subject
        tests = re.findall(r"`(test_\w+\.py)::(test_\w+)`", cells[2])
        found.append((subject, [int(n) for n in cells[1].split(", ")], tests))
    return found


def test_every_check_is_held_once() -> None:
    by_subject: dict[str, list[int]] = {}
    for subject, numbers, _ in rows():
        by_subject.setdefault(subject, []).extend(numbers)
    assert [sorted(numbers) for numbers in by_subject.values()] == [
        list(range(1, count + 1)) for count in COUNTS.values()
    ]


def test_every_test_named_exists() -> None:
    for subject, numbers, tests in rows():
        assert tests, (subject, numbers)
        for file, name in tests:
            text = (ROOT / "tests" / "outside" / file).read_text(encoding="utf-8")
            assert f"def {name}(" in text, f"{file}::{name}"
