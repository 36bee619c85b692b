"""Shoe sizes by named rule, from the length of the foot and back. Exact; millimetres throughout.

A rule is a straight line: size = foot length / millimetres per size + constant. The nearest mark is
taken, and a tie goes to the larger one (of two shoes equally far off, the longer can be filled).

The tables of ISO 9407 and ISO 19407 were not seen: those standards are cited for terms and
intervals; the formulas are the usual published ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from toeroom.measures.lengths import INCH

BARLEYCORN = INCH / 3
"""One full UK or US size, 1/3 in = 25.4/3 mm, never 8.47. Source: Williams & Nester 2010, ch. 6."""
PARIS_POINT = Fraction(20, 3)
"""One EU size, 2/3 cm. Source: Williams & Nester 2010, ch. 6."""
HALF = Fraction(1, 2)

ARTICLE = "encyclopaedia article 'Shoe size'"
TEACHING_SET = "university teaching data set on shoe sizes, read-me"
TRADE = "trade pages on size formulas (common practice)"
ISO_9407 = "ISO 9407:2019, summary; PD ISO/TS 19407:2015, notes"

Length = Fraction | Decimal | int


@dataclass(frozen=True, slots=True)
class SizeRule:
    """How one system, or one reading of it, makes a size of a foot length.

    mm_per_size: length of one size. constant: added to foot length / mm_per_size. step: distance of
    two marks, in sizes. last_constant: the same for the length of the last, None where nothing is
    published. said: the rule in the trade's words.
    """

    id: str
    system: str
    label: str
    said: str
    mm_per_size: Fraction
    constant: Fraction
    step: Fraction
    last_constant: Fraction | None
    source: str

    def exact(self, foot: Length) -> Fraction:
        """The size of a foot of `foot` mm, not rounded."""
        return Fraction(foot) / self.mm_per_size + self.constant

    def mark(self, foot: Length) -> Fraction:
        """The nearest marked size of a foot of `foot` mm; a tie goes up."""
        return nearest(self.exact(foot), self.step)

    def foot(self, size: Length) -> Fraction:
        """The foot length in mm that is exactly `size`."""
        return (Fraction(size) - self.constant) * self.mm_per_size

    def interval(self, mark: Length) -> tuple[Fraction, Fraction]:
        """The foot lengths in mm that get `mark`: from the first, up to but not including the second."""
        half = self.step / 2
        return self.foot(Fraction(mark) - half), self.foot(Fraction(mark) + half)

    def size_of_last(self, last: Length) -> Fraction | None:
        """The size, not rounded, of a last of `last` mm."""
        if self.last_constant is None:
            return None
        return Fraction(last) / self.mm_per_size + self.last_constant

    def last(self, size: Length) -> Fraction | None:
        """The length in mm of a last of `size`."""
        return (
            None if self.last_constant is None else (Fraction(size) - self.last_constant) * self.mm_per_size
        )

    @property
    def last_allowance(self) -> Fraction | None:
        """By how many mm the last is longer than the foot of the same size."""
        return None if self.last_constant is None else (self.constant - self.last_constant) * self.mm_per_size


def nearest(value: Fraction, step: Fraction) -> Fraction:
    """`value` to the nearest multiple of `step`; a tie goes up."""
    return (value / step + HALF) // 1 * step


def _rule(
    rule_id: str, system: str, label: str, said: str, per: Fraction, constant: str, last: str, source: str
) -> SizeRule:
    return SizeRule(rule_id, system, label, said, per, Fraction(constant), HALF, Fraction(last), source)


def _mondopoint(rule_id: str, label: str, step: str, said: str) -> SizeRule:
    return SizeRule(
        rule_id, "mondopoint", label, said, Fraction(1), Fraction(0), Fraction(step), None, ISO_9407
    )


RULES: dict[str, SizeRule] = {
    rule.id: rule
    for rule in (
        _mondopoint("mondopoint_5", "Mondopoint, 5 mm", "5", "foot length in mm, marks 5 mm apart from zero"),
        _mondopoint(
            "mondopoint_7_5",
            "Mondopoint, 7.5 mm",
            "7.5",
            "foot length in mm, marks 7.5 mm apart from zero; mainly special footwear",
        ),
        _rule("eu", "eu", "EU, rule A", "1.5 × cm + 2", PARIS_POINT, "2", "0", ARTICLE),
        _rule("eu_15", "eu", "EU, rule B", "1.5 × (cm + 1.5)", PARIS_POINT, "2.25", "0", TRADE),
        _rule("uk", "uk", "UK, rule A", "3 × in − 23", BARLEYCORN, "-23", "-25", ARTICLE),
        _rule(
            "uk_half_inch",
            "uk",
            "UK, rule B",
            "3 × in − 23.5",
            BARLEYCORN,
            "-23.5",
            "-25",
            ARTICLE,
        ),
        _rule("us_men", "us_men", "US men", "3 × in − 22", BARLEYCORN, "-22", "-24", ARTICLE),
        _rule(
            "us_women_standard",
            "us_women",
            "US women, standard scale",
            "3 × in − 21",
            BARLEYCORN,
            "-21",
            "-23",
            ARTICLE,
        ),
        _rule(
            "us_women_common",
            "us_women",
            "US women, common scale",
            "3 × in − 20.5",
            BARLEYCORN,
            "-20.5",
            "-22.5",
            f"{TEACHING_SET} (last form); foot form derived",
        ),
    )
}
SYSTEMS = ("mondopoint", "eu", "uk", "us_men", "us_women")
LOWEST_ADULT = Fraction(1)
"""UK and US adult scales begin at 1; below it the children's scale counts, whose formulas are from memory."""


def rules_of(system: str | None) -> tuple[SizeRule, ...]:
    """The rules of `system`, or all."""
    return tuple(rule for rule in RULES.values() if system is None or rule.system == system)


def below_adult_scale(rule: SizeRule, mark: Fraction) -> bool:
    """Whether `mark` lies under the adult scale of a UK or US rule."""
    return rule.mm_per_size == BARLEYCORN and mark < LOWEST_ADULT


def size_in_words(mark: Fraction) -> str:
    """A marked size as it stands on a shoe: `9½`, `42`, `262.5`."""
    whole, rest = divmod(mark, 1)
    if mark < 0:
        return f"{float(mark):g}"
    if rest == HALF and mark < 100:
        return f"{whole}½" if whole else "½"
    return f"{float(mark):g}"
