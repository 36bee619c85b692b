"""What tests of exchange share."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from toeroom.book import open_book
from toeroom.exchange.codes import OWN, read_codes
from toeroom.exchange.fhir_import import Imported, case_of
from toeroom.exchange.strict_json import read_json

BOOK = open_book()
CODES = read_codes(BOOK.folder / "kb/codes.yaml", BOOK.vocabulary)
TODAY = date(2026, 11, 25)
SNOMED, LOINC = "http://snomed.info/sct", "http://loinc.org"
LEFT, RIGHT, LEFT_ANKLE, UPPER_ARM = "22335008", "7769000", "51636004", "40983000"
Read = Callable[..., Imported]


def coded(system: str, code: str) -> dict[str, Any]:
    return {"coding": [{"system": system, "code": code}]}


def observation(code: str, *, system: str = OWN, site: str = "", **more: Any) -> dict[str, Any]:
    """An Observation; `site` is a SNOMED CT code."""
    found = {"resourceType": "Observation", "status": "final", "code": coded(system, code), **more}
    return {**found, "bodySite": coded(SNOMED, site)} if site else found


def quantity(value: str | int, code: str = "mm", **more: Any) -> dict[str, Any]:
    number = Decimal(value)
    return {"value": number, "system": "http://unitsofmeasure.org", "code": code, **more}


def bundle(*resources: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "resourceType": "Bundle",
        "type": "collection",
        "entry": [{"resource": resource} for resource in resources],
        **more,
    }


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Reads a bundle from a file, as the command does."""

    def read(value: Any, release: str = "") -> Imported:
        path = tmp_path / "bundle.json"
        path.write_text(json.dumps(value, default=float), encoding="utf-8")
        return case_of(
            read_json(path), BOOK.vocabulary, CODES, file="b.json", name="new", today=TODAY, release=release
        )

    return read
