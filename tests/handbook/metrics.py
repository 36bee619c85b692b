"""How good a ranked list of pages is; the usual measures, written out."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence


def hit_at(k: int, ranked: Sequence[str], right: Collection[str]) -> float:
    """1 where one of the right pages stands among the first `k`, else 0."""
    return float(any(page in right for page in ranked[:k]))


def reciprocal_rank(ranked: Sequence[str], right: Collection[str]) -> float:
    """1 / the place of the first right page, 0 where there is none."""
    return next((1 / place for place, page in enumerate(ranked, 1) if page in right), 0.0)


def ndcg_at(k: int, ranked: Sequence[str], right: Collection[str], also: Collection[str]) -> float:
    """Discounted gain over the best there could be: a right page gains 2, one of `also` 1 (linear gain)."""
    gains = [2.0 if page in right else 1.0 if page in also else 0.0 for page in ranked[:k]]
    best = ([2.0] * len(set(right)) + [1.0] * len(set(also) - set(right)))[:k]
    return discounted(gains) / discounted(best)


def discounted(gains: Sequence[float]) -> float:
    """The sum of `gains`, each divided by log2 of its place and one."""
    return sum(gain / math.log2(place + 1) for place, gain in enumerate(gains, 1))
