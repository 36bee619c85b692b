"""What the US benefit pays in a calendar year, counted in billing units. Dated policy, read 2026-11.

Source: Medicare Benefit Policy Manual ch. 15 §140.B: one pair of depth shoes and three pairs of
inserts, or one pair of custom-moulded shoes and two more pairs of inserts; modifications may stand
in for inserts in any combination. Units per shoe, and per insert.
"""

from __future__ import annotations

from collections.abc import Mapping

DEPTH, CUSTOM = "A5500", "A5501"
INSERTS = ("A5512", "A5513", "A5514")
MODIFICATIONS = ("A5503", "A5504", "A5505", "A5506", "A5507")
SHOES_A_YEAR = 2
INSERTS_A_YEAR = {DEPTH: 6, CUSTOM: 4}


def over_the_year(units: Mapping[str, int]) -> tuple[str, ...]:
    """By how much the `units` of a calendar year, claimed and asked for, pass what is paid.

    A modification counts as the insert it stands in for. Raises ValueError for a code not known here.
    """
    for code in units:
        if code not in (DEPTH, CUSTOM, *INSERTS, *MODIFICATIONS):
            raise ValueError(f"the code {code} is not known here")
    shoes = {code: units.get(code, 0) for code in (DEPTH, CUSTOM)}
    if all(shoes.values()):
        return ("depth and custom-moulded shoes in one year: one route or the other",)
    route = CUSTOM if shoes[CUSTOM] else DEPTH
    under = sum(units.get(code, 0) for code in (*INSERTS, *MODIFICATIONS))
    excess = (
        (shoes[route] - SHOES_A_YEAR, f"of {route}"),
        (under - INSERTS_A_YEAR[route], "of inserts and what stands in for them"),
    )
    return tuple(f"{count} units too many {words}" for count, words in excess if count > 0)
