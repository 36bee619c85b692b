"""Units of UCUM (ucum.org, the unit codes of FHIR): exact conversion into the units of the vocabulary."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

UCUM = "http://unitsofmeasure.org"
OF_VOCABULARY = {"mm": "mm", "°C": "Cel", "mmHg": "mm[Hg]", "sites": "{sites}", "months": "mo"}
"""The UCUM code of each unit of the vocabulary."""
DECIMALS = 6

_FACTORS: dict[str, dict[str, Fraction]] = {
    "mm": {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "m": Fraction(1000),
        "[in_i]": Fraction("25.4"),
        "[ft_i]": Fraction("304.8"),
    },
    # UCUM defines m[Hg] as 133.3220 kPa.
    "mm[Hg]": {"mm[Hg]": Fraction(1), "cm[Hg]": Fraction(10), "kPa": 1 / Fraction("0.1333220")},
    "{sites}": {"{sites}": Fraction(1), "1": Fraction(1)},
    "mo": {"mo": Fraction(1), "a": Fraction(12)},
    "Cel": {"Cel": Fraction(1), "[degF]": Fraction(5, 9)},
}


def converted(value: Decimal, ucum: str, unit: str) -> Decimal | None:
    """`value` in the UCUM unit `ucum`, in a `unit` of the vocabulary; None where the two differ in kind.

    Exact; a result without end, as of °F, is rounded half to even at the sixth decimal.
    """
    factor = _FACTORS[OF_VOCABULARY[unit]].get(ucum)
    if factor is None:
        return None
    exact = (Fraction(value) - (32 if ucum == "[degF]" else 0)) * factor
    rounded = Decimal(round(exact * 10**DECIMALS)).scaleb(-DECIMALS)
    return Decimal(f"{rounded.normalize():f}")
