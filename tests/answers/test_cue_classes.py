"""Each published class of cue does what it says, on sentences of the trade.

Classes and many of the cues: NegEx (Chapman et al. 2001, J Biomed Inform 34:301-310) for before,
after, pseudo and terminating cues; ConText (Harkema et al. 2009, J Biomed Inform 42:839-851) for
hypothetical, historical and other experiencer. The sentences are our own.
"""

from __future__ import annotations

import pytest

from toeroom.answers.cues import Cues
from toeroom.answers.understand import understand
from toeroom.vocabulary import Vocabulary

CASES = [
    # pre-negation
    ("Denies numbness.", {"sensation_lost": "no"}),
    ("No evidence of infection.", {"infection_signs": "no"}),
    ("Without swelling.", {"swelling": "no"}),
    ("Negative for ulcer.", {"open_wound": "no"}),
    ("Never had a fall.", {"fall_history": "no"}),
    # post-negation
    ("Bunion absent.", {"bunion": "no"}),
    ("Ulcer was ruled out.", {"open_wound": "no"}),
    ("Gangrene: none.", {"black_tissue": "no"}),
    ("Fever: no.", {"infection_signs": "no"}),
    ("fever - no", {"infection_signs": "no"}),
    ("swelling- bunion+", {"swelling": "no", "bunion": "yes"}),
    # pseudo-negation
    ("No increase in swelling.", {"swelling": "yes"}),
    ("No change in the bunion.", {"bunion": "yes"}),
    ("Not only a bunion.", {"bunion": "yes"}),
    ("No doubt a hammertoe.", {"hammertoe": "yes"}),
    ("Not without swelling.", {"swelling": "yes"}),
    ("The ulcer has not resolved.", {"open_wound": "yes"}),
    # termination
    ("No bunion but a hammertoe.", {"bunion": "no", "hammertoe": "yes"}),
    ("No ulcer, however the ankles are swollen.", {"open_wound": "no", "swelling": "yes"}),
    ("No blister, callus L heel.", {"blister": "no", "callus": "yes"}),
    ("No brace for her drop foot.", {"wears_ankle_brace": "no", "drop_foot": "yes"}),
    # lists
    ("No bunion, hammertoe or callus.", {"bunion": "no", "hammertoe": "no", "callus": "no"}),
    ("Neither bunion nor callus.", {"bunion": "no", "callus": "no"}),
    (
        "Denies falls, numbness or night pain.",
        {"fall_history": "no", "sensation_lost": "no", "rest_pain": "no"},
    ),
    ("Callus, blister and bunion absent.", {"callus": "no", "blister": "no", "bunion": "no"}),
    # hypothetical
    ("If a blister comes, call.", {}),
    ("Return for any sign of infection.", {}),
    ("Told to look for blisters.", {}),
    ("Leaflet on ulcers.", {}),
    ("Should the ulcer reopen she rings.", {}),
    # historical
    ("History of ulcer.", {"past_ulcer": "yes"}),
    ("Healed ulcer.", {"past_ulcer": "yes"}),
    ("Had an infection years ago.", {}),
    ("Fell last winter.", {"fall_history": "yes"}),
    # other experiencer
    ("Mother has a bunion.", {}),
    ("Family history of diabetes.", {}),
    ("His brother lost a toe.", {}),
    # taken for granted
    ("No blood in the callus.", {"callus_with_bleeding": "no", "callus": "yes"}),
    ("His brother has blood in the callus.", {}),
    ("Ring us if there is blood in the callus.", {}),
    # uncertainty and what was not looked at
    ("Possible PAD.", {"arterial_disease": "unknown"}),
    ("?hammertoe", {"hammertoe": "unknown"}),
    ("Pulses not checked.", {"pulses_absent": "unknown"}),
    ("Medicare? Didn't ask.", {"us_medicare": "unknown"}),
    ("Medicare? Didn’t ask.", {"us_medicare": "unknown"}),
    # corrections
    ("Ulcer, no, closed now.", {"open_wound": "no", "past_ulcer": "yes"}),
    # words that hold a negation
    ("No pulse felt.", {"pulses_absent": "yes"}),
    ("Can't tie laces.", {"cannot_tie_laces": "yes"}),
    ("Skin not intact.", {"open_wound": "yes"}),
    # slips of the pen
    ("Calus, ulser, bunyon.", {"callus": "yes", "open_wound": "yes", "bunion": "yes"}),
    ("The staff were selling shells by angle.", {}),
]


@pytest.mark.parametrize(("text", "wanted"), CASES, ids=[c[0] for c in CASES])
def test_cue(text: str, wanted: dict[str, str], vocabulary: Vocabulary, cues: Cues) -> None:
    assert {u.id: u.state for u in understand(text, vocabulary, cues)} == wanted


@pytest.mark.parametrize(
    ("text", "side"),
    [
        ("R bunion", "right"),
        ("bunion (L)", "left"),
        ("Rt foot: bunion", "right"),
        ("bunion on both feet", "both"),
        ("bilat bunions", "both"),
        ("b/l bunions", "both"),
        ("bunion L+R", "both"),
        ("bunion left, no, right", "right"),
        ("bunion R, sorry, L", "left"),
        ("right on the bunion", "unsaid"),
        ("nothing left but a bunion", "unsaid"),
        ("Right foot fine; other foot has a bunion", "left"),
        ("callus, corn or bunion on the left", "left"),
        ("bunion", "unsaid"),
    ],
)
def test_side(text: str, side: str, vocabulary: Vocabulary, cues: Cues) -> None:
    assert {u.side for u in understand(text, vocabulary, cues) if u.id == "bunion"} == {side}
