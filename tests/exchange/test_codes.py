"""The code table of the book, and what is refused in one."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.exchange.conftest import BOOK, CODES
from toeroom.errors import BookFault
from toeroom.exchange.codes import MEMORY, SAME, read_codes

TEXT = (BOOK.folder / "kb/codes.yaml").read_text(encoding="utf-8")


def verhoeff(digits: str) -> bool:
    """Whether the check digit of a SNOMED CT identifier holds (Verhoeff)."""
    table = [[(i + j) % 5 for j in range(5)] + [5 + (i + j) % 5 for j in range(5)] for i in range(5)]
    table += [[5 + (i - j) % 5 for j in range(5)] + [(i - j) % 5 for j in range(5)] for i in range(5)]
    turns = [list(range(10)), [1, 5, 7, 6, 2, 8, 3, 0, 9, 4]]
    for _ in range(6):
        turns.append([turns[1][digit] for digit in turns[-1]])
    check = 0
    for place, digit in enumerate(reversed(digits)):
        check = table[check][turns[place % 8][int(digit)]]
    return check == 0


def luhn(code: str) -> bool:
    """Whether the check digit of a LOINC term code holds (mod 10)."""
    digits, _, check = code.partition("-")
    total = sum(sum(divmod(int(d) * (2 - n % 2), 10)) for n, d in enumerate(reversed(digits)))
    return (-total) % 10 == int(check)


def test_check_digits_of_every_code() -> None:
    places = [code for codes in CODES.feet.values() for code in codes]
    places += [code for mapped in CODES.terms for codes in mapped.at.values() for code in codes]
    keys = {code.key for code in places} | {mapped.code.key for mapped in CODES.terms} | set(CODES.values)
    for system, code in keys:
        if "snomed" in system:
            assert verhoeff(code), code
        elif "loinc" in system and not code.startswith("LA"):
            assert luhn(code), code
    assert not verhoeff("73211008")
    assert not luhn("8480-5")


def test_what_is_from_memory_is_never_sent() -> None:
    assert any(mapped.certain == MEMORY for mapped in CODES.terms)
    assert not any(
        mapped.sent for mapped in CODES.terms if mapped.certain == MEMORY or mapped.relation != SAME
    )


FAULTS = [
    ("term: bunion", "term: bunnion", "did you mean 'bunion'?"),
    ("system: loinc\n", "system: loink\n", "cannot be 'loink'"),
    ("relation: narrower", "relation: wider", "use one of same, narrower"),
    ("certain: from memory", "certain: quite", "use one of from published list"),
    ("source: common in problem lists", "because: I say so", "'because' is not a known key"),
    ("    display: Hammer toe\n", "", "has no 'display'"),
    ('code: "122481008"', 'code: "122480009"', "the code 122480009 stands here for two things"),
    (
        '"44054006"\n    display: Diabetes mellitus type 2\n    relation: narrower',
        '"44054006"\n    display: x\n    relation: same',
        "'diabetes' would be sent with two codes",
    ),
    ("  left: [{system", "  both: [{system", "'both' is not a known key"),
    ("      person:\n", "      left:\n", "'left' is not a known key"),
    ("systems:", "systemz:", "'systemz' is not a known key"),
    ("Temperature of Skin\n    relation: same", "x\n    relation: narrower", "use one of same"),
    ("values:\n  yes:\n", "values:\n  yes: x\n  maybe:\n", "'maybe' is not a known key"),
]


@pytest.mark.parametrize(("old", "new", "said"), FAULTS, ids=[said for *_, said in FAULTS])
def test_faults_are_named_with_their_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in TEXT
    path = tmp_path / "codes.yaml"
    path.write_text(TEXT.replace(old, new), encoding="utf-8")
    with pytest.raises(BookFault) as caught:
        read_codes(path, BOOK.vocabulary)
    assert said in str(caught.value)
    assert "line" in str(caught.value)
