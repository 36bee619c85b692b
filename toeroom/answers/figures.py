"""Numbers that are measures of the vocabulary: which one, on which foot, in its own unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from toeroom.answers.attributing import Memory
from toeroom.answers.clauses import Sentence
from toeroom.answers.lexicon import Lexicon, Meaning
from toeroom.answers.patterns import SKIPPED, Hit
from toeroom.answers.quantities import DAYS_PER_MONTH, MM_PER_INCH, UNITS, Quantity, find_quantities
from toeroom.answers.sides import BOTH, LEFT, OPPOSITE, PERSON, RIGHT, UNSAID, SideHit
from toeroom.vocabulary import Measure, Vocabulary

_LOOSE = {"ankle", "toe", "arm", "skin", "brachial"}
"""Words that name a measure only beside its unit."""
_PRESSURE_WORDS = {"tp", "ap", "pressure", "systolic", "bp", "press", "brachial"}
_TIMES = {"month": Fraction(1), "year": Fraction(12), "week": 7 / DAYS_PER_MONTH, "day": 1 / DAYS_PER_MONTH}
_NOT_A_LEG = {"shoe", "boot", "trainer", "too", "slipper", "pair", "already", "existing", "toe", "last"}
_NO_WARMTH = {
    "dorsiflexion", "ankle", "equinus", "bend", "wedge", "rocker", "angle", "warmer", "colder",
    "difference",
}  # fmt: skip
_BETWEEN = {
    ",",
    "/",
    "and",
    "is",
    "of",
    "=",
    ":",
    ";",
    "both",
    "foot",
    "on",
    "now",
    "about",
    "at",
    "measures",
    "&",
}
_LETTER = {"l": LEFT, "r": RIGHT, "lt": LEFT, "rt": RIGHT, "left": LEFT, "right": RIGHT}
_CORRECTIONS = {
    "no", "sorry", "correction", "i mean", "make that", "rather", "actually", "should read", "corrected to",
    "correct to", "no sorry", "sorry no",
}  # fmt: skip
_FEVER_FROM = Fraction(375, 10)
_SITES = 10


@dataclass(frozen=True, slots=True)
class Figure:
    """A measure in a sentence: tokens `start` to `end`, `value` in the unit of `id`."""

    id: str
    side: str
    value: float
    start: int
    end: int


class Figures:
    """Reads the measures of a text, sentence by sentence; a label holds on into the next one."""

    def __init__(self, vocabulary: Vocabulary, lexicon: Lexicon) -> None:
        self.vocabulary, self.lexicon = vocabulary, lexicon
        self.carried: list[Meaning] = []
        self.pressures = False

    def read(
        self, sentence: Sentence, sides: Sequence[SideHit], memory: Memory, header: str, refers_back: bool
    ) -> list[Figure]:
        """The measures of `sentence`."""
        labels = self._labels(sentence)
        quantities = find_quantities(sentence.tokens, sentence.stems)
        found: list[Figure] = []
        waiting: Quantity | None = None
        for quantity in quantities:
            if quantity.unit in {"other", "clock", "range", "foot"} or quantity.start == 0 == len(
                sentence.tokens
            ):
                continue
            if sentence.stems[quantity.start - 1 : quantity.start] == ["not"]:
                # "Not 20 mm as I first wrote but 12".
                continue
            if found and self._is_corrected(sentence, quantity):
                found[-1:] = self._corrected(found[-1], quantity)
                continue
            candidates = self._candidates(sentence, quantity, quantities, labels)
            if not candidates and found and self._is_bare(sentence, quantity):
                candidates = [(Meaning(found[-1].id, "label"), quantity.start, quantity.end)]
            if quantity.unit in {"c", "f", "degree"}:
                candidates = self._of_warmth(sentence, quantity, candidates, sides)
            before, waiting = waiting, None
            if not candidates and self._is_bare(sentence, quantity):
                waiting = quantity
            for meaning, first, last in candidates:
                found_here = self._figures(
                    sentence, quantity, quantities, meaning, sides, memory, refers_back
                )
                if found_here:
                    start, end = min(first, quantity.start), max(last, quantity.end)
                    if before is not None and before.unit == quantity.unit:
                        # "L 25 cm, R 25.4 cm long": the label behind the second names both.
                        found += self._figures(
                            sentence, before, quantities, meaning, sides, memory, refers_back
                        )
                    found += [Figure(f.id, f.side, f.value, start, end) for f in found_here]
                    break
        named = [
            h.meaning
            for h in labels
            if h.meaning.role == "label" and not _only_loose(sentence, h.start, h.end)
        ]
        self.pressures = bool(_PRESSURE_WORDS & set(sentence.stems)) or any(
            q.unit == "mmhg" for q in quantities
        )
        self.carried = named or (self.carried if not sentence.tokens else [])
        return found

    def _of_warmth(
        self,
        sentence: Sentence,
        quantity: Quantity,
        candidates: Sequence[tuple[Meaning, int, int]],
        sides: Sequence[SideHit],
    ) -> list[tuple[Meaning, int, int]]:
        """A temperature is the skin's where a foot is spoken of, or both are: "L 29.6 C, R 33.1 C"."""
        named = [c for c in candidates if c[0].id == "skin_temp_c"]
        paired = {LEFT, RIGHT} <= {s.side for s in sides} and quantity.unit in {"c", "f"}
        if named or not (self._is_warmth(sentence) or paired):
            return named
        return [(Meaning("skin_temp_c", "label"), quantity.start, quantity.end)]

    def _is_corrected(self, sentence: Sentence, quantity: Quantity) -> bool:
        """ "Girth 24.5 cm L, no, 24.9": a number that takes the place of the last one."""
        start, end = sentence.bounds(quantity.start)
        before = sentence.stems[start : quantity.start] or sentence.stems[max(0, start - 2) : start - 1]
        return " ".join(before) in _CORRECTIONS and end - quantity.end <= 1

    def _corrected(self, figure: Figure, quantity: Quantity) -> list[Figure]:
        measure = self.vocabulary.measures[figure.id]
        value = in_unit_of(measure, quantity, felt=False)
        if value is None:
            return [figure]
        return [Figure(figure.id, figure.side, _plain(value), figure.start, quantity.end)]

    def _is_bare(self, sentence: Sentence, quantity: Quantity) -> bool:
        """Whether a clause is only a side and a number with its unit: "L 26 cm long, R 26.4 cm"."""
        start, end = sentence.bounds(quantity.start)
        rest = [*sentence.stems[start : quantity.start], *sentence.stems[quantity.end : end]]
        sided = any(w in _LETTER for w in rest)
        return sided and bool(quantity.unit) and all(w in _LETTER or w in {"=", "foot", "the"} for w in rest)

    def _labels(self, sentence: Sentence) -> list[Hit[Meaning]]:
        hits = self.lexicon.measures.find(sentence.tokens, sentence.stems)
        return [h for h in hits if not any(o.covers(h) and _takes(o, h) for o in hits)]

    def _candidates(
        self,
        sentence: Sentence,
        quantity: Quantity,
        quantities: Sequence[Quantity],
        labels: Sequence[Hit[Meaning]],
    ) -> list[tuple[Meaning, int, int]]:
        """The measures that `quantity` may be one of, likeliest first, each with the tokens of its label."""
        behind = self._behind(sentence, quantity, quantities, labels)
        if any(h.meaning.role == "other" for h in behind):
            return []
        after = [h for h in behind if h.meaning.role == "after" and self._fits_after(sentence, h, quantity)]
        plain = [h for h in behind if h.meaning.role in {"label", "felt"}]
        before, blocked = self._before(sentence, quantity, quantities, labels)
        if blocked:
            ranked = after
        elif before and self._touches(sentence, before[0], quantity):
            counts = [h for h in plain if before[0].meaning.role == "felt"]
            ranked = [*counts, *before, *after, *self._around(sentence, quantity, labels)]
        else:
            ranked = [*after, *before, *self._around(sentence, quantity, labels), *plain]
        chosen = [(h.meaning, h.start, h.end) for h in ranked]
        if not labels and self._carries_on(sentence, quantity):
            chosen += [(m, quantity.start, quantity.end) for m in self.carried]
        return [c for c in chosen if not self._is_loose(sentence, c, quantity, quantities)]

    def _behind(
        self,
        sentence: Sentence,
        quantity: Quantity,
        quantities: Sequence[Quantity],
        labels: Sequence[Hit[Meaning]],
    ) -> list[Hit[Meaning]]:
        """Labels close behind a number, in its clause and before the next number."""
        _, end = sentence.bounds(quantity.start)
        stop = min([q.start for q in quantities if q.start > quantity.start] + [end])
        first = quantity.end - (quantity.unit == "site")
        return [
            h for h in labels if first <= h.start < stop and self._gap(sentence, quantity.end, h.start) <= 2
        ]

    def _before(
        self,
        sentence: Sentence,
        quantity: Quantity,
        quantities: Sequence[Quantity],
        labels: Sequence[Hit[Meaning]],
    ) -> tuple[list[Hit[Meaning]], bool]:
        """Labels before a number, the nearest first; True where the nearest says that it is no measure."""
        found: list[Hit[Meaning]] = []
        earlier = [h for h in labels if h.end <= quantity.start and h.meaning.role != "after"]
        for hit in sorted(earlier, key=lambda h: (-h.end, h.start)):
            if hit.meaning.role == "other":
                return found, not found
            if hit.phrase.startswith("short") and set(sentence.stems[: hit.start]) & _NOT_A_LEG:
                continue
            if quantity.unit or self._leads_to(sentence, hit, quantity, quantities):
                found.append(hit)
        return found, False

    def _leads_to(
        self, sentence: Sentence, hit: Hit[Meaning], quantity: Quantity, quantities: Sequence[Quantity]
    ) -> bool:
        """Whether a bare number still belongs to a label: only sides and other numbers stand between."""
        counted = {i for q in quantities for i in range(q.start, q.end)}
        between = [sentence.stems[i] for i in range(hit.end, quantity.start) if i not in counted]
        return sum(w not in SKIPPED and w not in _BETWEEN for w in between) <= 1

    def _touches(self, sentence: Sentence, hit: Hit[Meaning], quantity: Quantity) -> bool:
        """Whether a label stands directly before a number: "liner 97 mm at the ball" is the liner's."""
        return self._gap(sentence, hit.end, quantity.start) <= (1 if hit.meaning.role == "felt" else 0)

    def _around(
        self, sentence: Sentence, quantity: Quantity, labels: Sequence[Hit[Meaning]]
    ) -> list[Hit[Meaning]]:
        """Labels that a number stands inside: "left leg half an inch shorter"."""
        inside = [h for h in labels if h.start < quantity.start and quantity.end < h.end]
        shoe = bool(set(sentence.stems[: quantity.end]) & _NOT_A_LEG) and "leg" not in sentence.stems
        return [h for h in inside if not (shoe and h.meaning.id == "leg_difference_mm")]

    def _is_warmth(self, sentence: Sentence) -> bool:
        words = set(sentence.stems)
        bent = words & _NO_WARMTH
        return bool(words & {"foot", "skin", "sole", "toe", "temp", "midfoot"}) and not bent

    def _carries_on(self, sentence: Sentence, quantity: Quantity) -> bool:
        """Whether a sentence without a label goes on with the last one's: "Ball width R 98. L 101." """
        first = next((w for w in sentence.stems if w not in {"the", "("}), "")
        worn = {"worn", "old", "used", "use"} & set(sentence.stems)
        return (
            len(sentence.tokens) <= 12
            and (first in {*_LETTER, "both"} or (bool(worn) and quantity.unit in _TIMES))
            and not {"shoe", "ulcer", "wound", "wear", "take"} & set(sentence.stems)
        )

    def _fits_after(self, sentence: Sentence, hit: Hit[Meaning], quantity: Quantity) -> bool:
        """ "10 mm short" is a leg's unless a shoe is spoken of, and "too short" never is."""
        start, _ = sentence.bounds(quantity.start)
        words = set(sentence.stems[start : hit.end])
        if hit.meaning.id == "leg_difference_mm":
            if hit.phrase in {"difference", "longer"} and not {"leg", "lld", "limb"} & set(sentence.stems):
                return False
            return not words & _NOT_A_LEG and bool(quantity.unit)
        if hit.meaning.id == "toe_height_mm":
            return bool(quantity.unit) and bool(words & {"toe", "hallux", "knuckle", "hammertoe"})
        if hit.meaning.id in {"foot_length_mm", "ball_width_mm"} and hit.phrase in {"long", "wide"}:
            return bool(quantity.unit) and not words & {
                "shoe",
                "inside",
                "boot",
                "insert",
                "liner",
                "heel",
                "nail",
                "lace",
                "too",
                "wound",
                "ulcer",
                "callus",
            }
        if hit.meaning.id == "shoe_toe_depth_mm":
            return bool(words & {"box", "shoe", "toebox"}) or "box" in sentence.stems
        if hit.meaning.id == "insert_thickness_mm":
            return hit.start - quantity.end <= 2
        return True

    def _is_loose(
        self,
        sentence: Sentence,
        candidate: tuple[Meaning, int, int],
        quantity: Quantity,
        quantities: Sequence[Quantity],
    ) -> bool:
        meaning, start, end = candidate
        if not _only_loose(sentence, start, end):
            return False
        if meaning.id == "skin_temp_c":
            return quantity.unit not in {"c", "f"}
        if quantity.unit == "mmhg":
            return False
        told = (
            self.pressures
            or any(q.unit == "mmhg" for q in quantities)
            or bool(_PRESSURE_WORDS & set(sentence.stems))
        )
        return bool(quantity.unit) or not told

    def _figures(
        self,
        sentence: Sentence,
        quantity: Quantity,
        quantities: Sequence[Quantity],
        meaning: Meaning,
        sides: Sequence[SideHit],
        memory: Memory,
        refers_back: bool,
    ) -> list[Figure]:
        measure = self.vocabulary.measures[meaning.id]
        place = (quantity.start, quantity.end)
        if measure.unit != "sites" and quantity.of is not None:
            return self._pair(sentence, quantity, measure, sides)
        value = in_unit_of(measure, quantity, felt=meaning.role == "felt")
        if value is None:
            return []
        side = PERSON
        if measure.scope == "foot":
            side = self._side(sentence, quantity, quantities, sides, memory, refers_back)
        if measure.id == "skin_temp_c" and side == UNSAID and value >= _FEVER_FROM:
            return []
        return [Figure(meaning.id, side, _plain(value), *place)]

    def _pair(
        self, sentence: Sentence, quantity: Quantity, measure: Measure, sides: Sequence[SideHit]
    ) -> list[Figure]:
        """ "L/R 262/258", "31.2/29.0 L/R": two values in the order of the two sides."""
        order = _order_of_sides(sentence.stems, quantity)
        single = [s.side for s in sides if s.side in OPPOSITE and s.end <= quantity.start]
        if order is None and single[:2] in ([LEFT, RIGHT], [RIGHT, LEFT]):
            order = (single[0], single[1])
        if order is None or measure.scope != "foot" or quantity.of is None:
            return []
        found = []
        for side, number in zip(order, (quantity.value, quantity.of), strict=True):
            value = in_unit_of(measure, Quantity(0, 0, number, quantity.unit), felt=False)
            if value is None:
                return []
            found.append(Figure(measure.id, side, _plain(value), quantity.start, quantity.end))
        return found

    def _side(
        self,
        sentence: Sentence,
        quantity: Quantity,
        quantities: Sequence[Quantity],
        sides: Sequence[SideHit],
        memory: Memory,
        refers_back: bool,
    ) -> str:
        start, end = sentence.bounds(quantity.start)
        here = [s for s in sides if start <= s.start < end]
        peers = [q for q in quantities if start <= q.start < end]
        if len(here) == 1:
            return (
                OPPOSITE[here[0].side]
                if _is_held_against(sentence, quantity, peers, here[0])
                else here[0].side
            )
        if here:
            before = [s for s in here if s.end <= quantity.start]
            after = [s for s in here if s.start >= quantity.end]
            if here[0].start < peers[0].start:
                return (before[-1] if before else here[0]).side
            return (after[0] if after else here[-1]).side
        if len(peers) > 1 and quantity.unit == "" and "and" in sentence.stems[peers[0].end : peers[-1].start]:
            return UNSAID
        number = sentence.segment_of(quantity.start)
        for later in range(number + 1, len(sentence.segments)):
            first, last, _ = sentence.segments[later]
            if any(first <= q.start < last for q in quantities):
                break
            named = [s for s in sides if first <= s.start < last]
            split = {s.side for s in sides if s.start >= quantity.end} >= {LEFT, RIGHT}
            if named and not split and not any(s.end <= quantity.start for s in sides):
                return named[0].side
        earlier = [s for s in sides if s.end <= quantity.start]
        semicolon = max((i for i in range(quantity.start) if sentence.stems[i] == ";"), default=-1)
        if {LEFT, RIGHT} <= {s.side for s in earlier} and 0 <= earlier[-1].start < semicolon:
            return BOTH
        if earlier:
            return earlier[-1].side
        if memory.header:
            return memory.header
        if sides and sides[-1].start > quantities[-1].start and len({s.side for s in sides}) == 1:
            return sides[-1].side
        if sides and sides[-1].side == BOTH:
            return BOTH
        return (memory.last_sided or UNSAID) if refers_back else UNSAID

    def _gap(self, sentence: Sentence, start: int, end: int) -> int:
        return sum(w not in SKIPPED and w not in OPPOSITE for w in sentence.stems[start:end])


