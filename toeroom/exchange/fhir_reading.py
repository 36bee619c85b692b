"""What one FHIR Observation says: its term, its side, its value; or why it is not read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from toeroom.case import day_from
from toeroom.errors import BadInput, nearest, one_line
from toeroom.exchange.codes import NARROWER, OWN, Codes, Mapped
from toeroom.exchange.fhir_export import AS_OF, TEXTS, Json
from toeroom.exchange.units import UCUM, converted
from toeroom.vocabulary import PERSON, Vocabulary

READ_STATUS = ("final", "amended", "corrected", "preliminary")


class NotRead(Exception):
    """Why an Observation is left aside, in words."""


@dataclass(frozen=True, slots=True)
class Meant:
    """What an Observation is about. mapped: the standard code that says so; None for a code of our own."""

    term: str
    side: str
    mapped: Mapped | None


class Observations:
    """Reads Observations that the models have accepted, one at a time.

    The models let some values through that the specification does not, such as null; nothing here relies on
    more than the kind it looks at.
    """

    def __init__(self, vocabulary: Vocabulary, codes: Codes) -> None:
        self.vocabulary, self.codes, self.sides = vocabulary, codes, codes.sides()

    # --- about what --------------------------------------------------------------------------------
    def meant(self, resource: Json, file: str) -> Meant:
        """The term and the side. Raises `NotRead`; `BadInput` where its codes mean different terms."""
        if resource.get("status") not in READ_STATUS:
            raise NotRead(f"its status is {resource.get('status')}")
        if resource.get("modifierExtension") or resource.get("implicitRules"):
            raise NotRead("it is modified in a way that is not understood")
        if resource.get("focus"):
            raise NotRead("it is about something other than the person")
        codings = codings_of(resource.get("code"))
        sites = [key_of(coding) for coding in codings_of(resource.get("bodySite"))]
        own = {str(coding.get("code")) for coding in codings if coding.get("system") == OWN}
        candidates = [mapped for coding in codings for mapped in self.codes.of_key(key_of(coding))]
        standard = [mapped for mapped in candidates if _fits(mapped, sites)]
        terms = own | {mapped.term for mapped in standard}
        if not terms and candidates:
            raise NotRead("its body site is not one at which this code is read")
        if not terms:
            raise NotRead("the code is not known here")
        if len(terms) > 1:
            named = " and as ".join(sorted(terms))
            raise BadInput(
                f"an Observation is coded both as {named}", file=file, mend="keep one of the codes"
            )
        term = terms.pop()
        return Meant(term, self._side(term, sites), None if own else standard[0])

    def _side(self, term_id: str, sites: list[tuple[str, str]]) -> str:
        vocabulary = self.vocabulary
        stated = (vocabulary.findings, vocabulary.measures, vocabulary.choices, vocabulary.dates)
        if term_id in (AS_OF, *TEXTS):
            return PERSON
        if not any(term_id in kind for kind in stated):
            hint = nearest(term_id, [i for kind in stated for i in kind])
            raise NotRead(f"'{term_id[:60]}' is not stated on a case here{f'; {hint}' if hint else ''}")
        if vocabulary.by_id[term_id].scope == PERSON:
            return PERSON
        sides = {self.sides[site] for site in sites if site in self.sides}
        if len(sides) != 1 or PERSON in sides:
            raise NotRead("it does not say which foot")
        return sides.pop()

    # --- what it says ------------------------------------------------------------------------------
    def answer(self, resource: Json, meant: Meant) -> str:
        """yes, no or unknown of a finding; absent data is unknown, whatever the reason."""
        value = self._answer(resource)
        mapped = meant.mapped
        if mapped is not None and mapped.relation == NARROWER and value != "yes":
            raise NotRead(f"'{value}' to '{mapped.code.display}' says nothing about {meant.term}")
        return value

    def _answer(self, resource: Json) -> str:
        if isinstance(resource.get("valueBoolean"), bool):
            return "yes" if resource["valueBoolean"] else "no"
        keys = [key_of(coding) for coding in codings_of(resource.get("valueCodeableConcept"))]
        answers = {self.codes.values[key] for key in keys if key in self.codes.values}
        if len(answers) == 1:
            return answers.pop()
        valued = any(key.startswith("value") and resource[key] is not None for key in resource)
        if resource.get("dataAbsentReason") and not valued:
            return "unknown"
        raise NotRead("its value is neither yes nor no")

    def figure(self, resource: Json, term_id: str) -> Decimal:
        """The value of a measure, in the unit of the vocabulary."""
        quantity = dict_of(resource.get("valueQuantity"))
        value = quantity.get("value")
        # A figure written as a text would pass the models, and skip the bounds of strict_json.
        if isinstance(value, bool) or not isinstance(value, int | Decimal):
            raise NotRead("it gives no figure")
        if quantity.get("comparator"):
            raise NotRead(f"it gives a limit ({quantity['comparator']}) and no figure")
        if quantity.get("system") != UCUM:
            raise NotRead("its unit is not coded in UCUM")
        found = converted(Decimal(value), str(quantity.get("code")), self.vocabulary.measures[term_id].unit)
        if found is None:
            raise NotRead(f"{str(quantity.get('code'))[:30]} is no unit of {term_id}")
        return found

    def word(self, resource: Json, term_id: str) -> str:
        """The choice, the ISO day or the text that a case has under `term_id`."""
        if term_id == AS_OF or term_id in self.vocabulary.dates:
            day = whole_day(resource.get("valueDateTime"))
            if day is None:
                raise NotRead("it gives no whole day")
            return day.isoformat()
        text = resource.get("valueString")
        if not isinstance(text, str):
            raise NotRead("it gives no words")
        choice = self.vocabulary.choices.get(term_id)
        if choice is not None and text not in choice.one_of:
            raise NotRead(f"'{text[:40]}' is none of {', '.join(choice.one_of)}")
        return text


def dict_of(value: Any) -> Json:
    """A JSON object; an empty one for anything else."""
    return value if isinstance(value, dict) else {}


def dicts_of(value: Any) -> list[Json]:
    """The objects of a JSON list."""
    return [item for item in value if isinstance(item, dict)] if isinstance(value, list) else []


def codings_of(concept: Any) -> list[Json]:
    """The codings of a CodeableConcept."""
    return dicts_of(dict_of(concept).get("coding"))


def key_of(coding: Json) -> tuple[str, str]:
    """System and code."""
    return str(coding.get("system")), str(coding.get("code"))


def whole_day(value: Any) -> date | None:
    """The day of a FHIR dateTime; None where it is no text, or says less than a day."""
    try:
        return day_from(value[:10]) if isinstance(value, str) else None
    except ValueError:
        return None


def called(resource: Json) -> str:
    """The Observation as a person would find it again: its words, or its first code."""
    return one_line(next(_names(resource), "an Observation"))[:80]


def _names(resource: Json) -> Iterator[str]:
    concept = dict_of(resource.get("code"))
    if concept.get("text"):
        yield str(concept["text"])
    for coding in codings_of(concept):
        yield str(coding.get("display") or coding.get("code"))


def _fits(mapped: Mapped, sites: Iterable[tuple[str, str]]) -> bool:
    places = {code.key for codes in mapped.at.values() for code in codes}
    return any(site in places for site in sites) if places else not list(sites)
