"""The stages of a fitting: what lies open at each, and what has to be asked for.

The groups are those of the vocabulary. A finding of a `told` group is shown when its stage opens, as
what anybody sees or reads at once; one of an `asked` group stays unknown until somebody asks, looks or
measures, which costs a step.
"""

from __future__ import annotations

from dataclasses import dataclass

from toeroom.lesson import STAGES as STAGE_IDS
from toeroom.vocabulary import Term, Vocabulary


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of a fitting. `doing` is what one does there, in a word or two."""

    id: str
    title: str
    doing: str
    told: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()


STAGES = (
    Stage("referral", "Referral", "reading the referral", told=("referral",)),
    Stage("look", "First look", "looking at both bare feet", told=("shape",), asked=("skin",)),
    Stage("touch", "Questions and touch", "asking and feeling", asked=("feeling", "joints", "person")),
    Stage("measuring", "Measurements", "measuring", asked=("measuring",)),
    Stage("shoe", "Shoe in hand", "looking at the shoe", asked=("shoe",)),
    Stage("papers", "Papers", "reading the papers", told=("papers",)),
)
assert tuple(stage.id for stage in STAGES) == STAGE_IDS


def stage_of(term: Term) -> int:
    """The index of the stage at which `term` is met; what the book groups otherwise is met last."""
    for index, stage in enumerate(STAGES):
        if term.group in (*stage.told, *stage.asked):
            return index
    return len(STAGES) - 1


def is_told(term: Term) -> bool:
    """Whether a term lies open once its stage does."""
    return term.group in STAGES[stage_of(term)].told


def stateable(vocabulary: Vocabulary) -> dict[str, Term]:
    """Everything that may be stated of a case, by id, in the order of the vocabulary."""
    return {**vocabulary.findings, **vocabulary.measures, **vocabulary.choices, **vocabulary.dates}


def terms_of_stage(vocabulary: Vocabulary, index: int) -> tuple[Term, ...]:
    """The terms met at a stage, in the order of its groups and of the vocabulary."""
    stage = STAGES[index]
    groups = (*stage.told, *stage.asked)
    found = [term for term in stateable(vocabulary).values() if stage_of(term) == index]
    found.sort(key=lambda term: groups.index(term.group) if term.group in groups else len(groups))
    return tuple(found)
