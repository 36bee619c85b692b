"""Counting the answers of the filament and the toe-touch test.

Whether feeling is lost is a clinician's finding; who is trained to test passes on the count.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

ANSWERS_PER_SITE = 3
"""Two real touches and one sham. Source: IWGDF consensus addendum, sensory examination."""
TOES_TOUCHED = 6
TOES_TOO_MANY = 2


def site_felt(right_answers: Sequence[bool]) -> bool:
    """Whether a site counts as felt: two of its three answers are right.

    Source: IWGDF consensus addendum. Raises ValueError for another number of answers.
    """
    if len(right_answers) != ANSWERS_PER_SITE:
        raise ValueError(f"a site has {ANSWERS_PER_SITE} answers, not {len(right_answers)}")
    return sum(right_answers) >= 2


def sites_missed(sites: Iterable[Sequence[bool]]) -> int:
    """How many sites of a foot were not felt; one is enough for feeling to count as lost."""
    return sum(not site_felt(answers) for answers in sites)


def touch_reduced(felt: Sequence[bool]) -> bool:
    """Whether the toe-touch test counts as reduced: two or more of six toe tips not felt.

    Tips of toes 1, 3 and 5 of both feet, light, once each. Source: Ipswich touch test summary (77 %
    sensitive, 90 % specific). One page prints a cut that would take three; two is used. Raises
    ValueError unless all six were touched: a toe left out is no toe felt.
    """
    if len(felt) != TOES_TOUCHED:
        raise ValueError(f"{TOES_TOUCHED} toe tips are touched, not {len(felt)}")
    return felt.count(False) >= TOES_TOO_MANY
