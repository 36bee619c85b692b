"""Which findings a negation reaches.

The scopes follow NegEx and ConText: a cue before reaches to the end of its clause and through a list
("no A, B or C"); a cue after reaches back over a list; a word such as "but" ends both.
"""

from __future__ import annotations

from collections.abc import Sequence

from toeroom.answers.clauses import Sentence
from toeroom.answers.cues import Cues
from toeroom.answers.lexicon import Lexicon
from toeroom.answers.looking import Looks
from toeroom.answers.mentions import NO, YES, Mention
from toeroom.answers.patterns import SKIPPED, Hit
from toeroom.answers.sides import SideHit

_NEGATING = {
    "no",
    "not",
    "never",
    "without",
    "nothing",
    "non",
    "cannot",
    "nil",
    "neither",
    "nor",
    "hardly",
    "barely",
}
_SHORT_REACH = 4
_EITHER_WAY = {"denied", "none", "nil", "negative"}
"""Cues that stand before what they deny, or after it where nothing follows."""
_LONE_CUE = 6
_TURNS_ASIDE = {
    "for",
    "that",
    "which",
    "who",
    "he",
    "she",
    "when",
    "where",
    "after",
    "from",
    "since",
    "despite",
}
"""After the first finding denied, these begin something that is not: "no brace for her drop foot"."""
_AROUND = {"round", "around", "near", "beside", "from", "about", "surrounding"}
_UPON = {"over", "on", "at", "in", "under", "above", "below"}
_DEFINITE = {"the", "her", "his", "this", "that", "its", "their", "each", "either"}


