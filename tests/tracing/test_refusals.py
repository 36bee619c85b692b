"""What cannot be measured is refused in one line, without using much memory."""

from __future__ import annotations

import struct
import tracemalloc
import zlib
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.tracing.shapes import SHEET_MM, Egg, View, paper, photograph, write_csv
from toeroom.errors import BadInput
from toeroom.tracing import need_extra
from toeroom.tracing.reading import scale_of
from toeroom.tracing.report import trace

A4 = SHEET_MM["a4"]


def refused(words: str, *names: str | Path, **said: str) -> str:
    with pytest.raises(BadInput, match=words) as fault:
        trace(*(str(name) for name in names), **said)
    text = str(fault.value)
    assert "\n" not in text
    assert len(text) <= 500
    assert fault.value.mend
    return text


def test_a_scan_without_a_scale(tmp_path: Path) -> None:
    for name in ("a.png", "a.jpg", "a.pdf"):
        # A resolution in the file is no scale.
        Image.fromarray(paper(Egg().points(), A4)).save(tmp_path / name, dpi=(152, 152), resolution=152)
        text = refused("a scan without a scale cannot be measured", tmp_path / name)
        assert "sheet:a4" in text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("sheet:a9", "is no scale"),
        ("a4", "is no scale"),
        ("ruler:", "is no scale"),
        ("ruler:100", "a number alone could be"),
        ("ruler:9mm", "out of range"),
        ("ruler:100mm@1,2", "marks of the ruler"),
        ("ruler:100mm@nan,2:3,4", "marks of the ruler"),
    ],
)
def test_scales(text: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        scale_of(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "holds no points"),
        ("x,y\n1,2\n", "unit of the points is missing"),
        ("1,2\n3,4\n", "unit of the points is missing"),
        ("x_mm,y_cm\n1,2\n", "the header is no outline's"),
        ("a_mm,b_mm\n1,2\n", "the header is no outline's"),
        ("x_mm,y_mm\n1;2\n", "line 2: '1;2' is no point"),
        ("x_mm,y_mm\n1,nan\n", "line 2: '1,nan' is no point"),
        ("x_mm,y_mm\n1,2\n3\n", "line 3: '3' is no point"),
        ("x_mm,y_mm\n1,2,3\n", "is no point"),
        ("x_mm,y_mm\n1e9,2\n", "is no point"),
        ('x_mm,y_mm\n"1,2\n', "is not CSV|is no point"),
        ("x_mm,y_mm\n0,0\n0,9\n9,9\n", "3 points make no outline"),
        ("x_mm,y_mm\n" + "0,0\n" * 30, "points make no outline"),
        ("x_mm,y_mm\n" + "".join(f"{i},0\n" for i in [*range(200), *range(200, 0, -1)]), "on one line"),
        ("x_mm,y_mm\n" + "1,1\n" * 20_001, "more than 20,000 points"),
        ("x_mm,y_mm\n" + "1" * 2_000_001, "is larger than"),
    ],
)
def test_points(tmp_path: Path, text: str, words: str) -> None:
    file = tmp_path / "a.csv"
    file.write_text(text)
    refused(words, file)


def test_outlines_that_are_none(tmp_path: Path) -> None:
    points = Egg().points(360)
    file = tmp_path / "a.csv"
    crossed = points.copy()
    crossed[[80, 120]] = crossed[[120, 80]]
    refused("crosses itself near x", write_csv(file, crossed))
    refused("is open by", write_csv(file, points[:300]))
    refused("are these centimetres", write_csv(file, points / 10))
    refused("are these centimetres or inches", write_csv(file, points / 25.4))
    refused("no shape of a foot", write_csv(file, points * np.array([0.2, 1])))
    refused("no shape of a foot", write_csv(file, points * np.array([2.2, 1])))
    refused("the header says mm, not cm", write_csv(file, points), unit="cm")
    refused("does not lie with its toes left", write_csv(file, points), toes="left")
    refused("only a scan takes a scale", write_csv(file, points), scale="sheet:a4")