def _order_of_sides(stems: Sequence[str], quantity: Quantity) -> tuple[str, str] | None:
    """Left and right, or right and left, as "L/R" nearest to a pair of numbers tells; None without it."""
    spots = [
        (min(abs(i - quantity.end), abs(quantity.start - i)), i)
        for i in range(1, len(stems) - 1)
        if stems[i] in {"/", "and", "+", "&"} and {stems[i - 1], stems[i + 1]} <= set(_LETTER)
    ]
    spots = [(gap, i) for gap, i in spots if _LETTER[stems[i - 1]] != _LETTER[stems[i + 1]]]
    if not spots:
        return None
    first = _LETTER[stems[min(spots)[1] - 1]]
    return first, OPPOSITE[first]


def _is_held_against(
    sentence: Sentence, quantity: Quantity, peers: Sequence[Quantity], side: SideHit
) -> bool:
    """ "34.6 against 31.5 on the right": the first number is the other foot's."""
    if len(peers) != 2 or quantity is not peers[0] or side.start < peers[1].end or side.side not in OPPOSITE:
        return False
    return bool({"against", "versus", "vs"} & set(sentence.stems[quantity.end : peers[1].start]))


def _takes(longer: Hit[Meaning], hit: Hit[Meaning]) -> bool:
    """A label with a gap, or that begins with a unit, takes only words of its own measure."""
    loose = "~" in longer.phrase or longer.phrase.split()[0] in UNITS
    return not loose or longer.meaning.id == hit.meaning.id


