"""A FHIR bundle of Observations as a case. What is not read is said, one line each; nothing is guessed.

Read are the code, the body site, the value, the day and the status of an Observation. A bundle about two
people, and two Observations that contradict each other, are refused.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from toeroom.case import LARGEST_CASE, Case, Place, case_as_yaml, parse_case
from toeroom.errors import BadInput, one_line
from toeroom.exchange import RELEASES
from toeroom.exchange.codes import MEMORY, OWN, Codes
from toeroom.exchange.fhir_export import AS_OF, TEXTS, Json
from toeroom.exchange.fhir_models import check_bundle
from toeroom.exchange.fhir_reading import NotRead, Observations, called, dict_of, dicts_of, whole_day
from toeroom.vocabulary import PERSON, Vocabulary


@dataclass(frozen=True, slots=True)
class Imported:
    """not_read: why an Observation or a resource was left aside; mind: read, and to be looked at."""

    case: Case
    read: int
    not_read: tuple[str, ...]
    mind: tuple[str, ...]


def case_of(
    bundle: Any, vocabulary: Vocabulary, codes: Codes, *, file: str, name: str, today: date, release: str = ""
) -> Imported:
    """The case that a bundle states.

    name: the case code, where the bundle has none of toeroom's own. release: R4 or R5; '' takes either.
    The day of the case is the bundle's own, else that of the latest Observation read, else `today`.
    Raises `BadInput` for what is no bundle, for two people, contradictions and figures out of range.
    """
    resources = _checked(bundle, release, file)
    gathered = _Gathered(Observations(vocabulary, codes), file)
    gathered.not_read += _of_other_kinds(bundle)
    for resource in resources:
        if resource["resourceType"] == "Observation":
            gathered.observation(resource)
    case = gathered.case(_own_code(resources) or name, today)
    read_back = _as_a_file(case, vocabulary, file)
    return Imported(read_back, gathered.read, tuple(gathered.not_read), tuple(gathered.mind))


# --- the bundle ------------------------------------------------------------------------------------
def _checked(bundle: Any, release: str, file: str) -> list[Json]:
    """The patients and Observations of a bundle, once the models accept it with these alone."""
    if not isinstance(bundle, dict) or bundle.get("resourceType") != "Bundle":
        raise BadInput("is no FHIR bundle", file=file, mend="name a JSON file of resourceType Bundle")
    if bundle.get("type") == "history":
        what = "is a history: it holds what no longer counts"
        raise BadInput(what, file=file, mend="export the present state")
    listed = bundle.get("entry")
    if listed is not None and (not isinstance(listed, list) or len(dicts_of(listed)) < len(listed)):
        what = "is no FHIR bundle: entry is no list of entries"
        raise BadInput(what, file=file, mend="export it again")
    entries = [entry for entry in dicts_of(listed) if _kind(entry) in ("Patient", "Observation")]
    _accepted({**bundle, "entry": entries or None}, release, file)
    resources = [entry["resource"] for entry in entries]
    _of_one_person(resources, file)
    return resources


def _accepted(bundle: Json, release: str, file: str) -> None:
    """Refuses what no release asked for accepts, in the words of the first."""
    faults = []
    for one in [release] if release else RELEASES:
        try:
            return check_bundle(bundle, one, file)
        except BadInput as fault:
            faults.append(fault)
    raise faults[0]


def _of_one_person(resources: list[Json], file: str) -> None:
    patients = sum(resource["resourceType"] == "Patient" for resource in resources)
    subjects = {repr(dict_of(r["subject"]).get("reference")) for r in resources if r.get("subject")}
    people = max(patients, len(subjects))
    if people > 1:
        raise BadInput(f"is about {people} people", file=file, mend="export one person at a time")


def _of_other_kinds(bundle: Json) -> list[str]:
    kinds = Counter(_kind(entry) or "empty entry" for entry in dicts_of(bundle.get("entry")))
    others = sorted((kind, count) for kind, count in kinds.items() if kind not in ("Patient", "Observation"))
    return [one_line(f"{count} {kind[:60]}: only Observations are read") for kind, count in others]


def _kind(entry: Json) -> str:
    resource = entry.get("resource")
    return str(resource.get("resourceType") or "") if isinstance(resource, dict) else ""


def _own_code(resources: list[Json]) -> str:
    """The case code that toeroom gave the patient; numbers of other systems stay out of the case."""
    patients = (resource for resource in resources if resource["resourceType"] == "Patient")
    identifiers = (identifier for patient in patients for identifier in dicts_of(patient.get("identifier")))
    return next((str(i.get("value")) for i in identifiers if i.get("system") == OWN), "")


# --- the case --------------------------------------------------------------------------------------
@dataclass
class _Gathered:
    """What the Observations state together. single: choices, days and texts by id."""

    observations: Observations
    file: str
    findings: dict[Place, str] = field(default_factory=dict)
    measures: dict[Place, Decimal] = field(default_factory=dict)
    single: dict[str, str] = field(default_factory=dict)
    days: list[date] = field(default_factory=list)
    not_read: list[str] = field(default_factory=list)
    mind: list[str] = field(default_factory=list)
    read: int = 0

    def observation(self, resource: Json) -> None:
        """Takes up what an Observation states, or says why not."""
        try:
            self._observation(resource)
        except NotRead as why:
            self.not_read.append(one_line(f"{called(resource)}: {why}"))
            return
        self.read += 1
        day = whole_day(resource.get("effectiveDateTime")) or whole_day(resource.get("effectiveInstant"))
        self.days += [day] if day is not None else []

    def _observation(self, resource: Json) -> None:
        reader, vocabulary = self.observations, self.observations.vocabulary
        meant = reader.meant(resource, self.file)
        term, place = meant.term, (meant.term, meant.side)
        if term in vocabulary.findings:
            self._finding(place, reader.answer(resource, meant))
        elif term in vocabulary.measures:
            figure = reader.figure(resource, term)
            if self.measures.setdefault(place, figure) != figure:
                raise self._contradiction(place, f"{self.measures[place]:f}", f"{figure:f}")
        else:
            word = reader.word(resource, term)
            if self.single.setdefault(term, word) != word:
                raise self._contradiction(place, self.single[term], word)
        if meant.mapped is not None and meant.mapped.certain == MEMORY:
            self.mind.append(f"{called(resource)}: read as {term}; the code is {MEMORY}, check it")

    def _finding(self, place: Place, value: str) -> None:
        """Unknown gives way to an answer; two answers that differ are a contradiction."""
        before = self.findings.get(place, "unknown")
        if {before, value} == {"yes", "no"}:
            raise self._contradiction(place, before, value)
        if before == "unknown":
            self.findings[place] = value

    def _contradiction(self, place: Place, one: str, other: str) -> BadInput:
        term, side = place
        where = term if side == PERSON else f"{term}@{side}"
        what = f"two Observations of {where} contradict each other: {one[:40]} and {other[:40]}"
        return BadInput(what, file=self.file, mend="keep the one that counts")

    def case(self, name: str, today: date) -> Case:
        """All of it as a case."""
        vocabulary, single = self.observations.vocabulary, self.single
        as_of = single.get(AS_OF)
        texts: dict[str, Any] = {key: single.get(key, "") for key in TEXTS}
        return Case(
            id=name,
            as_of=date.fromisoformat(as_of) if as_of else max(self.days, default=today),
            findings=self.findings,
            measures=self.measures,
            choices={key: value for key, value in single.items() if key in vocabulary.choices},
            dates={k: date.fromisoformat(v) for k, v in single.items() if k in vocabulary.dates},
            **texts,
        )


def _as_a_file(case: Case, vocabulary: Vocabulary, file: str) -> Case:
    """The case read back as a file is, so that an import accepts nothing that a case file would not."""
    # Before it is written: what stands unquoted in the file must not add lines to it.
    if not re.fullmatch(r"[A-Za-z0-9](?:[A-Za-z0-9-]*[A-Za-z0-9])?", case.id):
        raise BadInput("its case code is not usable", file=file, mend="use letters, digits and dashes")
    text = case_as_yaml(case, vocabulary)
    if len(text.encode()) > LARGEST_CASE:
        raise BadInput("holds more than a case file may", file=file, mend="shorten title and notes")
    try:
        return parse_case(text, vocabulary, name=file)
    except BadInput as fault:
        # The line is one of the text made here, not of the bundle.
        raise BadInput(fault.what, file=file, mend=fault.mend) from None