class Negating(Looks):
    """Finds the negation of a mention, if any."""

    def __init__(
        self,
        sentence: Sentence,
        mentions: Sequence[Mention],
        hits: Sequence[Hit[str]],
        sides: Sequence[SideHit],
        cues: Cues,
        lexicon: Lexicon,
    ) -> None:
        super().__init__(sentence, mentions, hits, sides, cues, lexicon)
        self.scopes = [(h, self._reach(h)) for h in self._of("negation_before")]
        idle = [h for h, reach in self.scopes if not any(h.end <= m.start < reach for m in mentions)]
        self.hits.setdefault("negation_after", []).extend(
            h for h in idle if self.stems[h.start] in _EITHER_WAY
        )

    def _negation(self, mention: Mention) -> str:
        own = self.negates_itself(mention)
        for hit in self._of("still_there"):
            if hit.start >= mention.end and self._reaches_back(hit.start, mention):
                return ""
        if own:
            return ""
        if self._is_not_on_a_side(mention):
            return "not"
        for hit, reach in self.scopes:
            if not (hit.start < mention.start < reach) or self._shares_negation(hit, mention):
                continue
            if mention.role == NO and self._gap(hit.end, mention.start) > 0:
                continue
            return self._text(hit.start, hit.end)
        start, _ = self.sentence.bounds(mention.start)
        for hit in self._of("negation_short"):
            gap = self._gap(hit.end, mention.start)
            if self._shares_negation(hit, mention):
                continue
            if start <= hit.start < mention.start and gap <= (0 if mention.role == NO else _SHORT_REACH):
                if self._inside(hit, mention) or "and" in self.stems[hit.end : mention.start]:
                    continue
                return self._text(hit.start, hit.end)
        if mention.role == NO:
            return ""
        for hit in (*self._of("negation_after"), *self._of("gone_after")):
            if hit.start < mention.end or self._negated_closely(hit.start) or hit.start in self.covered:
                continue
            if hit.meaning == "gone_after" and mention.id in self.cues.lists["never_gone"]:
                continue
            if self._closing_no(hit) and self._reaches_back(hit.start, mention):
                return self._text(hit.start, hit.end)
        return ""

    def _is_not_on_a_side(self, mention: Mention) -> bool:
        """ "Bunion not on R but on L", "drop foot neither side"."""
        if self.stems[mention.end : mention.end + 1] == ["neither"] or self.stems[
            mention.end : mention.end + 2
        ] == ["on", "neither"]:
            return True
        if self.stems[mention.end : mention.end + 1] != ["not"]:
            return False
        after = mention.end + 1
        while after < len(self.stems) and self.stems[after] in {"on", "in", "at", "the"}:
            after += 1
        return any(s.start == after for s in self.sides)

    def _closing_no(self, hit: Hit[str]) -> bool:
        """A cue after a finding stands at the end of its clause, never before another finding."""
        following = [m for m in self.mentions if hit.end <= m.start <= hit.end + 3]
        _, end = self.sentence.bounds(hit.start)
        return not any(m.start < end for m in following) or hit.end >= end

    def _reaches_back(self, cue_start: int, mention: Mention) -> bool:
        """Whether a cue after findings reaches `mention`: the nearest one, and a list that leads to it."""
        if self._turn_between(mention.end, cue_start):
            return False
        place = self.sentence.segment_of(cue_start)
        nearest = [m for m in self.mentions if m.end <= cue_start and not self._is_place(m)]
        if not nearest:
            return False
        last = max(nearest, key=lambda m: (m.end, -m.start))
        near = self.sentence.segment_of(last.start)
        if near != place:
            gap = self.stems[self.sentence.segments[place][0] : cue_start]
            lone = all(w in SKIPPED or w in {"is", "was", "now", "all", "but", "it", "has"} for w in gap)
            start, end, _ = self.sentence.segments[place]
            sided = any(start <= s.start < end for s in self.sides)
            asked = self.sentence.segments[place][2] == ":" and near == place - 1
            far = not asked and (not lone or end - cue_start > _LONE_CUE)
            if near < place - 1 or sided or far:
                return False
        if mention.start >= last.start:
            return True
        between = self.stems[mention.end : last.start]
        inner = [m for m in self.mentions if mention.end <= m.start and m.end <= last.start]
        loose = [
            w
            for i, w in enumerate(between, mention.end)
            if w not in SKIPPED
            and w not in {",", "or", "nor", "and"}
            and not any(m.start <= i < m.end for m in inner)
        ]
        if loose or not between or any(s.start >= mention.end and s.end <= last.start for s in self.sides):
            return False
        return (mention.role == "about") == (last.role == "about") and mention.role == last.role

    def _reach(self, hit: Hit[str]) -> int:
        """The token at which the scope of a cue before findings ends."""
        if hit.end < len(self.tokens) and self.tokens[hit.end].norm in {",", "-", ":"}:
            return hit.end
        end = self._clause_reach(hit, hit.end)
        number = self.sentence.segment_of(hit.start)
        segments = self.sentence.segments
        listed = self._list_end(number, hit)
        if listed > number:
            last_start, _, _ = segments[listed]
            return self._clause_reach(hit, last_start)
        return end

    def _list_end(self, number: int, hit: Hit[str]) -> int:
        """The last clause of a list "no A, B or C" that begins in clause `number`, or `number`."""
        segments = self.sentence.segments
        eager = self.stems[hit.start] in {
            "denie",
            "denied",
            "denying",
            "deny",
            "neither",
            "free",
            "negative",
            "without",
        }
        bare = 0
        if {"or", "nor"} & set(self.stems[hit.end : segments[number][1]]):
            # "Neither A nor B, C there": the list has ended.
            return number
        for later in range(number + 1, len(segments)):
            start, end, mark = segments[later]
            if mark != "," or not self._is_bare(start, end):
                break
            bare += 1
            words = self.stems[start:end]
            if {"or", "nor"} & set(words):
                return later
            if "and" in words[:1] or (eager and later + 1 == len(segments)):
                return later
            if eager and segments[later + 1][2] != ",":
                return later
        whole = number + bare == len(segments) - 1
        starts_here = all(w in SKIPPED for w in self.stems[segments[number][0] : hit.start])
        return number + bare if whole and bare >= 2 and starts_here else number

    def _is_bare(self, start: int, end: int) -> bool:
        """A clause of a list: a finding, few words, no verb, no further cue; a side only at its end."""
        if end - start > (9 if any(start <= m.start < end for m in self.mentions) else 4):
            return False
        if any(m.role != YES for m in self.mentions if start <= m.start < end):
            return False
        taken = {i for m in self.mentions for i in range(m.start, m.end)}
        if any(start <= h.start < end and h.start not in taken for h in self._found("verbs")):
            return False
        for kind in (
            "negation_before",
            "negation_after",
            "negation_short",
            "unknown_after",
            "but",
            "gone_after",
        ):
            if any(start <= h.start < end and h.start not in taken for h in self._of(kind)):
                return False
        if any(t.kind == "figure" for t in self.tokens[start:end]):
            return False
        if {"or", "nor"} & set(self.stems[start:end]):
            return True
        return not any(start <= s.start < end for s in self.sides)

    def _clause_reach(self, hit: Hit[str], start: int) -> int:
        _, end = self.sentence.bounds(start if start < len(self.tokens) else hit.start)
        consumed = any(m.start <= hit.start and hit.end <= m.end for m in self.mentions)
        named = [m.end for m in self.mentions if start <= m.start < end]
        for i in range(start, end):
            if self.stems[i] in _TURNS_ASIDE and i not in self.covered and named and min(named) <= i:
                return i
            if (
                self.stems[i] in {"and", "&", "+", "with"}
                and i not in self.covered
                and self._starts_anew(i, end, start, consumed)
            ):
                return i
            if i > start and i not in self.covered and self._is_at_something(i):
                return i
            if consumed and self.stems[i] in {"or", "nor"}:
                consumed = False
            if consumed and i not in self.covered and self.stems[i] not in SKIPPED:
                inner = next(m for m in self.mentions if m.start <= hit.start and hit.end <= m.end)
                if i >= inner.end:
                    return i
        return end

    def _is_at_something(self, i: int) -> bool:
        """ "No redness round the ulcer": what is denied lies at something that is there."""
        if self.stems[i] not in _AROUND | _UPON:
            return False
        after = i + 1
        while after < len(self.stems) and self.stems[after] in _DEFINITE:
            after += 1
        if after == i + 1 and self.stems[i] in _UPON:
            return False
        return any(m.start == after and m.role == YES for m in self.mentions)

    def _starts_anew(self, conjunction: int, end: int, start: int, consumed: bool) -> bool:
        """Whether what follows "and" is a statement of its own and not the rest of "no A and B"."""
        if consumed or self.stems[conjunction] == "with":
            return True
        rest = range(conjunction + 1, end)
        inside = [m for m in self.mentions if m.start in rest]
        if not inside or any(m.role != YES for m in inside):
            return True
        taken = {i for m in inside for i in range(m.start, m.end)}
        if self.stems[conjunction + 1] in {"a", "an", "the"} or any(
            h.start in rest and h.start not in taken for h in self._found("verbs")
        ):
            return True
        own_side = any(s.start in rest for s in self.sides)
        before = any(start <= s.start < conjunction for s in self.sides)
        return own_side and before

    def _shares_negation(self, hit: Hit[str], mention: Mention) -> bool:
        """Whether the negation of a cue is a word of the mention itself: "reports no loss of feeling"."""
        shared = self.stems[mention.start : hit.end] if hit.end > mention.start else []
        return bool(_NEGATING.intersection(shared))

    def negates_itself(self, mention: Mention) -> bool:
        return mention.role == YES and bool(_NEGATING.intersection(self.stems[mention.start : mention.end]))
