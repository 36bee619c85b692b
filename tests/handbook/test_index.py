"""The kept index: always right, never in the way."""

from __future__ import annotations

import multiprocessing
import os
import random
import time
from pathlib import Path

import pytest

from toeroom.errors import BadInput
from toeroom.handbook import Handbook
from toeroom.handbook.handbook import LOOK_AGAIN


def kept(cache: Path) -> list[Path]:
    return sorted(cache.glob("handbook-*.index"))


def pages(handbook: Handbook, text: str = "bunion width") -> list[tuple[str, float]]:
    return [(hit.page, hit.score) for hit in handbook.search(text).hits]


def test_the_kept_index_answers_as_the_new_one(copy: Path, tmp_path: Path) -> None:
    new = pages(Handbook(copy, cache=tmp_path / "cache"))
    assert len(kept(tmp_path / "cache")) == 1
    before = kept(tmp_path / "cache")[0].read_bytes()
    assert pages(Handbook(copy, cache=tmp_path / "cache")) == new
    assert kept(tmp_path / "cache")[0].read_bytes() == before


@pytest.mark.parametrize(
    "damage", ["deleted", "truncated", "garbage", "one byte", "empty", "a folder", "wrong head"]
)
def test_a_damaged_index_is_built_anew_in_silence(
    copy: Path, tmp_path: Path, damage: str, capfd: pytest.CaptureFixture[str]
) -> None:
    cache = tmp_path / "cache"
    right = pages(Handbook(copy, cache=cache))
    file = kept(cache)[0]
    raw = file.read_bytes()
    if damage == "one byte":
        file.write_bytes(raw[:-100] + bytes([raw[-100] ^ 255]) + raw[-99:])
    elif damage in ("deleted", "a folder"):
        file.unlink()
        if damage == "a folder":
            file.mkdir()
    else:
        content = {
            "truncated": raw[: len(raw) // 2],
            "garbage": os.urandom(5000),
            "empty": b"",
            "wrong head": b"[1]\n",
        }
        file.write_bytes(content[damage])
    assert pages(Handbook(copy, cache=cache)) == right
    assert pages(Handbook(copy, cache=cache)) == right
    assert capfd.readouterr() == ("", "")
    assert not list(cache.glob("*.aside"))


def test_a_cache_that_cannot_be_written_is_done_without(copy: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    assert pages(Handbook(copy, cache=tmp_path / "file"))
    assert pages(Handbook(copy, cache=tmp_path / "file" / "below"))


def test_another_content_has_another_index(copy: Path, tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    before = Handbook(copy, cache=cache)
    pages(before)
    page = copy / "kb/feet/bunion.md"
    page.write_text(page.read_text().replace("yields over the bump", "yields over the zebrastripe"))
    after = Handbook(copy, cache=cache)
    assert after.search("zebrastripe").hits[0].page == "bunion"
    assert after.version != before.version or before.search("zebrastripe").hits
    assert len(kept(cache)) == 2


def test_an_edit_is_noticed(copy: Path, tmp_path: Path) -> None:
    handbook = Handbook(copy, cache=tmp_path / "cache")
    assert not handbook.search("zebrastripe").hits
    page = copy / "kb/feet/bunion.md"
    page.write_text(page.read_text().replace("yields over the bump", "yields over the zebrastripe"))
    time.sleep(LOOK_AGAIN * 1.2)
    assert handbook.search("zebrastripe").hits[0].page == "bunion"
    page.unlink()
    time.sleep(LOOK_AGAIN * 1.2)
    assert not handbook.search("zebrastripe").hits
    assert "bunion" not in handbook.pages


def test_a_broken_page_is_left_out_and_named(copy: Path, tmp_path: Path) -> None:
    (copy / "kb/feet/bunion.md").write_text("---\nid: bunion\n")
    handbook = Handbook(copy, cache=tmp_path / "cache")
    assert handbook.search("swelling").hits
    assert [Path(fault.file).stem for fault in handbook.faults] == ["bunion"]
    with pytest.raises(BadInput, match="front matter"):
        handbook.page("bunion")


def test_broken_synonyms_do_not_stop_a_search(copy: Path, tmp_path: Path) -> None:
    (copy / "kb/synonyms.yaml").write_text("groups: [a: b: c")
    (copy / "kb/asked.yaml").write_text("- what")
    assert Handbook(copy, cache=tmp_path / "cache").search("bunion").hits


def test_no_book(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no handbook"):
        Handbook(tmp_path)


def _searches(folder: Path, cache: Path, until: float, seed: int, faults: multiprocessing.Queue[str]) -> None:
    """Searches, now with a handbook kept open, now with a fresh one; tells what went wrong."""
    choice = random.Random(seed)
    try:
        open_one = Handbook(folder, cache=cache)
        while time.monotonic() < until:
            handbook = open_one if choice.random() < 0.7 else Handbook(folder, cache=cache)
            if not handbook.search(choice.choice(["bunion", "numb feet", "swelling shoe"])).hits:
                faults.put("no hits")
            if choice.random() < 0.1:
                for file in kept(cache):
                    damaged = choice.choice([b"", b"garbage", None])
                    if damaged is None:
                        file.unlink(missing_ok=True)
                    else:
                        file.write_bytes(damaged)
        time.sleep(1)
        if not open_one.search("lastwordwritten").hits:
            faults.put("stale: an open handbook does not know the last edit")
        if not Handbook(folder, cache=cache).search("lastwordwritten").hits:
            faults.put("stale: a fresh handbook does not know the last edit")
    except Exception as error:
        faults.put(repr(error))


def test_processes_search_while_pages_are_edited(copy: Path, tmp_path: Path) -> None:
    """Eight processes search, damage and delete the kept index; one edits. Nobody fails, nobody is stale."""
    cache = tmp_path / "cache"
    context = multiprocessing.get_context("spawn")
    faults: multiprocessing.Queue[str] = context.Queue()
    until = time.monotonic() + 4
    workers = [context.Process(target=_searches, args=(copy, cache, until, n, faults)) for n in range(8)]
    for worker in workers:
        worker.start()
    page = copy / "kb/feet/swelling.md"
    text = page.read_text()
    edits = 0
    while time.monotonic() < until - 0.2:
        page.write_text(text + f"\nEdit number {edits}.\n")
        edits += 1
        time.sleep(0.15)
    page.write_text(text + "\nThe lastwordwritten stands here.\n")
    for worker in workers:
        worker.join(60)
    found = [faults.get() for _ in range(faults.qsize())]
    assert not found
    assert edits > 5
    assert [worker.exitcode for worker in workers] == [0] * 8
