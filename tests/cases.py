"""Random cases and how to compare plans."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import strategies as st

from toeroom.case import Case
from toeroom.plan import Plan
from toeroom.vocabulary import PERSON, Vocabulary

AS_OF = date(2026, 11, 25)
MIRRORED = {"left": "right", "right": "left", PERSON: PERSON}
Standings = dict[tuple[str, str], str]


def places(vocabulary: Vocabulary) -> list[tuple[str, str]]:
    """Every finding with every side it stands on."""
    return [(i, side) for i in vocabulary.findings for side in vocabulary.sides_of(i)]


@st.composite
def cases(draw: st.DrawFn, vocabulary: Vocabulary) -> Case:
    """A case with any findings, measures near the limits the rules know, choices and dates."""
    values = st.sampled_from(["yes", "yes", "no", "unknown"])
    findings = draw(st.dictionaries(st.sampled_from(places(vocabulary)), values, max_size=30))
    measures = {}
    of_measures = [(i, side) for i in vocabulary.measures for side in vocabulary.sides_of(i)]
    for term_id, side in draw(st.lists(st.sampled_from(of_measures), unique=True, max_size=12)):
        measure = vocabulary.measures[term_id]
        tenths = draw(st.integers(int(measure.low * 10), int(measure.high * 10)))
        measures[term_id, side] = Decimal(tenths) / 10
    choices = {
        i: draw(st.sampled_from(choice.one_of))
        for i, choice in vocabulary.choices.items()
        if draw(st.booleans())
    }
    days = st.integers(-400, 60).map(lambda n: AS_OF + timedelta(days=n))
    dates = draw(st.dictionaries(st.sampled_from(list(vocabulary.dates)), days, max_size=6))
    return Case("random", AS_OF, findings=findings, measures=measures, choices=choices, dates=dates)


def mirrored(case: Case) -> Case:
    """The same case with left and right exchanged."""
    short = case.choices.get("short_leg")
    return replace(
        case,
        findings={(i, MIRRORED[side]): value for (i, side), value in case.findings.items()},
        measures={(i, MIRRORED[side]): value for (i, side), value in case.measures.items()},
        choices={**case.choices, **({"short_leg": MIRRORED[short]} if short else {})},
    )


def standings(plan: Plan) -> Standings:
    """Each item and side with its standing."""
    return {place: line.standing for place, line in plan.by_place.items()}
