"""UCUM against another library of units, and against sums by hand."""

from __future__ import annotations

from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.exchange.conftest import BOOK
from toeroom.exchange.units import OF_VOCABULARY, converted
from toeroom.vocabulary import Vocabulary

PINT = pint.UnitRegistry()
SAME_AS = {
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "[in_i]": "inch",
    "[ft_i]": "foot",
    "Cel": "degC",
    "[degF]": "degF",
}
TO = {"mm": "mm", "Cel": "°C"}
tenths = st.integers(-1000, 10_000).map(lambda n: Decimal(n) / 10)


@given(tenths, st.sampled_from(["mm", "cm", "m", "[in_i]", "[ft_i]"]))
def test_lengths(value: Decimal, ucum: str) -> None:
    found = converted(value, ucum, "mm")
    assert found is not None
    assert float(found) == pytest.approx(
        PINT.Quantity(float(value), SAME_AS[ucum]).to("mm").magnitude, abs=1e-6
    )


@given(tenths, st.sampled_from(["Cel", "[degF]"]))
def test_temperatures(value: Decimal, ucum: str) -> None:
    found = converted(value, ucum, "°C")
    assert found is not None
    assert float(found) == pytest.approx(
        PINT.Quantity(float(value), SAME_AS[ucum]).to("degC").magnitude, abs=1e-6
    )


@pytest.mark.parametrize(
    ("value", "ucum", "unit", "result"),
    [
        ("10.315", "[in_i]", "mm", "262.001"),
        ("26.2", "cm", "mm", "262"),
        ("98.6", "[degF]", "°C", "37"),
        ("88", "[degF]", "°C", "31.111111"),
        ("-40", "[degF]", "°C", "-40"),
        ("133.322", "kPa", "mmHg", "1000"),
        ("16", "kPa", "mmHg", "120.010201"),
        ("1", "a", "months", "12"),
        ("3", "{sites}", "sites", "3"),
    ],
)
def test_by_hand(value: str, ucum: str, unit: str, result: str) -> None:
    """m[Hg] is 133.3220 kPa in UCUM; inch and °F are exact by definition."""
    assert str(converted(Decimal(value), ucum, unit)) == result


@pytest.mark.parametrize(
    ("ucum", "unit"), [("mm", "°C"), ("cm", "mmHg"), ("K", "°C"), ("inch", "mm"), ("MM", "mm")]
)
def test_another_kind_or_an_unknown_code_is_none(ucum: str, unit: str) -> None:
    assert converted(Decimal(1), ucum, unit) is None


def test_every_unit_of_the_vocabulary_has_a_ucum_code() -> None:
    vocabulary: Vocabulary = BOOK.vocabulary
    for measure in vocabulary.measures.values():
        assert converted(Decimal("1.5"), OF_VOCABULARY[measure.unit], measure.unit) == Decimal("1.5")
