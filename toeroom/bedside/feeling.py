"""The filament and the toe-touch test, counted. What was not asked stays open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from toeroom.bedside.figures import Figure, FigureSheet
from toeroom.measures.sensation import SITES_PER_FOOT, feeling_lost, sites_missed, touch_reduced
from toeroom.vocabulary import PERSON, SIDES

Answers = Sequence[bool | None]
"""Right, wrong, or None where not asked."""

RULE = "a site is felt on two right answers of three, a sham among them; one site not felt is lost feeling"
SOURCE = "IWGDF consensus addendum; Int Wound J (same limit)"
TOUCH_RULE = "tips of toes 1, 3, 5 of both feet, once each; two or more of six not felt is reduced"
TOUCH_SOURCE = "touch-test summary: 77 % sensitive, 90 % specific; one page prints a cut of three"
ONE_TEST = "one normal test does not rule lost feeling out: it takes two, none abnormal (ADA standards)"
SAYS = {
    True: "counts as lost; the clinician's finding",
    False: "felt everywhere on this test",
    None: "not decided",
}


def feeling_sheet(sites: Mapping[str, Sequence[Answers]], touch: Answers | None = None) -> FigureSheet:
    """The sheet: answers by site and foot, and the six toe tips, left 1, 3, 5 then right 1, 3, 5."""
    counted = {side: (sites_missed(sites[side]), len(sites[side])) for side in SIDES if side in sites}
    return _sheet(counted, touch)


def feeling_sheet_of_counts(missed: Mapping[str, int]) -> FigureSheet:
    """The sheet from counts of sites not felt, as a case states them; all three sites count as tested."""
    return _sheet(
        {side: ((missed[side],) * 2, SITES_PER_FOOT) for side in SIDES if side in missed}, touch=None
    )


def _sheet(counted: Mapping[str, tuple[tuple[int, int], int]], touch: Answers | None) -> FigureSheet:
    figures, missing, kept = [], [], False
    for side, (span, tested) in counted.items():
        lost = feeling_lost(span, tested)
        kept = kept or lost is False
        worked = f"of {tested}" if span[1] <= tested else ""
        figures.append(
            Figure("filament_sites_missed", side, "sites not felt", span, SAYS[lost], RULE, SOURCE, worked)
        )
        if tested < SITES_PER_FOOT:
            missing.append(f"{side}: {SITES_PER_FOOT - tested} of {SITES_PER_FOOT} sites not tested")
        if span[0] != span[1]:
            missing.append(f"{side}: a site with answers left open")
    missing += [f"{side}: filament" for side in SIDES if counted and side not in counted]
    if touch is not None:
        reduced = touch_reduced(touch)
        kept = kept or reduced is False
        span = (touch.count(False), touch.count(False) + touch.count(None))
        says = {True: "reduced", False: "normal on this test", None: "not decided"}[reduced]
        figures.append(
            Figure("toes_not_felt", PERSON, "toe tips not felt", span, says, TOUCH_RULE, TOUCH_SOURCE, "of 6")
        )
        if None in touch:
            missing.append(f"{touch.count(None)} of 6 toe tips not touched: a toe left out is no toe felt")
    return FigureSheet("Feeling", tuple(figures), (), tuple(missing), (ONE_TEST,) if kept else ())