FOOT = "<path d='M{}Z'/>".format(" L".join(f"{x + 60:.2f},{y:.2f}" for x, y in Egg().points(90)))
MM = "width='300mm' height='300mm' viewBox='0 0 300 300'"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is not SVG"),
        ("<svg", "is not SVG"),
        ("<html/>", "is not SVG"),
        (f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 300 300'>{FOOT}</svg>", "has no unit"),
        (f"<svg xmlns='http://www.w3.org/2000/svg' width='9px' height='9px'>{FOOT}</svg>", "has no unit"),
        (f"<svg xmlns='http://www.w3.org/2000/svg' {MM}/>", "holds no outline"),
        (f"<svg xmlns='http://www.w3.org/2000/svg' {MM}>{FOOT}{FOOT}</svg>", "holds 2 shapes"),
        (f"<svg xmlns='http://www.w3.org/2000/svg' {MM}>{FOOT.replace('Z', '')}</svg>", "outline is open"),
        (f"<svg xmlns='http://www.w3.org/2000/svg' {MM}><use href='#a'/></svg>", "copies of shapes"),
        (
            f"<svg xmlns='http://www.w3.org/2000/svg' {MM}>" + "<g/>" * 6000 + "</svg>",
            "more than 5,000 elements",
        ),
        (
            f"<svg xmlns='http://www.w3.org/2000/svg' {MM}><path d='M0 0 {'h1 v1 ' * 20_000}Z'/></svg>",
            "segments",
        ),
        (
            "<!DOCTYPE svg [<!ENTITY a 'aaaaaaaa'><!ENTITY b '&a;&a;&a;'>]>"
            f"<svg xmlns='http://www.w3.org/2000/svg' {MM}><text>&b;</text></svg>",
            "entities of its own",
        ),
        (f"<svg xmlns='http://www.w3.org/2000/svg' {MM}><path d='M 0 0 L 1e999 5 L 4 4 Z'/></svg>", "."),
        (f"<svg xmlns='http://www.w3.org/2000/svg' {MM}><path d='M 0 0 L fish'/></svg>", "."),
    ],
)
def test_drawings(tmp_path: Path, text: str, words: str) -> None:
    file = tmp_path / "a.svg"
    file.write_text(text)
    refused(words, file)


def test_an_id_that_is_not_there(tmp_path: Path) -> None:
    file = tmp_path / "a.svg"
    file.write_text(f"<svg xmlns='http://www.w3.org/2000/svg' {MM}>{FOOT}</svg>")
    refused("no shape with the id 'left'", f"{file}#left")


def _png(wide: int, high: int) -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0" * 9000)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("name", "raw", "words"),
    [
        ("a.png", b"", "is no PNG, JPEG or PDF"),
        ("a.png", b"hello", "is no PNG, JPEG or PDF"),
        ("a.png", b"GIF89a" + b"\0" * 99, "is no PNG, JPEG or PDF"),
        ("a.png", b"\x89PNG\r\n\x1a\n" + b"\0" * 99, "broken picture"),
        ("a.jpg", b"\xff\xd8\xff\xe0" + b"\0" * 99, "broken picture"),
        ("a.pdf", b"%PDF-1.7\nnothing", "broken or locked PDF"),
        ("a.png", _png(60_000, 60_000), "more than 40 million pixels"),
        ("a.png", _png(10_000, 10_000), "more than 40 million pixels"),
        ("a.png", _png(2_000, 2_000), "broken picture"),
        ("a.png", _png(40, 40), "is only 40 by 40 pixels|broken picture"),
    ],
)
def test_scans_that_are_none(tmp_path: Path, name: str, raw: bytes, words: str) -> None:
    file = tmp_path / name
    file.write_bytes(raw)
    tracemalloc.start()
    refused(words, file, scale="sheet:a4")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 20_000_000


