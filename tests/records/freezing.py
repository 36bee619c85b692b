"""Makes the copy of a store that every later toeroom must open: once for each schema, never again.

`python -m tests.records.freezing` writes tests/data/stores/SCHEMA.sql and SCHEMA.archive, and refuses where
they are there.
"""

from __future__ import annotations

import sqlite3
import sys
import tempfile
from pathlib import Path

from tests.conftest import ROOT
from toeroom.records.archive import write_archive
from toeroom.records.names import Names
from toeroom.records.schema import APPLICATION_ID, NEWEST
from toeroom.records.store import open_store

FROZEN = ROOT / "tests" / "data" / "stores"
PASSPHRASE, NAME = "invented for a test", "Invented Person"


def freeze() -> None:
    """Two cases, one of them with two versions, papers and a name."""
    sql, archive = FROZEN / f"{NEWEST}.sql", FROZEN / f"{NEWEST}.archive"
    if sql.exists() or archive.exists():
        sys.exit(f"schema {NEWEST} is frozen already")
    with tempfile.TemporaryDirectory() as folder, open_store(str(Path(folder) / "s.db")) as store:
        demo = (ROOT / "cases_demo" / "leg-length-14-mm.yaml").read_text(encoding="utf-8")
        store.save(demo, "KL")
        store.save(demo.replace("as_of: 2026-11-25", "as_of: 2026-11-26"), "AB", 1)
        store.save(
            "case: papers\ntitle: with papers\nas_of: 2026-11-25\nperson: {us_medicare: yes}\n"
            "dates: {foot_exam: 2026-10-01, previous_pair: 2025-11-03}\n",
            "KL",
        )
        Names(store, PASSPHRASE).keep("papers", NAME)
        write_archive(store, archive)
        with sqlite3.connect(f"file:{store.address.file}?mode=ro", uri=True) as raw:
            lines = [f"PRAGMA application_id = {APPLICATION_ID};", *raw.iterdump()]
        sql.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    freeze()
