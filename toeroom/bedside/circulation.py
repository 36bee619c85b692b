"""Blood pressures of arms, ankles and toes: which is used, the indexes, their bands, what they leave open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from toeroom.bedside.figures import Figure, FigureSheet
from toeroom.measures import toe_pressures
from toeroom.measures.compression import compression
from toeroom.measures.pressures import ankle_arm_index, index_band
from toeroom.vocabulary import SIDES

INDEX_RULE = (
    "higher artery of the foot over the higher arm, two decimals; to 0.90 reduced, to 0.99 borderline, "
    "to 1.40 normal, above stiff"
)
INDEX_SOURCE = "AHA/ACC 2016; ACC/AHA 2024"
TOE_RULE = "toe over the higher arm, two decimals; to 0.70 reduced"
TOE_SOURCE = "ACC/AHA 2024, rec. 5"
GRADE_RULE = "WIfI 0 to 3; the toe before ankle and index, of those the graver; an ankle of 70 is grade 2"
GRADE_SOURCE = "Medicina 2024;60:1179, Table 2; WIfI notes 2014"
HOSIERY_RULE = "none under an index of 0.60, ankle 60, toe 30, skin oxygen 20 mmHg, or on a numb foot"
HOSIERY_SOURCE = "Rabe et al., Phlebology 2020;35:447; others stop at an index of 0.5"
BANDS = {
    "reduced": "reduced",
    "borderline": "borderline",
    "normal": "normal",
    "stiff": "stiff: the artery does not compress, this says nothing of the flow; a toe pressure is needed",
}
DISPUTED = "normal to 1.40 (AHA/ACC), too high from 1.3 on (IWGDF 2015, 2019): a toe pressure settles it"
TOE_DISPUTED = "over 0.70 (ACC/AHA), under the 0.75 of IWGDF 2015 and 2019: not clear"


@dataclass(frozen=True, slots=True)
class FootPressures:
    """Systolic, mmHg. ankle: of one or both foot arteries. feeling_lost: None where not known."""

    ankle: tuple[Decimal, ...] = ()
    toe: Decimal | None = None
    oxygen: Decimal | None = None
    feeling_lost: bool | None = None

    @property
    def higher(self) -> Decimal | None:
        """The higher artery, which counts."""
        return max(self.ankle, default=None)


def circulation_sheet(
    arms: tuple[Decimal, ...], feet: Mapping[str, FootPressures], *, highest_stated: bool = False
) -> FigureSheet:
    """The sheet for one or both arms and the feet measured. highest_stated: they are the highest already."""
    arm = max(arms, default=None)
    sides = [side for side in SIDES if side in feet]
    figures = [figure for make in (_index, _toe_index, _grade, _hosiery) for side in sides
               if (figure := make(side, feet[side], arm))]  # fmt: skip
    stops = [text for side in sides for text in _stops(side, feet[side], arm)]
    missing = [text for side in sides for text in _missing(side, feet[side], arm)]
    return FigureSheet(
        "Circulation",
        tuple(figures),
        tuple(stops),
        tuple(missing),
        tuple(_notes(arms, [feet[side] for side in sides], highest_stated)),
    )


def index_of(foot: FootPressures, arm: Decimal | None) -> Decimal | None:
    """The ankle/arm index; None where a pressure is not known."""
    return None if foot.higher is None or arm is None else ankle_arm_index(foot.higher, arm)


def _index(side: str, foot: FootPressures, arm: Decimal | None) -> Figure | None:
    index = index_of(foot, arm)
    if index is None:
        return None
    says = DISPUTED if toe_pressures.normal_end_disputed(index) else BANDS[index_band(index)]
    worked = f"{_of(foot.ankle)} / {arm}"
    return Figure("ankle_arm_index", side, "ankle/arm index", index, says, INDEX_RULE, INDEX_SOURCE, worked)


def _of(values: tuple[Decimal, ...]) -> str:
    if len(values) < 2:
        return str(values[0])
    return f"{max(values)}, the higher of {' and '.join(map(str, values))},"


def _toe_index(side: str, foot: FootPressures, arm: Decimal | None) -> Figure | None:
    if foot.toe is None or arm is None:
        return None
    index = toe_pressures.toe_arm_index(foot.toe, arm)
    says = TOE_DISPUTED if toe_pressures.toe_index_disputed(index) else toe_pressures.toe_index_band(index)
    return Figure(
        "toe_arm_index", side, "toe/arm index", index, says, TOE_RULE, TOE_SOURCE, f"{foot.toe} / {arm}"
    )


def _grade(side: str, foot: FootPressures, arm: Decimal | None) -> Figure | None:
    grade = toe_pressures.ischaemia_grade(index_of(foot, arm), foot.higher, foot.toe)
    if grade is None:
        return None
    by = "by the toe" if foot.toe is not None else "without a toe pressure: it may be graver"
    says = "for a letter; nothing is decided by it"
    return Figure("ischaemia_grade", side, "WIfI grade of flow", grade, says, GRADE_RULE, GRADE_SOURCE, by)


def _hosiery(side: str, foot: FootPressures, arm: Decimal | None) -> Figure | None:
    said, why = compression(
        index=index_of(foot, arm),
        ankle=foot.higher,
        toe=foot.toe,
        tcpo2=foot.oxygen,
        feeling_lost=foot.feeling_lost,
    )
    says = f"{said} ({'; '.join(why)})" if why else said
    return Figure("compression", side, "compression hosiery", None, says, HOSIERY_RULE, HOSIERY_SOURCE)


def _stops(side: str, foot: FootPressures, arm: Decimal | None) -> Iterable[str]:
    under = toe_pressures.severe_ischaemia(index_of(foot, arm), foot.higher, foot.toe)
    if under:
        yield (
            f"{side} foot: {', '.join(under)}: not fitted; to a vascular service at once "
            "(limits: 2023 intersocietal guideline; urgency from memory)"
        )


def _missing(side: str, foot: FootPressures, arm: Decimal | None) -> Iterable[str]:
    if arm is None and (foot.ankle or foot.toe is not None):
        yield f"{side}: arm pressure, so no index"
    if not foot.ankle:
        yield f"{side}: ankle pressure"
    if foot.toe is None:
        yield f"{side}: toe pressure; with diabetes the ankle's may read too high"


def _notes(arms: tuple[Decimal, ...], feet: list[FootPressures], highest_stated: bool) -> Iterable[str]:
    if highest_stated:
        return
    if len(arms) == 1:
        yield "one arm only: if the other is higher the indexes are lower than shown"
    if len(arms) == 2:
        yield f"arm used: {_of(arms).rstrip(',')}"
    if any(len(foot.ankle) == 1 for foot in feet):
        yield "one artery of a foot only: the other may be higher, and the index with it"