def test_a_pdf_that_holds_a_huge_picture(tmp_path: Path) -> None:
    file = tmp_path / "a.pdf"
    # One grey picture of 20,000 by 20,000 pixels on a small page; its data are a few bytes.
    data = zlib.compress(b"\0" * 1000)
    bodies = [
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Resources<</XObject<</I 4 0 R>>>>/Contents 5 0 R>>",
        b"<</Type/XObject/Subtype/Image/Width 20000/Height 20000/ColorSpace/DeviceGray/BitsPerComponent 8"
        b"/Filter/FlateDecode/Length %d>>stream\n%s\nendstream" % (len(data), data),
        b"<</Length 28>>stream\nq 595 0 0 842 0 0 cm /I Do Q\nendstream",
    ]
    raw, places = b"%PDF-1.4\n", []
    for number, body in enumerate(bodies, 1):
        places.append(len(raw))
        raw += b"%d 0 obj%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    start = len(raw)
    raw += b"xref\n0 6\n0000000000 65535 f \n" + table
    file.write_bytes(raw + b"trailer<</Size 6/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % start)
    refused("more than 40 million pixels", file, scale="sheet:a4")


def test_files_that_are_not_there(tmp_path: Path) -> None:
    refused("is no outline this reads", tmp_path / "a.txt")
    for name in ("a.svg", "a.csv", "a.png"):
        refused("there is no such file", tmp_path / name, scale="" if name != "a.png" else "sheet:a4")
        folder = tmp_path / "d" / name
        folder.mkdir(parents=True)
        refused("is a folder|is no file", folder, scale="" if name != "a.png" else "sheet:a4")
    refused("has no part", tmp_path / "a.png#2", scale="sheet:a4")


def _shot(change: Callable[[np.ndarray], np.ndarray], view: View = View()) -> np.ndarray:  # noqa: B008
    return photograph(change(paper(Egg().points(), A4)), A4, view)


def test_photographs_that_show_no_scale(tmp_path: Path) -> None:
    file = tmp_path / "a.png"

    def saved(picture: np.ndarray) -> Path:
        cv2.imwrite(str(file), picture)
        return file

    seen = _shot(lambda sheet: sheet)
    refused("cut off|no sheet", saved(seen[:, 1250:]), scale="sheet:a4")
    refused("cut off|no sheet", saved(paper(Egg().points(), A4)), scale="sheet:a4")
    refused("no sheet|cut off", saved(np.full((900, 900), 90, np.uint8)), scale="sheet:a4")
    noise = np.random.default_rng(1).integers(0, 255, (900, 900)).astype(np.uint8)
    refused("no sheet|cut off", saved(noise), scale="sheet:a4")
    refused(
        "nothing darker|no outline", saved(_shot(lambda sheet: np.full_like(sheet, 235))), scale="sheet:a4"
    )
    refused("no ruler", saved(paper(Egg().points(), (240, 330))), scale="ruler:100mm")
    refused("outside the picture", saved(paper(Egg().points(), A4)), scale="ruler:100mm@1,1:9000,1")
    two = paper(Egg(length=180, width=65).points(), (240, 330), bar=120)
    two[:, -200:-160][300:900] = 40
    refused("2 bars could be the ruler", saved(two), scale="ruler:120mm")


def test_another_sheet_than_said(tmp_path: Path) -> None:
    egg = Egg(length=240)
    for kind, said in (("a4", "letter"), ("letter", "a4")):
        for view in (View(), View(tilt=18, roll=9, distance=800)):
            picture = photograph(paper(egg.points(), SHEET_MM[kind]), SHEET_MM[kind], view)
            cv2.imwrite(str(tmp_path / "a.png"), picture)
            refused(f"looks like {kind}, not {said}", tmp_path / "a.png", scale=f"sheet:{said}")


def test_an_outline_that_runs_off_the_sheet_or_has_a_rival(tmp_path: Path) -> None:
    long = photograph(paper(Egg(length=305).points(), A4), A4, View())
    cv2.imwrite(str(tmp_path / "a.png"), long)
    refused("runs into the edge|is open", tmp_path / "a.png", scale="sheet:a4")
    small = Egg(length=180, width=70)
    both = np.hstack([paper(small.points(), (105, 297)), paper(small.points(), (105, 297))])
    cv2.imwrite(str(tmp_path / "a.png"), photograph(both, A4, View()))
    refused("more than one outline", tmp_path / "a.png", scale="sheet:a4")


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    need_extra()
    monkeypatch.setattr("toeroom.tracing.find_spec", lambda name: None)
    with pytest.raises(BadInput, match=r"pip install 'toeroom\[tracing\]'"):
        need_extra()


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=200), name=st.sampled_from(["a.svg", "a.csv"]))
def test_any_text_is_measured_or_refused(tmp_path: Path, text: str, name: str) -> None:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8", errors="replace")
    refused(".", file)


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_damaged_file_is_measured_or_refused(tmp_path: Path, data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(["png", "jpg", "pdf"]))
    whole = tmp_path / f"whole.{kind}"
    if not whole.exists():
        Image.fromarray(paper(Egg().points(), (240, 330), per_mm=2, bar=150)).save(whole, resolution=51)
    raw = bytearray(whole.read_bytes())
    for _ in range(data.draw(st.integers(1, 6))):
        raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(0, 255))
    file = tmp_path / f"a.{kind}"
    file.write_bytes(raw[: data.draw(st.integers(1, len(raw)))])
    # Anything but `BadInput` fails the test.
    with suppress(BadInput):
        assert trace(str(file), scale="ruler:150mm").foot.length > 0
