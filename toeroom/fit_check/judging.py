"""A fit check judged point by point, in figures and with the source of each limit.

A point holds, does not hold, is to be looked at again, or was not looked at. There is no word for the
whole: payers name "fits well" as no finding (DME MAC, criterion 5), and a numb foot has no say in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from toeroom.case import Case
from toeroom.fit_check.points import BY_ID, POINTS, FitCheck, Point, Value
from toeroom.measures.calculated import present_sides
from toeroom.measures.toe_room import BANDS
from toeroom.measures.widths import misfits
from toeroom.vocabulary import PERSON

HOLDS, FAILS, AGAIN, BLANK = "holds", "does not hold", "look again", "not looked at"
TABLE = "van Netten et al. 2018, Table 3"
CUSTOM = "common practice"
LASTING_MARK = 20
"""Minutes after which a red mark counts as one that stays. Common practice."""
LEAST_WALK = 10
"""Minutes of walking before the skin is looked at. Common practice."""
SLIP_QUOTED = 6
"""Heel lift in mm that is quoted as the most (1/4 in): from memory; no standard gives a number."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A point on a side: what was found in words, whether it holds, what is to be said, by which source."""

    point: Point
    side: str
    found: str
    verdict: str
    says: str
    source: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """All points of a check, for the feet that are there."""

    check: FitCheck
    judged: tuple[Judged, ...]

    def with_verdict(self, verdict: str) -> tuple[Judged, ...]:
        """The points of one verdict, in order."""
        return tuple(one for one in self.judged if one.verdict == verdict)

    @property
    def skin_broken(self) -> bool:
        """Whether a foot came out of the shoe with broken skin: then a clinician comes first."""
        return any(one.point.id == "skin_whole" and one.verdict == FAILS for one in self.judged)

    @property
    def summary(self) -> str:
        """The check in one line of counts, and what follows for the pair."""
        total = len(self.judged)
        seen = total - len(self.with_verdict(BLANK))
        fails, again = len(self.with_verdict(FAILS)), len(self.with_verdict(AGAIN))
        counts = f"{seen} of {total} points looked at; not holding: {fails}; to be looked at again: {again}"
        if self.skin_broken:
            return f"{counts}. Skin is broken: a clinician sees the foot, and no pair is handed over."
        if fails:
            return f"{counts}. The pair stays here until that is put right."
        if seen < total:
            return f"{counts}. The check is not complete."
        return f"{counts}."

    @property
    def done(self) -> bool:
        """Whether every point was looked at and holds."""
        return all(one.verdict == HOLDS for one in self.judged)


Verdict = tuple[str, str, str]
"""Verdict, what is to be said, source."""


def judge(case: Case) -> Judgement:
    """The fit check of `case`, point by point; what it does not hold was not looked at."""
    check = case.fit_check or FitCheck()
    feet = present_sides(case)
    places = [(p, side) for side in feet for p in POINTS if p.scope == "foot"]
    places += [(p, PERSON) for p in POINTS if p.scope == PERSON]
    return Judgement(check, tuple(_judged(point, side, check, case) for point, side in places))


def _judged(point: Point, side: str, check: FitCheck, case: Case) -> Judged:
    value = check.of(point.id, side)
    if value == "unknown":
        return Judged(point, side, "", BLANK, "", "")
    verdict, says, source = _verdict(point, value, side, case)
    return Judged(point, side, found_in_words(point, value), verdict, says, source)


def found_in_words(point: Point, value: Value) -> str:
    """`13 mm`, `yes`, `no`."""
    return f"{value} {point.unit}" if isinstance(value, Decimal) else value


def _verdict(point: Point, value: Value, side: str, case: Case) -> Verdict:
    if isinstance(value, Decimal):
        return NUMBERS[point.id](value, case, side)
    says, source = WORDS[point.id]
    return (HOLDS, "", source) if value == "yes" else (FAILS, says, source)


IN_BAND = {"fits": "within", "too short": "less than", "too long": "more than"}


def _room(value: Decimal, _case: Case, _side: str) -> Verdict:
    room = Fraction(value)
    verdicts = [band.verdict(room) for band in BANDS]
    says = "; ".join(
        f"{IN_BAND[verdict]} {float(band.least):g} to {float(band.most):g} mm"
        for band, verdict in zip(BANDS, verdicts, strict=True)
    )
    source = "; ".join(band.source for band in BANDS)
    if verdicts[0] != "fits":
        return FAILS, says, source
    return (HOLDS if len(set(verdicts)) == 1 else AGAIN), says, source


def _ball(value: Decimal, _case: Case, _side: str) -> Verdict:
    if value >= 0:
        return HOLDS, "", TABLE
    limits = ", ".join(misfits(-Fraction(value)))
    return FAILS, f"the foot is wider than the liner; a misfit by: {limits}", f"{TABLE}; width review"


def _depth(value: Decimal, _case: Case, _side: str) -> Verdict:
    if value <= 0:
        return FAILS, "nothing is free over the toe", TABLE
    return HOLDS, "no source says how much; the toes must move", TABLE


def _heel(value: Decimal, case: Case, side: str) -> Verdict:
    source = "no standard gives a number; 3 to 6 mm is quoted (from memory)"
    if value == 0:
        return HOLDS, "", source
    if value > SLIP_QUOTED:
        return FAILS, "more than is quoted for a new stiff shoe", source
    if case.finding("sensation_lost", side) != "no":
        return AGAIN, "feeling is lost or not known: do not wait for it to fade", source
    return AGAIN, "a slight lift in a new stiff shoe fades: look again after the walk", source


def _bend(value: Decimal, _case: Case, _side: str) -> Verdict:
    if value == 0:
        return HOLDS, "", CUSTOM
    where = "in front of" if value > 0 else "behind"
    return AGAIN, f"the shoe bends {abs(value)} mm {where} the joint; no limit is published", CUSTOM


def _marks(value: Decimal, _case: Case, _side: str) -> Verdict:
    if value >= LASTING_MARK:
        return FAILS, f"a mark that is there after {LASTING_MARK} minutes: find what presses", CUSTOM
    return HOLDS, "" if value == 0 else "note where, and look there first next time", CUSTOM


def _walked(value: Decimal, _case: Case, _side: str) -> Verdict:
    if value < LEAST_WALK:
        return AGAIN, f"{LEAST_WALK} minutes, with turns and a step, before the skin is looked at", CUSTOM
    return HOLDS, "", CUSTOM


NUMBERS: dict[str, Callable[[Decimal, Case, str], Verdict]] = {
    "room_mm": _room,
    "ball_spare_mm": _ball,
    "depth_spare_mm": _depth,
    "heel_lift_mm": _heel,
    "bend_off_mm": _bend,
    "mark_minutes": _marks,
    "walked_minutes": _walked,
}
WORDS = {
    "ball_at_widest": ("another length, or another last", "Williams & Nester 2010"),
    "fold_at_ball": ("no width to spare over the ball", TABLE),
    "toes_move": ("a toe is held or pressed", TABLE),
    "inside_smooth": ("take out what is felt, or exchange the shoe", TABLE),
    "insert_flat": ("set the insert right, or exchange it", "DME MAC, criterion 5: insert on the foot"),
    "bends_at_ball": ("the shoe bends where the foot does not", TABLE),
    "skin_whole": ("a clinician sees this foot; nothing is handed over", CUSTOM),
}
"""What is to be said where a point seen does not hold, and its source."""
assert {*NUMBERS, *WORDS} == set(BY_ID), "every point is judged"
