"""The solver z3, which proves. It is not needed to plan, and so is an extra of its own."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from toeroom.errors import BadInput

try:
    import z3
except ImportError:
    raise BadInput("proving needs the solver z3", mend="install toeroom with its extra 'upkeep'") from None

Formula = Any
"""A formula of the solver that is true or false of a case."""
Term = Any
"""A number of the solver."""

__all__ = ["Formula", "Term", "at_most", "both", "either", "fraction", "one", "z3"]


def both(*parts: Formula) -> Formula:
    """Every part holds."""
    return parts[0] if len(parts) == 1 else z3.And(*parts)


def either(*parts: Formula) -> Formula:
    """At least one part holds."""
    return parts[0] if len(parts) == 1 else z3.Or(*parts)


def one(holds: bool) -> Formula:
    """A formula that always, or never, holds."""
    return z3.BoolVal(holds)


def fraction(value: object) -> Term:
    """An exact number: of a whole number, a decimal or a fraction."""
    exact = Fraction(str(value))
    return z3.Q(exact.numerator, exact.denominator)


def at_most(number: int, parts: list[Formula]) -> Formula:
    """No more than `number` of the parts hold."""
    return z3.PbLe([(part, 1) for part in parts], number)
