"""The papers there are."""

from __future__ import annotations

from dataclasses import dataclass

from toeroom.errors import BadInput, nearest


@dataclass(frozen=True, slots=True)
class Kind:
    """A paper. Its template is the file `id`.md; `large` is for who reads it without glasses."""

    id: str
    title: str
    reader: str
    large: bool = False


KINDS = {
    kind.id: kind
    for kind in (
        Kind("fitting-sheet", "Fitting sheet", "the record, and the payer's auditor"),
        Kind("referral-note", "Referral note", "the clinician who takes over"),
        Kind("work-order", "Work order", "the repairer and the lab"),
        Kind("wearer-sheet", "For you and your feet", "the wearer, in large print", large=True),
        Kind("hand-over", "Hand-over checklist", "who hands the shoes over"),
        Kind("plan", "Plan", "the fitter, on paper"),
    )
}


def kind_of(word: str) -> Kind:
    """The kind of that id; `BadInput` names the nearest."""
    if word not in KINDS:
        mend = nearest(word.replace("-", "_"), [i.replace("-", "_") for i in KINDS]).replace("_", "-")
        raise BadInput(
            f"'{word}' is not a paper", file="paper", mend=mend or "see them with 'toeroom paper --kinds'"
        )
    return KINDS[word]
