"""A shop's or brand's own chart: what the shoes of its stock measure inside, by marked size and width.

Marked sizes vary between makers; millimetres inside do not. The file is CSV with a header line:

    size,width,inner_length_mm,inner_width_mm,toe_depth_mm
    42,G,275,101,27

`width` may be left empty where a model comes in one width, `toe_depth_mm` may be left out. Sizes are
plain numbers, with a half or third where the maker marks one (42.5, 8½, 42 2/3). The chart is refused,
with its line, where it has a gap or an overlap: a wrong chart puts a shoe on the wrong foot.
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from toeroom.errors import BadInput, nearest, one_line
from toeroom.measures.plausibility import slips
from toeroom.measures.toe_room import GUIDELINE
from toeroom.vocabulary import Vocabulary
from toeroom.yamltree import read_text

NEEDED = ("size", "width", "inner_length_mm", "inner_width_mm")
DEPTH = "toe_depth_mm"
MEASURED_AS = {
    "inner_length_mm": "shoe_inner_length_mm",
    "inner_width_mm": "shoe_inner_width_mm",
    "toe_depth_mm": "shoe_toe_depth_mm",
}
"""The vocabulary's measure of which a column is one, for what is accepted."""
LARGEST_STEP = GUIDELINE.most - GUIDELINE.least
"""A larger jump of inside length leaves feet for which no shoe of the run has the room: a gap."""
LARGEST_CHART = 200_000
_FRACTIONS = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4"}


@dataclass(frozen=True, slots=True)
class Shoe:
    """One line of the chart. size: the mark as a number; lengths in mm; toe_depth None where not given."""

    size: Fraction
    marked: str
    width: str
    inner_length: Fraction
    inner_width: Fraction
    toe_depth: Fraction | None
    line: int

    @property
    def name(self) -> str:
        """The shoe as it is asked for: `42 G`."""
        return f"{self.marked} {self.width}".strip()


@dataclass(frozen=True, slots=True)
class StockChart:
    """All shoes of a chart, by width and size. `name` is the file as faults call it."""

    name: str
    shoes: tuple[Shoe, ...]


def read_chart(path: str | os.PathLike[str], vocabulary: Vocabulary) -> StockChart:
    """The chart in the file at `path`; `BadInput` names the line of what is wrong."""
    return parse_chart(read_text(path, largest=LARGEST_CHART), vocabulary, name=str(path))


def parse_chart(text: str, vocabulary: Vocabulary, *, name: str = "chart") -> StockChart:
    """The chart that a CSV `text` states."""
    reader = _Reader(vocabulary, name)
    shoes = reader.shoes(text)
    _unique(shoes, name)
    for run in _runs(shoes):
        _grows(run, name)
    _widths_in_order(shoes, name)
    return StockChart(name, tuple(shoes))


class _Reader:
    """Turns lines into shoes; every fault names the file and the line."""

    def __init__(self, vocabulary: Vocabulary, file: str) -> None:
        self.vocabulary, self.file = vocabulary, file

    def fault(self, what: str, line: int, mend: str) -> BadInput:
        return BadInput(one_line(what), file=self.file, line=line, mend=mend)

    def shoes(self, text: str) -> list[Shoe]:
        rows = csv.reader(io.StringIO(text, newline=""), strict=True)
        columns: list[str] = []
        found: list[Shoe] = []
        try:
            for row in rows:
                cells = [cell.strip() for cell in row]
                if not any(cells):
                    continue
                if not columns:
                    columns = self.columns(cells, rows.line_num)
                else:
                    found.append(self.shoe(columns, cells, rows.line_num))
        except csv.Error as error:
            raise self.fault(
                f"is not CSV ({error})", rows.line_num, "save the sheet as comma-separated text"
            ) from None
        if not found:
            raise self.fault("the chart holds no shoe", 1, f"begin with '{','.join((*NEEDED, DEPTH))}'")
        return found

    def columns(self, cells: list[str], line: int) -> list[str]:
        known = (*NEEDED, DEPTH)
        if len(cells) == 1 and re.search(r"[;\t]", cells[0]):
            raise self.fault("the columns are not separated by commas", line, "save it with commas")
        for cell in cells:
            if cell not in known:
                other = re.fullmatch(
                    r"(inner_length|inner_width|toe_depth)_?(cm|in|inch|inches)?", cell.lower()
                )
                mend = f"give it in millimetres, '{other[1]}_mm'" if other else nearest(cell, known)
                raise self.fault(f"'{cell[:40]}' is not a column", line, mend or f"use {', '.join(known)}")
            if cells.count(cell) > 1:
                raise self.fault(f"the column '{cell}' is there twice", line, "leave one")
        for cell in NEEDED:
            if cell not in cells:
                raise self.fault(
                    f"the column '{cell}' is missing", line, f"begin with '{','.join((*NEEDED, DEPTH))}'"
                )
        return cells

    def shoe(self, columns: list[str], cells: list[str], line: int) -> Shoe:
        if len(cells) != len(columns):
            mend = "one value for each column, decimals with a point"
            raise self.fault(f"has {len(cells)} values for {len(columns)} columns", line, mend)
        row = dict(zip(columns, cells, strict=True))
        depth = row.get(DEPTH, "")
        return Shoe(
            self.size(row["size"], line),
            row["size"],
            self.width(row["width"], line),
            self.length("inner_length_mm", row["inner_length_mm"], line),
            self.length("inner_width_mm", row["inner_width_mm"], line),
            self.length(DEPTH, depth, line) if depth else None,
            line,
        )

    def size(self, text: str, line: int) -> Fraction:
        plain = text
        for sign, written in _FRACTIONS.items():
            plain = plain.replace(sign, f" {written}")
        found = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,2})?)?(?: ?([1-3])/([234]))?", plain.strip())
        if not found or not plain.strip() or (found[2] and ("." in plain or int(found[2]) >= int(found[3]))):
            raise self.fault(
                f"the size cannot be '{text[:20]}'", line, "a number such as 42, 42.5, 8½ or 42 2/3"
            )
        share = Fraction(int(found[2]), int(found[3])) if found[2] else Fraction(0)
        return Fraction(found[1] or 0) + share

    def width(self, text: str, line: int) -> str:
        if not re.fullmatch(r"[A-Za-z0-9+/ -]{0,12}", text):
            mend = "letters and figures as on the box, at most 12, or nothing"
            raise self.fault(f"the width cannot be '{text[:20]}'", line, mend)
        return text

    def length(self, column: str, text: str, line: int) -> Fraction:
        measure = self.vocabulary.measures[MEASURED_AS[column]]
        if not re.fullmatch(r"[0-9]{1,4}(\.[0-9]{1,4})?", text):
            mend = f"a plain number in mm, {measure.low} to {measure.high}, decimals with a point"
            raise self.fault(f"'{column}' cannot be '{text[:20]}'", line, mend)
        value = Decimal(text)
        if not measure.low <= value <= measure.high:
            guesses = "".join(
                f"; {text} {unit} would be {float(mm):g} mm"
                for unit, mm in slips(value, measure.low, measure.high)
            )
            raise self.fault(
                f"'{column}' {text} is out of range", line, f"{measure.low} to {measure.high} mm{guesses}"
            )
        return Fraction(value)


