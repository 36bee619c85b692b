"""Counting the answers of the filament and the toe-touch test.

Whether feeling is lost is a clinician's finding; who is trained to test passes on the count.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

ANSWERS_PER_SITE = 3
"""Two real touches and one sham. Source: IWGDF consensus addendum, sensory examination."""
SITES_PER_FOOT = 3
"""Source: as `ANSWERS_PER_SITE`. Which three they are is from memory (big toe, first and fifth head)."""
TOES_TOUCHED = 6
TOES_TOO_MANY = 2


def site_felt(right_answers: Sequence[bool | None]) -> bool | None:
    """Whether a site counts as felt: two of its three answers are right. None: an open answer decides.

    Source: IWGDF consensus addendum. Raises ValueError for another number of answers.
    """
    if len(right_answers) != ANSWERS_PER_SITE:
        raise ValueError(f"a site has {ANSWERS_PER_SITE} answers, not {len(right_answers)}")
    if right_answers.count(True) >= 2:
        return True
    return False if right_answers.count(False) >= 2 else None


def sites_missed(sites: Iterable[Sequence[bool | None]]) -> tuple[int, int]:
    """How many sites of a foot were not felt, at least and at most; one is enough for lost feeling."""
    felt = [site_felt(answers) for answers in sites]
    return felt.count(False), felt.count(False) + felt.count(None)


def feeling_lost(missed: tuple[int, int], tested: int) -> bool | None:
    """Whether feeling counts as lost by the filament: one site not felt; kept only on three sites felt.

    Source: IWGDF consensus addendum; the same limit in a vibration-threshold study (Int Wound J).
    """
    least, most = missed
    if least:
        return True
    return None if most or tested < SITES_PER_FOOT else False


def touch_reduced(felt: Sequence[bool | None]) -> bool | None:
    """Whether the toe-touch test counts as reduced: two or more of six toe tips not felt. None: open.

    Tips of toes 1, 3 and 5 of both feet, light, once each; None stands for a tip not touched, a toe
    left out is no toe felt. Source: Ipswich touch test summary (77 % sensitive, 90 % specific). One
    page prints a cut that would take three; two is used. Raises ValueError unless there are six.
    """
    if len(felt) != TOES_TOUCHED:
        raise ValueError(f"{TOES_TOUCHED} toe tips are touched, not {len(felt)}")
    missed, open_ones = felt.count(False), felt.count(None)
    if missed >= TOES_TOO_MANY:
        return True
    return None if missed + open_ones >= TOES_TOO_MANY else False
