"""A case by the English scheme, beside the international category: its word, its times, what is open."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from toeroom.case import Case
from toeroom.measures import english_risk as risk
from toeroom.measures.calculated import calculate, present_sides
from toeroom.measures.english_risk import Findings
from toeroom.measures.pressures import index_band
from toeroom.vocabulary import PERSON, SIDES

DEFORMITIES = (
    "bunion", "tailors_bunion", "hammertoe", "claw_toes", "overlapping_toe", "prominent_met_heads",
    "midfoot_prominence", "charcot_inactive", "high_arch",
)  # fmt: skip
"""As the rules count them for the international category (common practice); NG19 lists none."""
CALLUS = ("callus", "callus_with_bleeding", "toe_tip_callus")
HISTORY = ("past_ulcer", "toe_amputated", "partial_foot_amputated", "leg_amputated")
ACTIVE = ("open_wound", "infection_signs", "black_tissue", "hot_swollen_foot")
NEVER_MIX = "not the international category: the two use the same words for other people"


@dataclass(frozen=True, slots=True)
class Scheme:
    """least, most: categories, alike where it is decided.

    refer_by, triage_by: days for an active problem, None where there is none.
    """

    least: str
    most: str
    missing: tuple[str, ...]
    refer_by: date | None
    triage_by: date | None

    @property
    def words(self) -> str:
        """`high`, or `moderate to high`."""
        return self.least if self.least == self.most else f"{self.least} to {self.most}"

    @property
    def possible(self) -> tuple[str, ...]:
        """Every category that what is known allows, the lowest first."""
        return risk.ORDER[risk.ORDER.index(self.least) : risk.ORDER.index(self.most) + 1]

    def as_json(self) -> dict[str, Any]:
        """The scheme as plain values; times by possible category."""
        return {
            "scheme": "NICE NG19",
            "category": list(self.possible),
            "missing": list(self.missing),
            "first_seen_weeks": {name: risk.FIRST_SEEN_WEEKS.get(name) for name in self.possible},
            "seen_again_months": {name: risk.SEEN_AGAIN_MONTHS.get(name) for name in self.possible},
            "refer_by": None if self.refer_by is None else self.refer_by.isoformat(),
            "triage_by": None if self.triage_by is None else self.triage_by.isoformat(),
            "source": risk.SOURCE,
        }

    def lines(self) -> list[str]:
        """The scheme in plain text, with the times of every category that stays possible."""
        found = [f"English scheme (NICE NG19): {self.words} ({NEVER_MIX})"]
        if self.least != self.most:
            found.append(f"  not known: {', '.join(self.missing)}")
        found += [f"  {name}: {_times(name)}" for name in self.possible]
        if self.refer_by and self.triage_by:
            found.append(f"  referred by {self.refer_by}, triaged by {self.triage_by}; holidays not known")
        return [*found, f"  [{risk.SOURCE}]"]


def _times(name: str) -> str:
    """The times of a category in words."""
    if name == risk.ACTIVE:
        return (
            "referred within one working day, triaged within one more; at once with fever, ill health, poor "
            "supply or dead tissue"
        )
    weeks, months = risk.FIRST_SEEN_WEEKS.get(name), risk.SEEN_AGAIN_MONTHS[name]
    first = f"foot protection service in {weeks[0]} to {weeks[1]} weeks, then " if weeks else ""
    again = "every 12 months" if months[0] == months[1] else f"every {months[0]} to {months[1]} months"
    concern = "; 1 to 2 weeks with an immediate concern" if name == risk.HIGH else ""
    return f"{first}{again}{concern}"


def english_scheme(case: Case) -> Scheme:
    """The category of a case. What is not stated stays open, so it may be a range."""
    found = Findings(
        _neuropathy(case),
        _arterial(case),
        _any(case, DEFORMITIES, present_sides(case)),
        _any(case, CALLUS, present_sides(case)),
        _history(case),
        _any(case, ACTIVE, present_sides(case)),
    )
    least, most = risk.category(found)
    active = found.active is True
    refer = risk.working_day(case.as_of) if active else None
    triage = risk.working_day(case.as_of, 2) if active else None
    return Scheme(least, most, found.missing, refer, triage)


def _any(case: Case, terms: Iterable[str], sides: Sequence[str]) -> bool | None:
    """Whether one of `terms` holds on a side: None unless one is yes or all are no."""
    stated = {case.finding(term, side) for term in terms for side in sides}
    return True if "yes" in stated else False if stated <= {"no"} else None


def _neuropathy(case: Case) -> bool | None:
    missed = [case.measures.get(("filament_sites_missed", side), 0) for side in present_sides(case)]
    return True if any(missed) else _any(case, ("sensation_lost",), present_sides(case))


def _arterial(case: Case) -> bool | None:
    sides = present_sides(case)
    if _any(case, ("arterial_disease", "pulses_absent"), sides) or any(
        _low_index(case, side) for side in sides
    ):
        return True
    return _any(case, ("pulses_absent",), sides)


def _low_index(case: Case, side: str) -> bool:
    index = calculate(case, "ankle_arm_index", side)
    return isinstance(index, Decimal) and index_band(index) == "reduced"


def _history(case: Case) -> bool | None:
    feet, kidney = _any(case, HISTORY, SIDES), _any(case, ("kidney_failure",), (PERSON,))
    if feet or kidney:
        return True
    return False if feet is False and kidney is False else None
