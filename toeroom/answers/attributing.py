"""Gives each finding its side: the words for a side near it, a header, or what was said before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from toeroom.answers.clauses import Sentence
from toeroom.answers.mentions import Mention
from toeroom.answers.patterns import SKIPPED, Hit
from toeroom.answers.sides import BOTH, UNSAID, SideHit

_LINKS = SKIPPED | {"in", "on", "at", "of", "foot", "side", "under", "is", "with", "more", "than", "worse"}
_PLACES = {
    "toe", "heel", "tip", "hallux", "ball", "met", "head", "1st", "2nd", "3rd", "4th", "5th", "big",
    "little", "second", "third", "great", "forefoot", "midfoot", "ankle", "sole", "edge", "inner",
    "outer", "medial", "lateral", "dorsum",
}  # fmt: skip

_AGREEING = {"both", "bilateral", "either", "neither", "true", "same", "for", "applies", "goes"}


@dataclass
class Memory:
    """What earlier sentences said of sides: the last one, and the header that still holds."""

    last: str = ""
    header: str = ""
    last_sided: str = ""


def attribute_sides(
    sentence: Sentence,
    mentions: Sequence[Mention],
    sides: Sequence[SideHit],
    memory: Memory,
    backs: Sequence[Hit[str]],
) -> None:
    """Sets `side` of each mention about a foot (those with `sided`); "unsaid" where nothing tells."""
    header = _header(sentence, mentions, sides)
    if header:
        memory.header = header[0]
    elif any(s for s in sides):
        memory.header = ""
    for mention in mentions:
        if not mention.sided:
            continue
        found = _own(sentence, mention, mentions, sides)
        if not found and _refers_back(sentence, mention, backs, sides):
            found = memory.last_sided or memory.last
        found = found or _neighbours(sentence, mention, mentions, sides)
        if not found and memory.header and not any(True for s in sides if not header):
            found = memory.header
        if not found and backs and not sides:
            found = memory.last_sided or memory.last
        mention.side = found or UNSAID


def _refers_back(
    sentence: Sentence, mention: Mention, backs: Sequence[Hit[str]], sides: Sequence[SideHit]
) -> bool:
    """Whether the clause of `mention` names "that foot", and no side was named in the sentence before it."""
    start, end = sentence.bounds(mention.start)
    feet = (
        h for h in backs if start <= h.start < end and sentence.stems[h.start] in {"that", "same", "this"}
    )
    return any(feet) and not any(s.start < end for s in sides)


def _header(
    sentence: Sentence, mentions: Sequence[Mention], sides: Sequence[SideHit]
) -> tuple[str, int] | None:
    """A side named before a colon, before any finding: "Rt foot: …"."""
    if len(sentence.segments) < 2 or sentence.segments[1][2] not in {":", "-"}:
        return None
    end = sentence.segments[0][1]
    if any(m.start < end for m in mentions if m.role != "about"):
        return None
    named = {s.side for s in sides if s.start < end}
    return (named.pop(), end) if len(named) == 1 else None


def _own(sentence: Sentence, mention: Mention, mentions: Sequence[Mention], sides: Sequence[SideHit]) -> str:
    inside = [s for s in sides if mention.start <= s.start < mention.end]
    if inside:
        comma = max((i for i in range(mention.start, mention.end) if sentence.stems[i] in ",;"), default=0)
        return next((s.side for s in inside if s.start > comma), inside[0].side)
    start, end = sentence.bounds(mention.start)
    here = [s for s in sides if start <= s.start < end]
    peers = [m for m in mentions if start <= m.start < end and m.sided]
    here = [
        s for s in here if not any(m.start <= s.start < m.end for m in peers if m.id != mention.id)
    ] or here
    if not here:
        return ""
    if len(here) == 1:
        return here[0].side if not _later_belongs_to_other(sentence, mention, here[0], peers) else ""
    if len({m.start for m in peers}) == 1:
        named = {s.side for s in here}
        close = [s for s in here if s.start >= mention.end] or here
        if len(named) == 1:
            return named.pop()
        return BOTH if len({s.side for s in close}) > 1 else close[0].side
    first = min(m.start for m in peers)
    if here[0].start < first and here[-1].start < max(m.start for m in peers):
        before = [s for s in here if s.end <= mention.start]
        return (before[-1] if before else here[0]).side
    after = [s for s in here if s.start >= mention.end]
    if here[0].start < first and not after:
        return here[-1].side
    if here[0].start < first and mention.start == first and _links(sentence, here[0].end, mention.start):
        return here[0].side
    return (after[0] if after else here[-1]).side


def _links(sentence: Sentence, start: int, end: int) -> bool:
    return all(w in _LINKS for w in sentence.stems[start:end])


def _later_belongs_to_other(
    sentence: Sentence, mention: Mention, side: SideHit, peers: Sequence[Mention]
) -> bool:
    """In "bunion and the left has a callus" the side stands behind "and" with a verb: not the bunion's."""
    if side.start < mention.end or not any(m.start >= side.end for m in peers):
        return False
    between = sentence.stems[mention.end : side.start]
    return "and" in between and not any(m.start > mention.start and m.end <= side.start for m in peers)


def _neighbours(
    sentence: Sentence, mention: Mention, mentions: Sequence[Mention], sides: Sequence[SideHit]
) -> str:
    """The side of an earlier clause of the sentence, or of a later one that the list leads to."""
    number = sentence.segment_of(mention.start)
    for earlier in range(number - 1, -1, -1):
        start, end, _ = sentence.segments[earlier]
        named = [s for s in sides if start <= s.start < end]
        if named:
            side = named[-1].side
            article = sentence.stems[max(0, mention.start - 2) : mention.start]
            if side == BOTH and {"a", "an"} & set(article):
                return ""
            return side
    for later in range(number + 1, len(sentence.segments)):
        start, end, mark = sentence.segments[later]
        named = [s for s in sides if start <= s.start < end]
        inside = [m for m in mentions if start <= m.start < end and m.sided]
        words = sentence.stems[start:end]
        if named:
            denials = sentence.stems[sentence.segments[number][0]] == "no" == words[0]
            leads = (
                denials
                or {"or", "nor", "and"} & set(words)
                or (not inside and _only_a_side(words))
                or "all" in words
                or mark == "but"
            )
            return named[0].side if leads else ""
        if not inside:
            continue
    return ""


def _only_a_side(words: Sequence[str]) -> bool:
    return sum(w not in _LINKS and w not in _PLACES and w not in _AGREEING for w in words) <= 1
