"""Figures stated in a text, converted as the unit library pint converts them.

A month is a twelfth of the Julian year of 365.25 days there too.
"""

from __future__ import annotations

import pytest

from tests.answers.conftest import ROOT
from toeroom.answers.cues import read_cues
from toeroom.answers.understand import understand
from toeroom.vocabulary import read_vocabulary

pint = pytest.importorskip("pint")
UNITS = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize(
    ("stated", "measure", "amount", "unit", "into"),
    [
        ("Foot length L 26.4 cm.", "foot_length_mm", 26.4, "cm", "mm"),
        ("Foot length L 10 1/4 inches.", "foot_length_mm", 10.25, "inch", "mm"),
        ("Foot length L 262 mm.", "foot_length_mm", 262, "mm", "mm"),
        ("Left leg 3/16 inch short.", "leg_difference_mm", 0.1875, "inch", "mm"),
        ("Left leg half an inch short.", "leg_difference_mm", 0.5, "inch", "mm"),
        ("Left leg 1.5 cm short.", "leg_difference_mm", 1.5, "cm", "mm"),
        ("Skin temp L 88 F.", "skin_temp_c", 88, "degF", "degC"),
        ("Skin temp L 31.2 °C.", "skin_temp_c", 31.2, "degC", "degC"),
        ("Insert L 8 weeks old.", "insert_age_months", 8, "week", "month"),
        ("Insert L 1.5 years old.", "insert_age_months", 1.5, "year", "month"),
        ("Insert L 90 days old.", "insert_age_months", 90, "day", "month"),
    ],
)
def test_a_stated_figure_is_converted_as_pint_does(
    stated: str, measure: str, amount: float, unit: str, into: str
) -> None:
    vocabulary = read_vocabulary(ROOT / "rules" / "vocabulary.yaml")
    cues = read_cues(ROOT / "kb")
    found = {u.id: u.value for u in understand(stated, vocabulary, cues) if u.value is not None}
    expected = UNITS.Quantity(amount, unit).to(into).magnitude
    assert found == {measure: pytest.approx(expected, abs=5e-4)}
