"""JSON made to hurt, and what a fuzzed bundle may do at worst."""

from __future__ import annotations

import json
from contextlib import suppress
from copy import deepcopy
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.exchange.conftest import BOOK, CODES, LEFT, TODAY, bundle, observation, quantity
from toeroom.errors import BadInput
from toeroom.exchange.fhir_import import case_of
from toeroom.exchange.strict_json import DEEPEST, LARGEST, read_json

TEXTS = [
    ("", "is not valid JSON"),
    ("{", "is not valid JSON"),
    ('{"a": 1, "a": 2}', "holds 'a' twice"),
    ("NaN", "holds NaN"),
    ('{"a": -Infinity}', "holds -Infinity"),
    ("1e999999999", "out of all range"),
    ("1.0e-99999", "out of all range"),
    ("9" * 5000, "out of all range"),
    ("0." + "1" * 5000, "out of all range"),
    ('"\\ud800"', "half a character"),
    ("[" * 100_000, "nested deeper"),
    ("[" * 500 + "]" * 500, "nested deeper"),
    ('{"a":' * (DEEPEST + 1) + "1" + "}" * (DEEPEST + 1), "nested deeper"),
    (" " * (LARGEST + 1), "is larger than"),
]


@pytest.mark.parametrize(("text", "said"), TEXTS, ids=[said for _, said in TEXTS])
def test_json_is_read_strictly(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "x.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_json(path)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_json_that_is_not_text(tmp_path: Path) -> None:
    path = tmp_path / "x.json"
    path.write_bytes(b'{"a": "\xff"}')
    with pytest.raises(BadInput, match="is not UTF-8"):
        read_json(path)


def test_what_is_deep_enough_passes(tmp_path: Path) -> None:
    path = tmp_path / "x.json"
    path.write_text("[" * DEEPEST + "]" * DEEPEST, encoding="utf-8")
    assert read_json(path)


GOOD = bundle(
    {"resourceType": "Patient", "identifier": [{"system": "urn:x", "value": "1"}]},
    observation("open_wound", site=LEFT, valueBoolean=True, subject={"reference": "Patient/1"}),
    observation("foot_length_mm", site=LEFT, valueQuantity=quantity(262)),
)
leaves = st.one_of(
    st.none(), st.booleans(), st.integers(-(10**9), 10**9), st.text(max_size=8), st.just([]), st.just({})
)
values = st.recursive(
    leaves,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, child in inner for place in _places(child, (*path, key)))]


PLACES = _places(GOOD)[1:]


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(PLACES), values), min_size=1, max_size=2))
def test_whatever_stands_in_a_bundle_it_is_read_or_refused_in_one_line(
    changes: list[tuple[Any, Any]],
) -> None:
    broken = deepcopy(GOOD)
    for place, value in changes:
        inner: Any = broken
        for key in place[:-1]:
            inner = inner[key] if isinstance(inner, (dict, list)) and _has(inner, key) else {}
        if isinstance(inner, dict) or (isinstance(inner, list) and _has(inner, place[-1])):
            inner[place[-1]] = value
    broken = json.loads(json.dumps(broken, default=int))
    found = None
    with suppress(BadInput):
        found = case_of(broken, BOOK.vocabulary, CODES, file="b", name="n", today=TODAY)
    if found is None:
        return
    assert all(line.isprintable() for line in found.not_read)
    assert isinstance(found.case.as_of, date)
    assert set(found.case.findings.values()) <= {"yes", "no", "unknown"}


def _has(inner: Any, key: Any) -> bool:
    return key in inner if isinstance(inner, dict) else isinstance(key, int) and key < len(inner)
