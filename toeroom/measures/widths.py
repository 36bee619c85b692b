"""Width letters, girth grading and fittings. Millimetres; inches are exact.

Two things carry the same letter: the girth of the last at the ball (1/4 in a letter), and the flat
width a measuring device reads (3/16 in a letter). They are never exchanged here.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from toeroom.measures.lengths import INCH
from toeroom.measures.populations import GIRTH_BY_LENGTH, MEN, WOMEN
from toeroom.measures.sizes import HALF, Length

LETTERS = (
    "AAAAA", "AAAA", "AAA", "AA", "A", "B", "C", "D", "E", "EE", "EEE", "EEEE", "EEEEE", "EEEEEE",
)  # fmt: skip
"""Narrow to wide. Source: Rossi 2000, p. 202, as quoted."""
USUAL = {MEN: "D", WOMEN: "B"}
"""The medium letter. Source: generic width guides (common practice); middle of ANSUR II."""

GIRTH_STEP = INCH / 4
"""Ball girth of one letter, and of one full UK or US size. Source: US Patent 1,948,547 (1934)."""
EU_GIRTH_STEP = Fraction(5)
"""Ball girth of one EU size. Source: trade page on grading (common practice)."""
FLAT_STEP = INCH * Fraction(3, 16)
"""Flat width of one letter. Source: trade sizing overview; published width charts (common practice)."""
FLAT_PER_SIZE = INCH / 8
"""Flat width of one full size along the published charts (derived). A shoemaking glossary has about 2 mm."""

CHARTS = "two generic web charts of width by size (common practice)"


def chart_width(last: str, size: Length, letter: str) -> Fraction:
    """Flat width in mm at the ball by the rule behind the charts.

    Women: B at 5 is 3 3/16 in; men: D at 6 is 3 1/2 in; 1/8 in a size, 3/16 in a letter. `size` is the
    US size of that last (women: common scale). The printed cells lie within 1/16 in of it. Derived.
    """
    base = Fraction(7, 2) * INCH if last == MEN else Fraction(51, 16) * INCH
    first = 6 if last == MEN else 5
    letters = LETTERS.index(letter) - LETTERS.index(USUAL[last])
    return base + (Fraction(size) - first) * FLAT_PER_SIZE + letters * FLAT_STEP


@dataclass(frozen=True, slots=True)
class LetterReading:
    """A width letter. letter: the nearest, "" beyond the scale. width: its own flat width, or girth, in mm.

    spare: by how much the letter is wider than the foot (negative: narrower). next_letter: the one a
    foot between two letters may need instead. how: what it was read from.
    """

    letter: str
    width: Fraction
    spare: Fraction
    next_letter: str
    how: str


def _nearest_letter(last: str, steps: Fraction) -> int:
    """Index of the letter `steps` from the usual one; a tie goes to the wider. Beyond the scale: -1."""
    index = int(LETTERS.index(USUAL[last]) + (steps + HALF) // 1)
    return index if 0 <= index < len(LETTERS) else -1


def letter_by_width(last: str, size: Length, width: Length) -> LetterReading:
    """The letter of a flat ball width at a US size already chosen; a tie goes to the wider letter.

    Source: `CHARTS`, through their rule (derived).
    """
    usual = chart_width(last, size, USUAL[last])
    return _reading(last, usual, Fraction(width), FLAT_STEP, "flat width, published charts")


def letter_by_girth(last: str, length: Length, girth: Length) -> LetterReading:
    """The letter of a ball girth: quarter inches from the middle of soldiers' feet of that length.

    No table of girth by size and letter is public. The middle girth (ANSUR II, fitted to foot length)
    stands for the usual letter here, 1/4 in for each further one. Derived; it shows a thick foot that
    the flat width hides.
    """
    middle = GIRTH_BY_LENGTH[last].at(Fraction(length))
    return _reading(last, middle, Fraction(girth), GIRTH_STEP, "girth, from the middle of ANSUR II (derived)")


def _reading(last: str, usual: Fraction, found: Fraction, step: Fraction, how: str) -> LetterReading:
    index = _nearest_letter(last, (found - usual) / step)
    if index < 0:
        return LetterReading("", found, Fraction(0), "", how)
    own = usual + (index - LETTERS.index(USUAL[last])) * step
    wider = own < found and index + 1 < len(LETTERS)
    return LetterReading(LETTERS[index], own, own - found, LETTERS[index + 1] if wider else "", how)


def wider_letter(*letters: str) -> str:
    """The widest of `letters`; "" where there is none."""
    return max((letter for letter in letters if letter), key=LETTERS.index, default="")


def girth_change(sizes: Length = 0, letters: int = 0) -> Fraction:
    """By how many mm the ball girth grows over `sizes` UK or US sizes and `letters` letters."""
    return (Fraction(sizes) + letters) * GIRTH_STEP


def eu_girth_change(sizes: Length) -> Fraction:
    """By how many mm the ball girth grows over `sizes` EU sizes, arithmetic grading."""
    return Fraction(sizes) * EU_GIRTH_STEP


@dataclass(frozen=True, slots=True)
class Step:
    """What another shoe of the same last changes, in mm; flat is None where the charts do not say."""

    length: Fraction
    girth: Fraction
    flat: Fraction | None


def us_step(sizes: Length, letters: int) -> Step:
    """The change over `sizes` UK or US sizes and `letters` letters. Source: as `GIRTH_STEP`, `FLAT_STEP`."""
    return Step(
        Fraction(sizes) * INCH / 3,
        girth_change(sizes, letters),
        Fraction(sizes) * FLAT_PER_SIZE + letters * FLAT_STEP,
    )


def eu_step(sizes: Length) -> Step:
    """The change over `sizes` EU sizes. Source: as `EU_GIRTH_STEP`; no chart of flat widths is public."""
    return Step(Fraction(sizes) * Fraction(20, 3), eu_girth_change(sizes), None)


def same_girth(size: Length, letter: str) -> tuple[tuple[Fraction, str], ...]:
    """Shoes of the same ball girth: one size up and one letter down, one size down and one letter up.

    Follows from `GIRTH_STEP` being that of a size and of a letter (derived). The longer one bends in
    another place: it is no way to get width.
    """
    index = LETTERS.index(letter)
    found = ((Fraction(size) + 1, index - 1), (Fraction(size) - 1, index + 1))
    return tuple((s, LETTERS[i]) for s, i in found if 0 <= i < len(LETTERS))


MISFITS = (
    ("any inequality", Fraction(0)),
    ("4 mm", Fraction(4)),
    ("7 mm", Fraction(7)),
)
"""From where on studies counted a width as a misfit. Source: width review, abstract (16 studies)."""


def misfits(overhang: Length) -> tuple[str, ...]:
    """The limits that a foot passes which is `overhang` mm wider than the shoe; empty where it is not."""
    over = Fraction(overhang)
    return tuple(name for name, limit in MISFITS if over > 0 and over >= limit)


UK_WOMEN = ("A", "B", "C", "D", "E", "F", "G")
"""UK women's fittings, D the usual one. Source: Rossi 2000, p. 202, as quoted."""
UK_MEN_USUAL, UK_MEN = 4, range(1, 9)
"""UK men's fittings 1 to 8, 4 the usual one. Source: as `UK_WOMEN`; other pages call F, or G, standard."""


def uk_women_fitting(us_letter: str) -> str:
    """The UK letter two further on than the US one (UK A is about US AAA); "" outside A to G.

    Source: Rossi 2000, p. 202, as quoted.
    """
    names = ("AAA", "AA", "A", "B", "C", "D", "E")
    return UK_WOMEN[names.index(us_letter)] if us_letter in names else ""


def uk_men_fitting(us_letter: str) -> int | None:
    """The UK number as many steps from 4 as the US letter is from D; None outside 1 to 8.

    Usual set beside usual, steps alike (1/4 in of girth). Derived from Rossi 2000, p. 202, as quoted.
    """
    number = UK_MEN_USUAL + LETTERS.index(us_letter) - LETTERS.index(USUAL[MEN])
    return number if number in UK_MEN else None
