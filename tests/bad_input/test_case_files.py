"""Files that are no case at all, and files that look odd and are one."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from toeroom.book import open_book
from toeroom.case import LARGEST_CASE, read_case
from toeroom.errors import BadInput

Refusal = Callable[[Path], str]
"""Plans a file and gives the one line that refused it; the fixtures are in conftest."""

GOOD = b"case: a\nas_of: 2026-11-25\nleft: {bunion: yes}\n"

BYTES = {
    "Latin-1": ("case: a\ntitle: mal à pied\n".encode("latin-1"), "line 2: is not UTF-8"),
    "UTF-16": ("case: a\n".encode("utf-16"), "is not UTF-8"),
    "UTF-32": ("case: a\n".encode("utf-32"), "is not UTF-8"),
    "half a character at the end": (GOOD + "notes: é".encode()[:-1], "line 4: is not UTF-8"),
    "a surrogate in UTF-8": (GOOD + b"notes: \xed\xa0\x80\n", "line 4: is not UTF-8"),
    "NUL": (GOOD + b"notes: a\0b\n", "line 4: holds a character"),
    "NUL in a finding": (b"case: a\nleft: {bun\0ion: yes}\n", "line 2: holds a character"),
    "a bell": (GOOD + b"notes: a\x07b\n", "line 4: holds a character"),
    "an escape sequence": (b"case: a\ntitle: \x1b[31mred\x1b[0m\n", "line 2: holds a character"),
    "a delete character": (GOOD + b"notes: a\x7fb\n", "line 4: holds a character"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "is not UTF-8"),
    "only NUL": (b"\0" * 1000, "holds a character"),
    "one byte too large": (GOOD + b"#" * (LARGEST_CASE + 1 - len(GOOD)), "larger than"),
}


def directory(folder: Path) -> Path:
    return folder


def missing(folder: Path) -> Path:
    return folder / "nobody.yaml"


def below_a_file(folder: Path) -> Path:
    (folder / "file.yaml").write_bytes(GOOD)
    return folder / "file.yaml" / "case.yaml"


def link_to_nowhere(folder: Path) -> Path:
    (folder / "link.yaml").symlink_to(folder / "gone.yaml")
    return folder / "link.yaml"


def link_to_itself(folder: Path) -> Path:
    (folder / "loop.yaml").symlink_to(folder / "loop.yaml")
    return folder / "loop.yaml"


def fifty_megabytes(folder: Path) -> Path:
    path = folder / "large.yaml"
    with path.open("wb") as stream:
        stream.write(GOOD)
        stream.truncate(50_000_000)
    return path


PATHS: dict[str, tuple[Callable[[Path], Path], str]] = {
    "a directory": (directory, "folder"),
    "a missing file": (missing, "no such file"),
    "below a file": (below_a_file, "cannot be read"),
    "a link to nowhere": (link_to_nowhere, "no such file"),
    "a link to itself": (link_to_itself, "cannot be read"),
    "fifty megabytes": (fifty_megabytes, "larger than"),
}


@pytest.mark.parametrize(("content", "words"), BYTES.values(), ids=BYTES)
def test_bytes_that_are_no_text_are_refused(
    content: bytes, words: str, tmp_path: Path, refused: Refusal
) -> None:
    path = tmp_path / "bytes.yaml"
    path.write_bytes(content)
    assert words in refused(path)


@pytest.mark.parametrize(("make", "words"), PATHS.values(), ids=PATHS)
def test_paths_that_are_no_case_file_are_refused(
    make: Callable[[Path], Path], words: str, tmp_path: Path, refused: Refusal
) -> None:
    assert words in refused(make(tmp_path))


@pytest.mark.parametrize("name", ["a directory", "a missing file", "fifty megabytes"])
def test_paths_are_refused_by_a_process(name: str, tmp_path: Path, refused_by_process: Refusal) -> None:
    make, words = PATHS[name]
    assert words in refused_by_process(make(tmp_path))


def test_a_picture_is_refused_by_a_process(tmp_path: Path, refused_by_process: Refusal) -> None:
    path = tmp_path / "picture.yaml"
    path.write_bytes(BYTES["a picture"][0])
    assert "is not UTF-8" in refused_by_process(path)


def test_a_file_without_rights_is_refused(tmp_path: Path, refused: Refusal) -> None:
    path = tmp_path / "shut.yaml"
    path.write_bytes(GOOD)
    path.chmod(0)
    if os.access(path, os.R_OK):
        pytest.skip("this user reads every file")
    try:
        assert "cannot be read" in refused(path)
    finally:
        path.chmod(stat.S_IRUSR | stat.S_IWUSR)


@pytest.mark.parametrize("name", ["x" * 300 + ".yaml", "nul\0.yaml"], ids=["too long", "NUL in it"])
def test_a_name_that_can_be_no_file_is_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(BadInput) as refusal:
        read_case(tmp_path / name, open_book().vocabulary)
    assert str(refusal.value).isprintable()


def test_a_file_name_cannot_break_the_line(tmp_path: Path) -> None:
    path = tmp_path / "two\nlines\x1b[31m.yaml"
    path.write_bytes(b"nonsense")
    with pytest.raises(BadInput) as refusal:
        read_case(path, open_book().vocabulary)
    assert str(refusal.value).isprintable()


def test_one_bad_case_among_good_ones_leaves_nothing_half_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from toeroom.cli import main

    good, bad = tmp_path / "good.yaml", tmp_path / "bad.yaml"
    good.write_bytes(GOOD)
    bad.write_bytes(b"case: a\nleft: {open_wond: yes}\n")
    try:
        code = main(["plan", "--json", str(good), str(bad)])
    except SystemExit as stop:
        code = stop.code
    captured = capsys.readouterr()
    assert code == 2
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert "bad.yaml" in captured.err


ODD_BUT_GOOD = {
    "a byte-order mark": b"\xef\xbb\xbf" + GOOD,
    "Windows line ends": GOOD.replace(b"\n", b"\r\n"),
    "no last line end": GOOD.rstrip(),
    "JSON": b'{"case": "a", "as_of": "2026-11-25", "left": {"bunion": "yes"}}',
    "true for yes": GOOD.replace(b"yes", b"true"),
    "capitals": GOOD.replace(b"yes", b"YES"),
    "quotes": GOOD.replace(b"yes", b"'yes'"),
    "a document start and end": b"---\n" + GOOD + b"...\n",
    "comments and empty sections": b"# note\n"
    + GOOD
    + b"right:\nmeasures:\n  left:\nchoices:\ndates:\nnotes:\n",
    "just not too large": GOOD + b"#" * (LARGEST_CASE - len(GOOD)),
}


@pytest.mark.parametrize("content", ODD_BUT_GOOD.values(), ids=ODD_BUT_GOOD)
def test_odd_files_that_are_a_case_are_read(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "odd.yaml"
    path.write_bytes(content)
    case = read_case(path, open_book().vocabulary)
    assert (case.id, case.as_of, case.findings) == ("a", date(2026, 11, 25), {("bunion", "left"): "yes"})


def test_the_edges_of_a_range_and_of_an_id_are_accepted(tmp_path: Path) -> None:
    path = tmp_path / "edges.yaml"
    path.write_text(
        f"case: {'x' * 64}\nas_of: 2028-02-29\n"
        "measures: {left: {foot_length_mm: 150}, right: {foot_length_mm: 350.0, toe_pressure_mmhg: +0}}\n"
    )
    case = read_case(path, open_book().vocabulary)
    assert case.as_of == date(2028, 2, 29)
    assert case.measures == {
        ("foot_length_mm", "left"): Decimal(150),
        ("foot_length_mm", "right"): Decimal(350),
        ("toe_pressure_mmhg", "right"): Decimal(0),
    }


@pytest.mark.parametrize("word", ["yes", "no", "true", "null", "2026", "2026-11-25", "0x1"])
def test_what_yaml_might_read_otherwise_stays_an_id(word: str, tmp_path: Path) -> None:
    path = tmp_path / "id.yaml"
    path.write_text(f"case: '{word}'\n")
    assert read_case(path, open_book().vocabulary).id == word
