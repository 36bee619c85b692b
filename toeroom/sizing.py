"""From the measurements of both feet to a size: one report that text, JSON and pictures show.

The longer foot decides, and on a foot the longer of toe- and ball-implied length. Where systems,
scales or allowances disagree, all are in the report and the disagreement is said. A report names the
first shoe to try; the room in the shoe decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from toeroom.errors import BadInput
from toeroom.measured_feet import LAST_OF_SYSTEM, Feet
from toeroom.measures import ball, depth, toe_room, widths
from toeroom.measures.lengths import FULL_SIZE
from toeroom.measures.plausibility import doubts
from toeroom.measures.populations import LASTS, SPREADS, WOMEN, Usual, usual_at, z_score
from toeroom.measures.sizes import (
    RULES,
    SYSTEMS,
    SizeRule,
    below_adult_scale,
    rules_of,
    size_in_words,
)
from toeroom.stock_chart import FootNeeds, Pick, StockChart, pick
from toeroom.vocabulary import SIDES

MUCH_UNLIKE = Fraction(3, 2)
"""Sizes between two feet from which trade pages call the difference substantial (common practice)."""


@dataclass(frozen=True, slots=True)
class MarkedSize:
    """A size by one rule. exact: not rounded; foot_from, foot_to: the foot lengths in mm of this mark."""

    rule: SizeRule
    exact: Fraction
    mark: Fraction
    foot_from: Fraction
    foot_to: Fraction

    @property
    def words(self) -> str:
        """`EU, rule A 42`."""
        return f"{self.rule.label} {size_in_words(self.mark)}"


@dataclass(frozen=True, slots=True)
class WidthAdvice:
    """The width of one foot at a chosen size on one last: by flat width, by girth, and the wider of them.

    same_girth: shoes of the same girth one size up or down. uk_fitting: "" where no source holds.
    """

    rule: SizeRule
    size: Fraction
    by_width: widths.LetterReading | None
    by_girth: widths.LetterReading | None
    letter: str
    same_girth: tuple[tuple[Fraction, str], ...]
    uk_fitting: str


@dataclass(frozen=True, slots=True)
class ShoeInHand:
    """How the shoe tried on sits: room, width to spare, depth to spare, in mm; None where not measured."""

    room: toe_room.RoomVerdict | None
    width_spare: Fraction | None
    too_narrow_by: tuple[str, ...]
    depth_spare: Fraction | None


@dataclass(frozen=True, slots=True)
class FootReport:
    """One foot. fit_length: what it asks for, in mm; decided_by: toe or ball. sizes: of that length.

    deviations: how many standard deviations a measure lies over the mean of soldiers, by id; usual: what
    feet of this length measured. Both are empty where no last is named.
    """

    side: str
    measures: Mapping[str, Fraction]
    fit_length: Fraction
    ball_length: Fraction | None
    decided_by: str
    sizes: tuple[MarkedSize, ...]
    widths: tuple[WidthAdvice, ...]
    depth_needed: Fraction | None
    in_hand: ShoeInHand
    doubts: tuple[str, ...]
    deviations: Mapping[str, Fraction]
    usual: tuple[Usual, ...]


@dataclass(frozen=True, slots=True)
class PairAdvice:
    """Two feet in one pair. difference: of foot lengths, in mm; in_sizes: in full sizes of each kind.

    smaller: the shorter foot, "" where alike; room_for_smaller: mm in front of it, from and to, in a shoe
    that leaves the longer 10 to 20.
    """

    larger: str
    smaller: str
    difference: Fraction
    in_sizes: Mapping[str, Fraction]
    two_sizes: bool
    room_for_smaller: tuple[Fraction, Fraction] | None
    say: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SizeReport:
    """Everything about size for the feet measured. `decides`: the foot that decides the length."""

    feet: tuple[FootReport, ...]
    decides: str
    inner_length: tuple[Fraction, Fraction]
    sizes: tuple[MarkedSize, ...]
    pair: PairAdvice | None
    disagreements: tuple[str, ...]
    warnings: tuple[str, ...]
    pick: Pick | None
    last: str | None
    system: str | None
    ties: str = "to the nearest mark; a tie goes up"
    sources: tuple[str, ...] = field(default=())

    def foot(self, side: str) -> FootReport | None:
        """The report of one foot."""
        return next((foot for foot in self.feet if foot.side == side), None)

    def as_json(self) -> dict[str, Any]:
        """The report as plain values: lengths in mm, rounded to the thousandth."""
        from toeroom.size_json import report_as_json

        return report_as_json(self)


def size_report(feet: Feet, chart: StockChart | None = None) -> SizeReport:
    """The report for `feet`, with the shoe of `chart` where one is given.

    Raises `BadInput` where no foot length is stated, or a ball lies beyond the toes.
    """
    if feet.last not in (None, *LASTS):
        raise BadInput(f"'{feet.last}' is not a last", mend=f"use {' or '.join(LASTS)}")
    if feet.system not in (None, *SYSTEMS):
        raise BadInput(f"'{feet.system}' is not a size system", mend=f"use {', '.join(SYSTEMS)}")
    lengths = {side: feet.of(side).get("foot_length_mm") for side in feet.sides}
    measured = tuple(side for side in feet.sides if lengths[side] is not None)
    if not measured:
        raise BadInput("no foot length is stated", mend="heel to longest toe, standing, both feet")
    for side in measured:
        _refuse_impossible(feet.of(side), side)
    fits = {side: _fit(feet.of(side), side, feet.last) for side in measured}
    decides = max(measured, key=lambda side: fits[side].length)
    pair = _pair(feet, fits) if len(measured) == 2 else None
    reports = tuple(
        _foot(feet, side, fits[side], fits[side if pair and pair.two_sizes else decides].length)
        for side in measured
    )
    fit = fits[decides].length
    return SizeReport(
        reports,
        decides,
        _inner_length(fits[decides]),
        _sizes(fit, feet.system),
        pair,
        _disagreements(fit, reports, feet),
        _warnings(feet, measured, fits),
        None if chart is None else _pick(chart, reports, pair),
        feet.last,
        feet.system,
        sources=tuple(dict.fromkeys([*(rule.source for rule in rules_of(feet.system)), *_of_ball(feet)])),
    )


def _refuse_impossible(measures: Mapping[str, Fraction], side: str) -> None:
    """A tape around the ball is never shorter than twice across it."""
    width, girth = measures.get("ball_width_mm"), measures.get("ball_girth_mm")
    if width is not None and girth is not None and girth < 2 * width:
        raise BadInput(
            f"{side} foot: a ball {_mm(width)} wide cannot be {_mm(girth)} around",
            mend="measure both again, and see that each stands by its own name",
        )


def _of_ball(feet: Feet) -> tuple[str, ...]:
    return (ball.SOURCE,) if any(term == "ball_length_mm" for term, _ in feet.measures) else ()


def _fit(measures: Mapping[str, Fraction], side: str, last: str | None) -> ball.LongerOf:
    foot, at_ball = measures["foot_length_mm"], measures.get("ball_length_mm")
    if at_ball is None:
        return ball.LongerOf(foot, foot, foot, "toe")
    try:
        return ball.longer_of(foot, at_ball, last)
    except BadInput as fault:
        raise BadInput(f"{side} foot: {fault.what}", mend=fault.mend) from None


def _inner_length(fit: ball.LongerOf) -> tuple[Fraction, Fraction]:
    """Inside lengths to look for: room in front of the toe by the guideline, and enough for the ball."""
    least, most = toe_room.inner_lengths(fit.toe)
    wanted = toe_room.inner_lengths(fit.length)[0]
    return (wanted if wanted <= most else least), most


def _sizes(length: Fraction, system: str | None) -> tuple[MarkedSize, ...]:
    return tuple(
        MarkedSize(rule, rule.exact(length), rule.mark(length), *rule.interval(rule.mark(length)))
        for rule in rules_of(system)
    )


def _foot(feet: Feet, side: str, fit: ball.LongerOf, shoe_length: Fraction) -> FootReport:
    measures = feet.of(side)
    toe, insert = measures.get("toe_height_mm"), measures.get("insert_thickness_mm")
    needed = None if toe is None or insert is None else depth.depth_needed(toe, insert, feet.clearance)
    return FootReport(
        side,
        measures,
        fit.length,
        fit.ball if "ball_length_mm" in measures else None,
        fit.decided_by,
        _sizes(fit.length, feet.system),
        tuple(w for rule in _width_rules(feet) if (w := _width(rule, shoe_length, measures))),
        needed,
        _in_hand(measures, needed),
        doubts(measures, feet.last),
        {} if feet.last is None else _deviations(measures, feet.last),
        () if feet.last is None else usual_at(measures["foot_length_mm"], feet.last),
    )


def _deviations(measures: Mapping[str, Fraction], last: str) -> dict[str, Fraction]:
    return {measure: z_score(measure, last, measures[measure]) for measure in SPREADS if measure in measures}


def _width_rules(feet: Feet) -> tuple[SizeRule, ...]:
    """The US scales whose width charts are published, of the lasts in question."""
    lasts = [feet.last] if feet.last else [LAST_OF_SYSTEM.get(feet.system or "", "")]
    wanted = [last for last in LASTS if last in lasts] or list(LASTS)
    return tuple(rule for rule in RULES.values() if LAST_OF_SYSTEM.get(rule.system) in wanted)


def _width(rule: SizeRule, shoe_length: Fraction, measures: Mapping[str, Fraction]) -> WidthAdvice | None:
    flat, girth = measures.get("ball_width_mm"), measures.get("ball_girth_mm")
    if flat is None and girth is None:
        return None
    last, size = LAST_OF_SYSTEM[rule.system], rule.mark(shoe_length)
    by_width = None if flat is None else widths.letter_by_width(last, size, flat)
    by_girth = None if girth is None else widths.letter_by_girth(last, shoe_length, girth)
    letter = widths.wider_letter(*(r.letter for r in (by_width, by_girth) if r))
    fitting = ""
    if letter:
        number = widths.uk_men_fitting(letter)
        fitting = widths.uk_women_fitting(letter) if last == WOMEN else str(number or "")
    same = widths.same_girth(size, letter) if letter else ()
    return WidthAdvice(rule, size, by_width, by_girth, letter, same, fitting)


def _in_hand(measures: Mapping[str, Fraction], needed: Fraction | None) -> ShoeInHand:
    inner, wide = measures.get("shoe_inner_length_mm"), measures.get("shoe_inner_width_mm")
    box, flat = measures.get("shoe_toe_depth_mm"), measures.get("ball_width_mm")
    spare = None if wide is None or flat is None else wide - flat
    return ShoeInHand(
        None if inner is None else toe_room.judge(inner, measures["foot_length_mm"]),
        spare,
        () if spare is None else widths.misfits(-spare),
        None if box is None or needed is None else depth.depth_spare(box, needed),
    )


def _pair(feet: Feet, fits: Mapping[str, ball.LongerOf]) -> PairAdvice:
    left, right = (fits[side].toe for side in SIDES)
    difference = abs(left - right)
    systems = [feet.system] if feet.system else list(SYSTEMS)
    in_sizes = {system: difference / FULL_SIZE[system] for system in systems}
    larger = "" if left == right else "left" if left > right else "right"
    smaller = {"left": "right", "right": "left"}.get(larger, "")
    full = [system for system, count in in_sizes.items() if count >= 1]
    two = len(full) == len(in_sizes)
    room = (toe_room.GUIDELINE.least + difference, toe_room.GUIDELINE.most + difference)
    return PairAdvice(
        larger,
        smaller,
        difference,
        in_sizes,
        two,
        room if smaller else None,
        tuple(_pair_says(difference, smaller, larger, full, two, room, in_sizes)),
    )


def _pair_says(
    difference: Fraction,
    smaller: str,
    larger: str,
    full: Sequence[str],
    two: bool,
    room: tuple[Fraction, Fraction],
    in_sizes: Mapping[str, Fraction],
) -> list[str]:
    if not smaller:
        return ["both feet are of one length"]
    found = []
    if two:
        found.append(f"a full size or more apart ({_mm(difference)}): a pair of two sizes (from memory)")
    elif full:
        found.append(
            f"{_mm(difference)} apart: a full size in {_systems(full)}, less in the others; decide by the "
            "system ordered in"
        )
    else:
        found.append(f"{_mm(difference)} apart, less than a full size: fit the {larger} foot")
    if not two:
        found.append(
            f"the {smaller} foot then has {_mm(room[0])} to {_mm(room[1])} in front; over 20 mm it needs its "
            "own size. Take up the rest with laces or strap, a tongue pad, a heel grip; never a loose toe pad"
        )
    if max(in_sizes.values()) >= MUCH_UNLIKE:
        found.append("a substantial difference: measure again, and look for its cause")
    return found


def _disagreements(fit: Fraction, reports: Sequence[FootReport], feet: Feet) -> tuple[str, ...]:
    found = []
    for system in SYSTEMS:
        rules = [rule for rule in rules_of(feet.system) if rule.system == system]
        marks = {rule.mark(fit) for rule in rules}
        if len(marks) > 1:
            said = ", ".join(f"{rule.label} {size_in_words(rule.mark(fit))}" for rule in rules)
            found.append(f"{said}: try both, and ask the supplier which is meant")
    if feet.system is None:
        found.append("UK to US men: 1 by the formulas, 0.5 on many shop charts (common practice)")
    if feet.system in (None, "eu"):
        found.append("shop charts put EU sizes up to one size higher than the formulas (common practice)")
    for foot in reports:
        found += _foot_disagreements(foot)
    return tuple(found)


def _foot_disagreements(foot: FootReport) -> list[str]:
    found = []
    room = foot.in_hand.room
    if room and room.disagree:
        found.append(
            f"{foot.side}: {_mm(room.room)} of room passes 10 to 20 mm and fails 10 to 15 mm; both are in use"
        )
    for advice in foot.widths:
        letters = [reading.letter for reading in (advice.by_width, advice.by_girth) if reading]
        if len(set(letters)) > 1:
            flat, girth = (letter or "beyond the scale" for letter in letters)
            found.append(
                f"{foot.side}, {advice.rule.label}: {flat} by flat width, {girth} by girth; the wider first"
            )
    return found


def _warnings(feet: Feet, measured: Sequence[str], fits: Mapping[str, ball.LongerOf]) -> tuple[str, ...]:
    found = []
    missing = [side for side in feet.sides if side not in measured]
    if missing:
        found.append(f"{missing[0]} foot not measured: no size before both are, standing")
    if feet.sitting:
        found.append("measured sitting: measure again standing, the foot is longer and wider under load")
    if feet.morning:
        found.append("measured in the morning: measure again late in the day, feet swell")
    for side in feet.swelling:
        found.append(f"{side} foot swollen: it changes through the day; choose a shoe that can be let out")
    for side in measured:
        fit = fits[side]
        found += [f"{side}: {text}" for text in doubts(feet.of(side), feet.last)]
        if fit.decided_by == "ball":
            found.append(_ball_warning(side, fit))
            if fit.length - fit.toe > toe_room.GUIDELINE.most - toe_room.GUIDELINE.least:
                found.append(
                    f"{side}: no shoe has room for toe and ball: a last with a shorter forepart, or the lab"
                )
        for rule in rules_of(feet.system):
            if below_adult_scale(rule, rule.mark(fit.length)):
                found.append(
                    f"{side}: under the adult scale of {rule.label}; no formula for children is confirmed"
                )
    return tuple(dict.fromkeys(found))


def _ball_warning(side: str, fit: ball.LongerOf) -> str:
    more = fit.length - fit.toe
    small = ", less than half a size: within the spread of feet" if more < FULL_SIZE["uk"] / 2 else ""
    return (
        f"{side}: the ball asks for {_mm(more)} more than the toes{small}; from soldiers' feet (derived), no "
        "device's scale: see in walking where the shoe bends"
    )


def _pick(chart: StockChart, reports: Sequence[FootReport], pair: PairAdvice | None) -> Pick:
    needs = [
        FootNeeds(
            foot.side,
            foot.measures["foot_length_mm"],
            foot.fit_length,
            foot.measures.get("ball_width_mm"),
            foot.depth_needed,
        )
        for foot in reports
    ]
    return pick(chart, needs, two_sizes=bool(pair and pair.two_sizes))


def _systems(ids: Iterable[str]) -> str:
    names = {"eu": "EU", "uk": "UK", "us_men": "US men", "us_women": "US women", "mondopoint": "Mondopoint"}
    return ", ".join(names[system] for system in ids)


def _mm(value: Fraction) -> str:
    return f"{float(round(value, 1)):g} mm"
