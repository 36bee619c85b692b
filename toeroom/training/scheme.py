"""How a walk through a case is marked: every number of the scheme, and how they make a score.

docs/training.md says the same in words. What it rests on: harm weighs most, and no amount of anything
else makes up for it; doing nothing earns nothing; asking counts by what the answer could change.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from toeroom.rules.asking import STOP_WEIGHT, WEIGHTS

Verdict = Literal["right", "missed", "harmful", "needless"]
VERDICTS: tuple[Verdict, ...] = ("harmful", "missed", "needless", "right")

ITEM_WEIGHTS = WEIGHTS
"""An item weighs as much as its section weighs in what to ask next."""
STOP = STOP_WEIGHT
"""That a foot is stopped, where it must be, weighs more than any item."""
SPEED = 4.0
"""That an urgent referral goes out today weighs as much as a referral."""
NEEDLESS_STOP = 2.0
NEEDLESS_SPEED = 1.0

HARM = {
    "went on": 3,
    "too slow": 2,
    "held back": 1,
    "warned against": 1,
    "the opposite": 1,
}
"""What each harmful act weighs, by its kind."""

NEEDLESS_PART = 0.25
"""What is needless takes off this part of its weight: it costs the wearer money and patience, no more."""
DECIDED_PART, ASKED_PART = 0.7, 0.3
"""How much of a score is what was decided, and how much what was asked."""
MOST_QUESTIONS = 5
"""At each stage the questions worth most are expected, and no more than these."""

HARM_FLOOR = 100
REDEEMED = 40
"""With harm, all that was done well moves the score by at most this, and never up to zero."""


@dataclass(frozen=True, slots=True)
class Tally:
    """The weights of what was right, missed and needless, and of the harm done; the questions' worth."""

    right: float = 0.0
    missed: float = 0.0
    needless: float = 0.0
    harm: int = 0
    asked: float = 0.0
    left: float = 0.0

    @property
    def decided_share(self) -> float:
        """How much of what the plan holds was decided, from 0 to 1, less what was needless."""
        due = self.right + self.missed
        share = self.right / due if due else 1.0
        return max(0.0, share - NEEDLESS_PART * self.needless / max(due, STOP))

    @property
    def asked_share(self) -> float:
        """How much of the worth that there was to ask for was asked for, from 0 to 1."""
        there = self.asked + self.left
        return self.asked / there if there else 1.0


def score(tally: Tally) -> int:
    """From 0 to 100 where no harm was done; below zero, to -100, where something was that could hurt.

    Never lower for something right added, never higher for something harmful; any harm is below none.
    """
    quality = DECIDED_PART * tally.decided_share + ASKED_PART * tally.asked_share
    if not tally.harm:
        return round(100 * quality)
    return round(-HARM_FLOOR * tally.harm / (tally.harm + 1) + REDEEMED * quality)


def mark_in_words(points: int) -> str:
    """The score in words."""
    if points < 0:
        return "something was done that could hurt"
    bands = ((90, "as the plan has it"), (70, "well"), (45, "some of it"))
    return next((words for least, words in bands if points >= least), "too little to help the wearer")