def _unique(shoes: Iterable[Shoe], file: str) -> None:
    seen: dict[tuple[Fraction, str], Shoe] = {}
    for shoe in shoes:
        first = seen.setdefault((shoe.size, shoe.width), shoe)
        if first is not shoe:
            raise BadInput(
                f"{shoe.name} is there twice", file=file, line=shoe.line, mend=f"see line {first.line}"
            )


def _runs(shoes: Iterable[Shoe]) -> list[list[Shoe]]:
    """The shoes of each width, by size."""
    runs: dict[str, list[Shoe]] = {}
    for shoe in shoes:
        runs.setdefault(shoe.width, []).append(shoe)
    return [sorted(run, key=lambda shoe: shoe.size) for run in runs.values()]


def _grows(run: Sequence[Shoe], file: str) -> None:
    for smaller, larger in pairwise(run):
        step = larger.inner_length - smaller.inner_length
        if step <= 0:
            what = f"{larger.name} is no longer inside than {smaller.name}: the two overlap"
            raise BadInput(what, file=file, line=larger.line, mend="measure both again")
        if step > LARGEST_STEP:
            what = f"a gap of {float(step):g} mm between {smaller.name} and {larger.name}"
            mend = f"a step over {float(LARGEST_STEP):g} mm leaves feet without a shoe: add the sizes between"
            raise BadInput(what, file=file, line=larger.line, mend=mend)
        if larger.inner_width < smaller.inner_width:
            what = f"{larger.name} is narrower inside than {smaller.name}"
            raise BadInput(what, file=file, line=larger.line, mend="measure both again")


def _widths_in_order(shoes: Iterable[Shoe], file: str) -> None:
    """No two widths of a size are alike, and what is wider in one size is not narrower in another."""
    by_size: dict[Fraction, list[Shoe]] = {}
    for shoe in shoes:
        by_size.setdefault(shoe.size, []).append(shoe)
    wider: dict[tuple[str, str], Shoe] = {}
    for row in by_size.values():
        ordered = sorted(row, key=lambda shoe: shoe.inner_width)
        for index, narrow in enumerate(ordered):
            for wide in ordered[index + 1 :]:
                if wide.inner_width == narrow.inner_width:
                    what = f"{narrow.name} and {wide.name} are equally wide inside: the two overlap"
                    raise BadInput(what, file=file, line=wide.line, mend="measure both again")
                if (wide.width, narrow.width) in wider:
                    other = wider[wide.width, narrow.width]
                    what = (
                        f"{wide.name} is wider than {narrow.name}, and in size {other.marked} it is narrower"
                    )
                    raise BadInput(what, file=file, line=wide.line, mend="measure them again")
                wider[narrow.width, wide.width] = wide


@dataclass(frozen=True, slots=True)
class FootNeeds:
    """What a foot asks of a shoe, in mm. fit_length: the longer of toe- and ball-implied length."""

    side: str
    length: Fraction
    fit_length: Fraction
    width: Fraction | None = None
    depth: Fraction | None = None


