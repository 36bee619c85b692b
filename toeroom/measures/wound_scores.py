"""Scores of a clinician's letter in words and figures, for a referral note.

They carry what a clinician stated from one to another. No score decides here, or foretells what
becomes of one person; the items are written down one by one (Australian wound guideline 2021, Table 3).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

SINBAD_SLOWER = 3
"""From this score on healing took longer in 449 people. Source: Ince et al., Diabetes Care 2008;31:964."""
ITEMS = {
    "site": "site: midfoot or hindfoot",
    "ischaemia": "ischaemia",
    "neuropathy": "neuropathy",
    "bacterial": "bacterial infection",
    "area": "area 1 cm² or more",
    "depth": "depth to muscle, tendon or deeper",
}
Span = tuple[int, int]
"""Least and most, alike where all is known."""


@dataclass(frozen=True, slots=True)
class Sinbad:
    """The six items of SINBAD, one point each where they hold; None where a clinician did not state it.

    site: midfoot or hindfoot. ischaemia: reduced flow, no palpable pulse. neuropathy: feeling lost.
    bacterial: infected. area: 1 cm² or more. depth: to muscle, tendon or deeper.
    Source: World J Diabetes 2022;13:1049, Table 4.
    """

    site: bool | None
    ischaemia: bool | None
    neuropathy: bool | None
    bacterial: bool | None
    area: bool | None
    depth: bool | None

    @property
    def score(self) -> Span:
        """0 to 6: what holds, and that with what is not known added."""
        held, missing = len(self._words(True)), len(self.missing)
        return held, held + missing

    @property
    def missing(self) -> tuple[str, ...]:
        """The items nobody stated, in words."""
        return self._words(None)

    @property
    def held(self) -> tuple[str, ...]:
        """The items that hold, in words."""
        return self._words(True)

    def _words(self, value: bool | None) -> tuple[str, ...]:
        return tuple(words for item, words in ITEMS.items() if getattr(self, item) is value)

    def note(self) -> str:
        """One line for a referral note: score and items, never the score alone."""
        least, most = self.score
        score = str(least) if least == most else f"{least} to {most}"
        said = "; ".join(self.held) or "none of the items"
        missing = f"; not known: {'; '.join(self.missing)}" if self.missing else ""
        return f"SINBAD {score} of 6 ({said}{missing}); to communicate, not to decide"


def sinbad(
    *,
    hindfoot_or_midfoot: bool | None = None,
    pulse_felt: bool | None = None,
    feeling_lost: bool | None = None,
    infected: bool | None = None,
    area_cm2: Decimal | None = None,
    deep: bool | None = None,
) -> Sinbad:
    """The score of what a clinician stated; area from 1.0 cm² on counts (some papers print over 1)."""
    ischaemia = None if pulse_felt is None else not pulse_felt
    large = None if area_cm2 is None else area_cm2 >= 1
    return Sinbad(hindfoot_or_midfoot, ischaemia, feeling_lost, infected, large, deep)


INFECTION_SIGNS = ("swelling", "redness", "pain", "warmth", "pus")
"""Redness counts from over 0.5 cm about the wound; two signs make an infection."""
SYSTEMIC_SIGNS = ("temperature", "pulse", "breathing", "white-cells")


def infection_grade(
    *, signs: int, redness_cm: Decimal | None, deeper: bool | None = False, systemic_signs: int | None = 0
) -> Span:
    """IWGDF/IDSA grade 1 (none) to 4 of an infection as a clinician described it, least and most.

    signs: of `INFECTION_SIGNS`. systemic_signs: of `SYSTEMIC_SIGNS`. What is None is taken both ways.
    Redness of exactly 2 cm is graded 3, as in 2023 (from memory); older tables say 2.
    Source: EFORT Open Rev 2018; Clin Diabetes Endocrinol 2020.
    """
    if signs < 2:
        return 1, 1
    if systemic_signs is not None and systemic_signs >= 2:
        return 4, 4
    wide = redness_cm is not None and redness_cm >= 2
    beyond = bool(deeper) or wide
    open_ones = not beyond and (deeper is None or redness_cm is None)
    most = 4 if systemic_signs is None else 3 if beyond or open_ones else 2
    return (3 if beyond else 2), most


REACHES = {"healed": "0", "superficial": "I", "tendon": "II", "bone": "III"}


def texas_grades(*, reaches: str, infected: bool | None, ischaemic: bool | None) -> tuple[str, ...]:
    """University of Texas grade and stage, every one that what is known allows: `II-B`.

    reaches: `healed`, `superficial`, `tendon` or `bone`. Source: World J Diabetes 2022;13:1049, Table 2.
    """
    either = (False, True)
    return tuple(
        f"{REACHES[reaches]}-{'ABCD'[i + 2 * p]}"
        for p in (either if ischaemic is None else (ischaemic,))
        for i in (either if infected is None else (infected,))
    )


WAGNER = (
    "no ulcer, foot at risk",
    "superficial ulcer",
    "deep ulcer, without abscess or bone infection",
    "deep ulcer with abscess, bone or joint infection",
    "gangrene of a part",
    "gangrene of the whole foot",
)
"""What a Wagner grade in a letter means, 0 to 5. Source: World J Diabetes 2022;13:1049, Table 1."""
