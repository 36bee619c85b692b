"""Bundles from elsewhere: what is read, what is said not to be, what is refused."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from tests.exchange.conftest import (
    LEFT,
    LEFT_ANKLE,
    LOINC,
    RIGHT,
    SNOMED,
    TODAY,
    UPPER_ARM,
    Read,
    bundle,
    coded,
    observation,
    quantity,
)
from toeroom.case import Case
from toeroom.errors import BadInput
from toeroom.exchange.codes import OWN

V2 = "http://terminology.hl7.org/CodeSystem/v2-0136"
ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"


def test_a_bundle_from_a_clinic(read: Read) -> None:
    found = read(
        bundle(
            observation("44054006", system=SNOMED, valueBoolean=True, effectiveDateTime="2026-10-01"),
            observation("39106-0", system=LOINC, site=RIGHT, valueQuantity=quantity("91.4", "[degF]")),
            observation("8480-6", system=LOINC, site=LEFT_ANKLE, valueQuantity=quantity(96, "mm[Hg]")),
            observation("8480-6", system=LOINC, site=UPPER_ARM, valueQuantity=quantity(16, "kPa")),
            observation("foot_length_mm", site=LEFT, valueQuantity=quantity("26.2", "cm")),
        )
    )
    assert found.case.findings == {("diabetes", "person"): "yes"}
    assert found.case.measures == {
        ("skin_temp_c", "right"): Decimal("33"),
        ("ankle_pressure_mmhg", "left"): Decimal(96),
        ("arm_pressure_mmhg", "person"): Decimal("120.010201"),
        ("foot_length_mm", "left"): Decimal(262),
    }
    assert (found.case.id, found.case.as_of, found.read) == ("new", date(2026, 10, 1), 5)


VALUES: list[tuple[dict[str, Any], str]] = [
    ({"valueBoolean": True}, "yes"),
    ({"valueBoolean": False}, "no"),
    ({"valueCodeableConcept": coded(SNOMED, "373066001")}, "yes"),
    ({"valueCodeableConcept": coded(SNOMED, "2667000")}, "no"),
    ({"valueCodeableConcept": coded(LOINC, "LA33-6")}, "yes"),
    ({"valueCodeableConcept": coded(V2, "N")}, "no"),
    ({"valueCodeableConcept": coded(SNOMED, "261665006")}, "unknown"),
    ({"dataAbsentReason": coded(ABSENT, "unknown")}, "unknown"),
    ({"dataAbsentReason": coded(ABSENT, "asked-unknown")}, "unknown"),
    ({"dataAbsentReason": coded(ABSENT, "not-performed")}, "unknown"),
]


@pytest.mark.parametrize(("value", "stated"), VALUES)
def test_values(read: Read, value: dict[str, Any], stated: str) -> None:
    found = read(bundle(observation("open_wound", site=LEFT, **value)))
    assert found.case.findings == {("open_wound", "left"): stated}
    assert found.not_read == ()


ASIDE: list[tuple[dict[str, Any], str]] = [
    (observation("1234-5", system=LOINC, valueBoolean=True), "1234-5: the code is not known here"),
    (observation("open_wund", site=LEFT, valueBoolean=True), "did you mean 'open_wound'?"),
    (observation("ulcer_risk", valueBoolean=True), "is not stated on a case"),
    (observation("open_wound", valueBoolean=False), "does not say which foot"),
    (observation("open_wound", site=UPPER_ARM, valueBoolean=False), "does not say which foot"),
    (observation("open_wound", site=LEFT, valueString="no"), "neither yes nor no"),
    (observation("open_wound", site=LEFT), "neither yes nor no"),
    (observation("open_wound", site=LEFT, valueCodeableConcept=coded(SNOMED, "1")), "neither yes nor no"),
    (
        observation(
            "open_wound",
            site=LEFT,
            valueCodeableConcept={
                "coding": [{"system": V2, "code": "Y"}, {"system": SNOMED, "code": "373067005"}]
            },
        ),
        "neither yes nor no",
    ),
    (observation("371087003", system=SNOMED, site=LEFT, valueBoolean=False), "says nothing about open_wound"),
    (observation("44054006", system=SNOMED, valueBoolean=False), "says nothing about diabetes"),
    (observation("399957001", system=SNOMED, valueBoolean=False), "its body site is not one"),
    (observation("8480-6", system=LOINC, valueQuantity=quantity(120, "mm[Hg]")), "its body site is not one"),
    (observation("foot_length_mm", site=LEFT, valueQuantity=quantity(262, "kg")), "kg is no unit of"),
    (
        observation("foot_length_mm", site=LEFT, valueQuantity={"value": 262, "unit": "mm"}),
        "not coded in UCUM",
    ),
    (observation("foot_length_mm", site=LEFT, valueString="262 mm"), "gives no figure"),
    (
        observation("foot_length_mm", site=LEFT, valueQuantity={**quantity(1), "value": "1e999999999"}),
        "gives no figure",
    ),
    (observation("foot_length_mm", site=LEFT, dataAbsentReason=coded(ABSENT, "error")), "gives no figure"),
    (
        observation("toe_pressure_mmhg", site=LEFT, valueQuantity=quantity(30, "mm[Hg]", comparator="<")),
        "a limit",
    ),
    (observation("size_system", valueString="cn"), "'cn' is none of eu, uk"),
    (observation("size_system", valueString="eu\nleft: {open_wound: no}"), "is none of eu, uk"),
    (observation("foot_exam", valueDateTime="2026-09"), "gives no whole day"),
    (
        {**observation("diabetes", valueBoolean=True), "status": "entered-in-error"},
        "its status is entered-in-error",
    ),
    ({**observation("diabetes", valueBoolean=True), "status": "cancelled"}, "its status is cancelled"),
    (
        observation(
            "diabetes",
            valueBoolean=True,
            modifierExtension=[{"url": "https://x.example/not", "valueBoolean": True}],
        ),
        "modified in a way",
    ),
    (
        observation("diabetes", valueBoolean=True, focus=[{"reference": "RelatedPerson/1"}]),
        "other than the person",
    ),
    ({"resourceType": "Condition", "code": coded(SNOMED, "73211009")}, "1 Condition: only Observations"),
    ({"resourceType": "\x1b[2JBad"}, "only Observations are read"),
    ({}, "1 empty entry"),
]


@pytest.mark.parametrize(("resource", "said"), ASIDE)
def test_what_is_not_read_is_said_and_states_nothing(read: Read, resource: dict[str, Any], said: str) -> None:
    found = read(bundle(resource))
    assert len(found.not_read) == 1
    assert said in found.not_read[0]
    assert found.not_read[0].isprintable()
    case = found.case
    assert case == Case("new", TODAY)


WOUND = observation("open_wound", site=LEFT, valueBoolean=True)
REFUSED: list[tuple[Any, str]] = [
    ([], "is no FHIR bundle"),
    ({"resourceType": "Patient"}, "is no FHIR bundle"),
    ({"resourceType": "Bundle"}, "type: Value for the field 'type' is required"),
    ({"resourceType": "Bundle", "type": "collection", "entry": {}}, "no list of entries"),
    ({"resourceType": "Bundle", "type": "collection", "entry": [1]}, "no list of entries"),
    (bundle(WOUND, type="history"), "is a history"),
    (bundle(WOUND, {**WOUND, "valueBoolean": False}), "open_wound@left contradict each other: yes and no"),
    (
        bundle(
            observation("foot_length_mm", site=LEFT, valueQuantity=quantity(262)),
            observation("foot_length_mm", site=LEFT, valueQuantity=quantity("26.1", "cm")),
        ),
        "262 and 261",
    ),
    (
        bundle(
            observation("foot_exam", valueDateTime="2026-09-01"),
            observation("foot_exam", valueDateTime="2026-09-02"),
        ),
        "foot_exam contradict",
    ),
    (bundle(observation("foot_length_mm", site=LEFT, valueQuantity=quantity("2.62"))), "is out of range"),
    (
        bundle(
            {**WOUND, "subject": {"reference": "Patient/1"}}, {**WOUND, "subject": {"reference": "Patient/2"}}
        ),
        "2 people",
    ),
    (bundle({"resourceType": "Patient"}, {"resourceType": "Patient"}), "2 people"),
    (bundle({"resourceType": "Observation", "status": "final"}), "entry.0.resource.code: Field required"),
    (bundle({**WOUND, "effectiveDateTime": "2026-02-31"}), "effectiveDateTime"),
    (bundle({**WOUND, "made_up": 1}), "made_up"),
    (bundle({**WOUND, "valueString": "and no"}), "got multiple"),
    (
        bundle(
            {
                **WOUND,
                "code": {"coding": [{"system": OWN, "code": "blister"}, {"system": OWN, "code": "callus"}]},
            }
        ),
        "coded both as blister and as callus",
    ),
    (
        bundle(
            {"resourceType": "Patient", "identifier": [{"system": OWN, "value": "a\nleft: {open_wound: no}"}]}
        ),
        "its case code is not usable",
    ),
    (
        bundle({"resourceType": "Patient", "identifier": [{"system": OWN, "value": "../etc/passwd"}]}),
        "not usable",
    ),
    (bundle({"resourceType": "Patient", "identifier": [{"system": OWN, "value": "-"}]}), "not usable"),
    (bundle(observation("notes", valueString="x" * 250_000)), "more than a case file may"),
]


@pytest.mark.parametrize(("value", "said"), REFUSED)
def test_what_is_refused(read: Read, value: Any, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        read(value)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_the_same_said_twice_is_no_contradiction_and_unknown_gives_way(read: Read) -> None:
    unknown = observation("open_wound", site=LEFT, dataAbsentReason=coded(ABSENT, "unknown"))
    for order in ((WOUND, unknown, WOUND), (unknown, WOUND)):
        assert read(bundle(*order)).case.findings == {("open_wound", "left"): "yes"}


def test_a_code_from_memory_is_read_and_said(read: Read) -> None:
    found = read(bundle(observation("122481008", system=SNOMED, site=RIGHT, valueBoolean=True)))
    assert found.case.findings == {("hammertoe", "right"): "yes"}
    assert found.mind == ("122481008: read as hammertoe; the code is from memory, check it",)


def test_a_patient_number_of_another_system_does_not_become_the_case_code(read: Read) -> None:
    patient = {"resourceType": "Patient", "identifier": [{"system": "urn:oid:1.2.3", "value": "0815"}]}
    assert read(bundle(patient, WOUND)).case.id == "new"


def test_a_release_can_be_asked_for(read: Read) -> None:
    """R5 alone knows Observation.triggeredBy (added after 4.3.0)."""
    only_r5 = bundle(
        {**WOUND, "triggeredBy": [{"observation": {"reference": "Observation/1"}, "type": "reflex"}]}
    )
    assert read(only_r5, "R5").read == read(only_r5).read == 1
    with pytest.raises(BadInput, match="is no FHIR R4 bundle"):
        read(only_r5, "R4")