@dataclass(frozen=True, slots=True)
class FootInShoe:
    """How a foot sits in a shoe, in mm. width_spare, depth_spare: negative where the foot is larger."""

    side: str
    shoe: Shoe
    room: Fraction
    width_spare: Fraction | None
    depth_spare: Fraction | None
    bends_at_ball: bool

    @property
    def fits(self) -> bool:
        """Room of 10 to 20 mm, and neither width nor depth short where they are known."""
        spare = [value for value in (self.width_spare, self.depth_spare) if value is not None]
        return GUIDELINE.verdict(self.room) == "fits" and all(value >= 0 for value in spare)

    @property
    def misses(self) -> tuple[str, ...]:
        """What is wrong, each with its millimetres."""
        found = []
        if self.room < GUIDELINE.least:
            found.append(f"{_mm(GUIDELINE.least - self.room)} too short")
        if self.room > GUIDELINE.most:
            found.append(f"{_mm(self.room - GUIDELINE.most)} too long")
        if self.width_spare is not None and self.width_spare < 0:
            found.append(f"{_mm(-self.width_spare)} too narrow")
        if self.depth_spare is not None and self.depth_spare < 0:
            found.append(f"{_mm(-self.depth_spare)} too shallow")
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Pick:
    """The shoe for each foot. pair: one shoe serves all feet. found: each foot's shoe fits it.

    Where nothing fits, `feet` are those of the shoe that misses by least.
    """

    chart: str
    pair: bool
    found: bool
    feet: tuple[FootInShoe, ...]
    notes: tuple[str, ...]


def sit(foot: FootNeeds, shoe: Shoe) -> FootInShoe:
    """How `foot` sits in `shoe`."""
    return FootInShoe(
        foot.side,
        shoe,
        shoe.inner_length - foot.length,
        None if foot.width is None else shoe.inner_width - foot.width,
        None if foot.depth is None or shoe.toe_depth is None else shoe.toe_depth - foot.depth,
        shoe.inner_length - foot.fit_length >= GUIDELINE.least,
    )


def pick(chart: StockChart, feet: Sequence[FootNeeds], *, two_sizes: bool = False) -> Pick:
    """The shoe of the chart that fits every foot; a shoe for each where `two_sizes`, or where none fits all.

    Of those that fit: one that bends at the ball before one that does not, room within the narrower
    band (10 to 15 mm) before more, then the least width to spare, then the least room.
    """
    if not two_sizes:
        best = min(chart.shoes, key=lambda shoe: _order([sit(foot, shoe) for foot in feet]))
        sitting = tuple(sit(foot, best) for foot in feet)
        if all(foot.fits for foot in sitting) or len(feet) == 1:
            return Pick(chart.name, True, all(f.fits for f in sitting), sitting, _notes(sitting, feet))
    each = tuple(
        min((sit(foot, shoe) for shoe in chart.shoes), key=lambda sitting: _order([sitting])) for foot in feet
    )
    together = len({foot.shoe.line for foot in each}) == 1
    notes = _notes(each, feet)
    if not two_sizes and not together:
        notes = ("no one shoe of this chart fits both feet: a shoe for each", *notes)
    return Pick(chart.name, together, all(foot.fits for foot in each), each, notes)


def _order(sitting: Sequence[FootInShoe]) -> tuple[Fraction | int, ...]:
    """What makes one shoe better than another: first how far it misses, then how well it serves."""
    missed = sum((_missing(foot) for foot in sitting), Fraction(0))
    bends = all(foot.bends_at_ball for foot in sitting)
    wide = sum((foot.width_spare or Fraction(0) for foot in sitting), Fraction(0))
    least = min(foot.room for foot in sitting)
    return missed, not bends, least > 15, wide, sum((foot.room for foot in sitting), Fraction(0))


def _missing(foot: FootInShoe) -> Fraction:
    room = max(GUIDELINE.least - foot.room, foot.room - GUIDELINE.most, Fraction(0))
    spare = (foot.width_spare, foot.depth_spare)
    return room + sum((-value for value in spare if value is not None and value < 0), Fraction(0))


def _notes(sitting: Sequence[FootInShoe], feet: Sequence[FootNeeds]) -> tuple[str, ...]:
    found = []
    for foot, needs in zip(sitting, feet, strict=True):
        if foot.misses:
            found.append(f"{foot.side}: {foot.shoe.name} is {', '.join(foot.misses)}")
        elif not foot.bends_at_ball:
            found.append(f"{foot.side}: may bend behind the ball, which lies far forward; see it in walking")
        if foot.depth_spare == 0:
            found.append(f"{foot.side}: the depth just equals toe and insert: see that the toes can move")
        if needs.width is None:
            found.append(f"{foot.side}: ball width not measured, so the width is not judged")
        if needs.depth is None:
            found.append(f"{foot.side}: toe height or insert not measured, so the depth is not judged")
        elif foot.shoe.toe_depth is None:
            found.append(f"{foot.side}: the chart gives no toe depth, so the depth is not judged")
    return tuple(found)


def _mm(value: Fraction) -> str:
    return f"{float(round(value, 1)):g} mm"