def _only_loose(sentence: Sentence, start: int, end: int) -> bool:
    words = [w for w in sentence.stems[start:end] if w not in SKIPPED]
    return len(words) == 1 and words[0] in _LOOSE


def in_unit_of(measure: Measure, quantity: Quantity, *, felt: bool) -> Fraction | None:
    """`quantity` in the unit of `measure`; None where the units do not fit or the value is out of range.

    A length without a unit is taken as millimetres or centimetres where only one of them is in
    range. `felt` counts sites that were felt: the missed ones are the rest of ten.
    """
    value = _converted(measure, quantity, felt)
    if value is None or not Fraction(measure.low) <= value <= Fraction(measure.high):
        return None
    return value


def _converted(measure: Measure, quantity: Quantity, felt: bool) -> Fraction | None:
    value, unit = quantity.value, quantity.unit
    if measure.unit == "sites":
        return _sites(quantity, felt)
    if felt or quantity.of is not None:
        return None
    if measure.unit == "mm":
        if unit == "" and value.denominator in {4, 8, 16, 32}:
            return None
        if unit == "":
            fits = [v for v in (value, value * 10) if Fraction(measure.low) <= v <= Fraction(measure.high)]
            if not fits and quantity.perhaps_inches:
                return value * MM_PER_INCH
            return fits[0] if len(fits) == 1 and value else None
        factor = {"mm": Fraction(1), "cm": Fraction(10), "inch": MM_PER_INCH}.get(unit)
        return None if factor is None else value * factor
    if measure.unit == "°C":
        if unit == "f" or (unit in {"", "degree"} and value > 59):
            return (value - 32) * 5 / 9
        return value if unit in {"", "c", "degree"} else None
    if measure.unit == "mmHg":
        return value if unit in {"", "mmhg"} else None
    if measure.unit == "months":
        return value * _TIMES[unit] if unit in _TIMES else None
    return None


def _sites(quantity: Quantity, felt: bool) -> Fraction | None:
    if quantity.unit not in {"", "site"} or quantity.value.denominator != 1:
        return None
    if quantity.of not in {None, Fraction(_SITES)}:
        return None
    if felt:
        return None if quantity.of is None else _SITES - quantity.value
    return quantity.value


def _plain(value: Fraction) -> float:
    return round(float(value), 4)
