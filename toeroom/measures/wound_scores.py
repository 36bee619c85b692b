"""Scores of a clinician's letter in words and figures, for a referral note.

They carry what a clinician stated from one to another. No score decides here, or foretells what
becomes of one person; the items are written down one by one (Australian wound guideline 2021, Table 3).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

SINBAD_SLOWER = 3
"""From this score on healing took longer in 449 people. Source: Ince et al., Diabetes Care 2008;31:964."""


@dataclass(frozen=True, slots=True)
class Sinbad:
    """The six items of SINBAD, one point each where they hold.

    site: midfoot or hindfoot. ischaemia: reduced flow, no palpable pulse. neuropathy: feeling lost.
    bacterial: infected. area: 1 cm² or more. depth: to muscle, tendon or deeper.
    Source: World J Diabetes 2022;13:1049, Table 4.
    """

    site: bool
    ischaemia: bool
    neuropathy: bool
    bacterial: bool
    area: bool
    depth: bool

    @property
    def score(self) -> int:
        """0 to 6."""
        return sum(held for _, held in self.items())

    def items(self) -> tuple[tuple[str, bool], ...]:
        """Each item in words, and whether it holds."""
        return (
            ("site: midfoot or hindfoot", self.site),
            ("ischaemia", self.ischaemia),
            ("neuropathy", self.neuropathy),
            ("bacterial infection", self.bacterial),
            ("area 1 cm² or more", self.area),
            ("depth to muscle, tendon or deeper", self.depth),
        )

    def note(self) -> str:
        """One line for a referral note: score and items, never the score alone."""
        held = [words for words, holds in self.items() if holds] or ["none of the items"]
        return f"SINBAD {self.score} of 6 ({'; '.join(held)}); to communicate, not to decide"


def sinbad(
    *,
    hindfoot_or_midfoot: bool,
    pulse_felt: bool,
    feeling_lost: bool,
    infected: bool,
    area_cm2: Decimal,
    deep: bool,
) -> Sinbad:
    """The score of what a clinician stated; area from 1.0 cm² on counts (some papers print over 1)."""
    return Sinbad(hindfoot_or_midfoot, not pulse_felt, feeling_lost, infected, area_cm2 >= 1, deep)


def infection_grade(*, signs: int, redness_cm: Decimal, deeper: bool = False, systemic_signs: int = 0) -> int:
    """IWGDF/IDSA grade 1 (none) to 4 of an infection as a clinician described it.

    signs: of swelling, redness over 0.5 cm, pain, warmth, pus. systemic_signs: of temperature, pulse,
    breathing, white cells. Redness of exactly 2 cm is graded 3, as in 2023 (from memory); older tables
    say 2. Source: EFORT Open Rev 2018; Clin Diabetes Endocrinol 2020.
    """
    if signs < 2:
        return 1
    if systemic_signs >= 2:
        return 4
    return 3 if deeper or redness_cm >= 2 else 2


def texas_grade(*, reaches: str, infected: bool, ischaemic: bool) -> str:
    """University of Texas grade and stage: `healed`, `superficial`, `tendon` or `bone`; A to D.

    Source: World J Diabetes 2022;13:1049, Table 2.
    """
    grade = {"healed": "0", "superficial": "I", "tendon": "II", "bone": "III"}[reaches]
    return f"{grade}-{'ABCD'[infected + 2 * ischaemic]}"


WAGNER = (
    "no ulcer, foot at risk",
    "superficial ulcer",
    "deep ulcer, without abscess or bone infection",
    "deep ulcer with abscess, bone or joint infection",
    "gangrene of a part",
    "gangrene of the whole foot",
)
"""What a Wagner grade in a letter means, 0 to 5. Source: World J Diabetes 2022;13:1049, Table 1."""
