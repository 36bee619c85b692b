"""Pictures of a scan, in grey, never larger than what is allowed: its size is read before it is decoded."""

from __future__ import annotations

import io
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image, ImageOps

from toeroom.errors import BadInput

Grey = NDArray[np.uint8]
"""Brightness, 0 to 255, rows from the top."""
LARGEST_FILE = 50_000_000
MOST_PIXELS = 40_000_000
"""Of a picture, and of any picture in a PDF page."""
LEAST_SIDE = 300
PAGE_PIXELS = 12_000_000
PAGE_DOTS = 250
"""Dots an inch at which a PDF page is drawn, where that is not more than `PAGE_PIXELS`."""
MOST_ON_PAGE = 20_000
SUFFIXES = (".png", ".jpg", ".jpeg", ".pdf")


def read_grey(path: str, page: str = "") -> Grey:
    """The picture in a PNG or JPEG file, or page `page` (from 1) of a PDF, in grey.

    A resolution named in the file is not looked at: it says what a program wrote, not what was measured.
    Raises `BadInput` for what is no such file, is broken, or larger than the limits here.
    """
    raw = _bytes(path)
    if raw.startswith(b"%PDF-"):
        grey = _pdf(raw, path, page)
    elif raw.startswith((b"\x89PNG", b"\xff\xd8\xff")):
        grey = _picture(raw, path)
    else:
        raise BadInput("is no PNG, JPEG or PDF", file=path, mend="save the scan as one of these")
    if min(grey.shape) < LEAST_SIDE:
        raise BadInput(
            f"is only {grey.shape[1]} by {grey.shape[0]} pixels",
            file=path,
            mend="scan at 100 dots an inch or more",
        )
    return grey


def _bytes(path: str) -> bytes:
    try:
        if not Path(path).is_file():
            what = "this is no file" if Path(path).exists() else "there is no such file"
            raise BadInput(what, file=path, mend="check the name")
        with Path(path).open("rb") as stream:
            # Not simply LARGEST_FILE: that much would be set aside for a file of any size.
            raw = stream.read(min(Path(path).stat().st_size, LARGEST_FILE) + 1)
    except OSError as error:
        raise BadInput(f"cannot be read ({error.strerror})", file=path, mend="check the file") from None
    except ValueError:
        raise BadInput("this cannot be the name of a file", file=path, mend="check the name") from None
    if len(raw) > LARGEST_FILE:
        raise BadInput(f"is larger than {LARGEST_FILE // 10**6} MB", file=path, mend="save it smaller")
    return raw


def _picture(raw: bytes, path: str) -> Grey:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(raw), formats=("PNG", "JPEG")) as picture:
                _allowed(picture.width * picture.height, path)
                return _grey(picture)
    except Image.DecompressionBombError:
        raise _too_large(path) from None
    except (OSError, SyntaxError, ValueError, TypeError, EOFError, KeyError, IndexError, MemoryError):
        raise BadInput("is a broken picture", file=path, mend="save or scan it again") from None


def _grey(picture: Image.Image) -> Grey:
    ImageOps.exif_transpose(picture, in_place=True)
    if picture.mode == "P" and "transparency" in picture.info:
        picture = picture.convert("RGBA")
    if picture.mode in ("RGBA", "LA"):
        # What is clear is paper.
        clear = picture.getchannel("A")
        paper = Image.new("L", picture.size, 255)
        return np.asarray(Image.composite(picture.convert("L"), paper, clear), dtype=np.uint8)
    if picture.mode.startswith("I"):
        deep = np.asarray(picture.convert("I"), dtype=np.int32)
        shallow: Grey = np.clip(deep >> 8, 0, 255).astype(np.uint8)
        return shallow
    return np.asarray(picture.convert("L"), dtype=np.uint8)


def _pdf(raw: bytes, path: str, page: str) -> Grey:
    try:
        document: Any = pypdfium2.PdfDocument(raw)
    except pypdfium2.PdfiumError:
        raise BadInput(
            "is a broken or locked PDF", file=path, mend="save it again, without a password"
        ) from None
    try:
        sheet = document[_page_index(len(document), path, page)]
        _page_allowed(sheet, path)
        inches = [max(float(side), 1.0) / 72 for side in sheet.get_size()]
        dots = min(PAGE_DOTS, (PAGE_PIXELS / (inches[0] * inches[1])) ** 0.5)
        drawn = sheet.render(scale=dots / 72, grayscale=True, may_draw_forms=False)
        grey: Grey = np.array(drawn.to_numpy(), dtype=np.uint8).reshape(drawn.height, drawn.width)
        return grey
    except (pypdfium2.PdfiumError, ValueError, MemoryError):
        raise BadInput("has a page that cannot be drawn", file=path, mend="save it as PNG") from None
    finally:
        document.close()


def _page_index(pages: int, path: str, page: str) -> int:
    if not page:
        if pages != 1:
            raise BadInput(f"has {pages} pages", file=path, mend=f"name one: '{path}#1'")
        return 0
    if not page.isascii() or not page.isdigit() or not 1 <= int(page[:6]) <= pages:
        raise BadInput(f"has no page '{page[:20]}'", file=path, mend=f"it has {pages}")
    return int(page[:6]) - 1


def _page_allowed(sheet: Any, path: str) -> None:
    for count, thing in enumerate(sheet.get_objects(max_depth=4)):
        if count > MOST_ON_PAGE:
            raise BadInput("has a page with too much on it", file=path, mend="save it as PNG")
        if isinstance(thing, pypdfium2.PdfImage):
            wide, high = thing.get_px_size()
            _allowed(wide * high, path)


def _allowed(pixels: int, path: str) -> None:
    if pixels > MOST_PIXELS:
        raise _too_large(path)


def _too_large(path: str) -> BadInput:
    return BadInput(
        f"has more than {MOST_PIXELS // 10**6} million pixels",
        file=path,
        mend="scan at 200 to 300 dots an inch",
    )
