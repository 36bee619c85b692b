"""A case as a FHIR bundle of Observations.

Every Observation carries the id of the vocabulary under toeroom's own code system, and beside it a standard
code where the table of the book has one that means the same. So nothing stated is dropped, and a bundle reads
back to the same case. Unknown is a dataAbsentReason, never `false`. The patient is a stub: the case code.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from toeroom.case import Case
from toeroom.exchange.codes import OWN, Codes
from toeroom.exchange.fhir_models import check_bundle
from toeroom.exchange.units import OF_VOCABULARY, UCUM
from toeroom.lesson import Lesson
from toeroom.vocabulary import PERSON, SIDES, Vocabulary

ABSENT = "http://terminology.hl7.org/CodeSystem/data-absent-reason"
AS_OF = "as_of"
TEXTS = ("title", "notes")
"""Free texts of a case, sent only where asked for: they may tell who somebody is."""
_NAMES = UUID("3c9a7b52-41de-5f6c-b7a8-0d5e2f1c6b94")
Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Exported:
    """own_only: terms that travel under toeroom's own code alone; left_out: texts not asked for; not_sent:
    parts of a case file that no bundle carries."""

    bundle: Json
    own_only: tuple[str, ...]
    left_out: tuple[str, ...]
    not_sent: tuple[str, ...]


def bundle_of(
    case: Case, vocabulary: Vocabulary, codes: Codes, *, release: str, texts: bool = False
) -> Exported:
    """The bundle of a case, checked by the models of `release`. The same case gives the same bundle."""
    bundle = _Bundle(case, vocabulary, codes).bundle(texts)
    check_bundle(bundle, release, case.id)
    stated = dict.fromkeys([term_id for term_id, _ in (*case.findings, *case.measures)])
    own_only = tuple(i for i in vocabulary.by_id if i in stated and codes.sent_for(i) is None)
    left_out = () if texts else tuple(name for name in TEXTS if getattr(case, name))
    parts = (("fit_check", case.fit_check is not None), ("training", case.lesson != Lesson()))
    return Exported(bundle, own_only, left_out, tuple(name for name, there in parts if there))


class _Bundle:
    def __init__(self, case: Case, vocabulary: Vocabulary, codes: Codes) -> None:
        self.case, self.vocabulary, self.codes = case, vocabulary, codes
        self.patient = self.name("Patient")

    def name(self, what: str) -> str:
        return f"urn:uuid:{uuid5(_NAMES, f'{self.case.id}|{what}')}"

    def bundle(self, texts: bool) -> Json:
        identifier = {"system": OWN, "value": self.case.id}
        patient = {"resourceType": "Patient", "identifier": [identifier]}
        entries = [{"fullUrl": self.patient, "resource": patient}]
        for what, resource in self.observations(texts):
            entries.append({"fullUrl": self.name(what), "resource": resource})
        return {"resourceType": "Bundle", "identifier": identifier, "type": "collection", "entry": entries}

    def observations(self, texts: bool) -> Iterator[tuple[str, Json]]:
        """Each Observation with a name for it, in the order of the vocabulary."""
        case, vocabulary = self.case, self.vocabulary
        yield AS_OF, self.observation(AS_OF, "Day of the case", {"valueDateTime": case.as_of.isoformat()})
        for side in (PERSON, *SIDES):
            for term_id, finding in vocabulary.findings.items():
                if (term_id, side) in case.findings:
                    value = _finding(case.findings[term_id, side])
                    yield f"{term_id}|{side}", self.observation(term_id, finding.label, value, side)
            for term_id, measure in vocabulary.measures.items():
                if (term_id, side) in case.measures:
                    quantity = _quantity(case.measures[term_id, side], measure.unit)
                    yield f"{term_id}|{side}", self.observation(term_id, measure.label, quantity, side)
        for term_id, chosen in case.choices.items():
            label = vocabulary.choices[term_id].label
            yield term_id, self.observation(term_id, label, {"valueString": chosen})
        for term_id, day in case.dates.items():
            label = vocabulary.dates[term_id].label
            yield term_id, self.observation(term_id, label, {"valueDateTime": day.isoformat()})
        for name in TEXTS if texts else ():
            if text := _sendable(getattr(case, name)):
                yield name, self.observation(name, name.capitalize(), {"valueString": text})

    def observation(self, term_id: str, label: str, value: Json, side: str = PERSON) -> Json:
        coding = [{"system": OWN, "code": term_id, "display": label}]
        mapped = self.codes.sent_for(term_id)
        places = self.codes.feet
        if mapped is not None:
            coding.append(mapped.code.as_json())
            places = mapped.at
        found: Json = {
            "resourceType": "Observation",
            "status": "final",
            "code": {"coding": coding, "text": label},
            "subject": {"reference": self.patient},
            "effectiveDateTime": self.case.as_of.isoformat(),
            **value,
        }
        if side in places:
            found["bodySite"] = {"coding": [places[side][0].as_json()]}
        return found


def _sendable(text: str) -> str:
    """A text as a FHIR string may hold it: no control character but tab and line break."""
    return "".join(c if c.isprintable() or c in "\n\t" else " " for c in text)


def _finding(value: str) -> Json:
    if value == "unknown":
        return {"dataAbsentReason": {"coding": [{"system": ABSENT, "code": "unknown", "display": "Unknown"}]}}
    return {"valueBoolean": value == "yes"}


def _quantity(value: Decimal, unit: str) -> Json:
    # A measure has at most 12 significant digits (three before the point, nine after): a float holds them.
    number = int(value) if value == value.to_integral_value() else float(value)
    return {"valueQuantity": {"value": number, "unit": unit, "system": UCUM, "code": OF_VOCABULARY[unit]}}
