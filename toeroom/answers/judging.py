"""Whether a finding that is named is there, is not, is not known, or is not spoken of at all.

The scopes follow NegEx and ConText: a cue before reaches to the end of its clause and through a list
("no A, B or C"); a cue after reaches back over a list; a word such as "but" ends both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from toeroom.answers.clauses import Sentence
from toeroom.answers.cues import Cues
from toeroom.answers.lexicon import Lexicon
from toeroom.answers.patterns import SKIPPED, Hit, Phrases
from toeroom.answers.sides import SideHit

YES, NO, UNKNOWN = "yes", "no", "unknown"
FLIPPED = {YES: NO, NO: YES}
_CONJUNCTIONS = {"or", "nor", "and", "&", "/", "+"}
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
_IFS = {
    "if",
    "in",
    "should",
    "what",
    "unless",
    "until",
    "when",
    "watch",
    "look",
    "check",
    "call",
    "stop",
    "to",
}
_LIGHT = {"is", "very", "really", "all", "wear", "wearing", "have", "use", "keep", "got", "any", "be"}
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
_TURNS = {"but", "however", "although", "though", "except", "apart", "aside", "whereas", "while", "yet"}


@dataclass
class Mention:
    """A finding named in a sentence; `role` as in `lexicon.Meaning`; `value` "" while it says nothing."""

    id: str
    role: str
    start: int
    end: int
    value: str = ""
    side: str = ""
    cue: str = ""
    segment: int = 0
    presupposed: bool = False
    topical: bool = False
    sided: bool = False
    sides: list[str] = field(default_factory=list)


class Judge:
    """Judges the mentions of one sentence."""

    def __init__(
        self,
        sentence: Sentence,
        mentions: Sequence[Mention],
        hits: Sequence[Hit[str]],
        sides: Sequence[SideHit],
        cues: Cues,
        lexicon: Lexicon,
    ) -> None:
        self.sentence, self.mentions, self.sides = sentence, mentions, sides
        self.cues, self.lexicon = cues, lexicon
        self.stems, self.tokens = sentence.stems, sentence.tokens
        self.hits: dict[str, list[Hit[str]]] = {}
        for hit in hits:
            self.hits.setdefault(hit.meaning, []).append(hit)
        self.covered = {i for m in mentions if m.role != "about" for i in range(m.start, m.end)}
        self.phrase_hits: dict[str, list[Hit[str]]] = {}
        self.scopes = [(h, self._reach(h)) for h in self._of("negation_before")]
        idle = [h for h, reach in self.scopes if not any(h.end <= m.start < reach for m in mentions)]
        self.hits.setdefault("negation_after", []).extend(
            h for h in idle if self.stems[h.start] in _EITHER_WAY
        )
        doubts = [
            h for h in self._of("unknown_before") if not any(h.end <= m.start <= h.end + 6 for m in mentions)
        ]
        self.hits.setdefault("unknown_after", []).extend(doubts)

    def judge(self) -> None:
        """Sets `value` and `cue` of every mention; a mention that says nothing keeps ""."""
        for mention in self.mentions:
            if mention.presupposed:
                mention.value = YES
            elif not self._is_supposed(mention) and not self._is_of_others(mention):
                self._judge(mention)

    def _judge(self, mention: Mention) -> None:
        unknown = "" if self._is_place(mention) else self._unknown(mention)
        if unknown:
            mention.value, mention.cue = UNKNOWN, unknown
            return
        if mention.role == "about":
            mention.value, mention.cue = self.judgement(mention)
            return
        mention.value = mention.role
        answer = self._answer(mention)
        if answer is not None:
            value, mention.cue = answer
            mention.value = (
                value
                if mention.role == YES or value == UNKNOWN
                else (FLIPPED[value] if not self._negates_itself(mention) and value == NO else mention.role)
            )
            return
        cue = self._negation(mention)
        if cue:
            mention.value, mention.cue = FLIPPED[mention.value], cue
        elif (
            mention.topical
            and mention.role == YES
            and not self.is_generic(mention.id, self.sentence.bounds(mention.start))
        ):
            value, words = self.judgement(mention)
            if value == NO and words not in self._text(mention.start, mention.end):
                mention.value, mention.cue = value, words

    # what-if, others

    def _is_supposed(self, mention: Mention) -> bool:
        for hit in self._of("whatif_before"):
            if hit.end <= mention.start and not self._turn_between(hit.end, mention.start):
                if any(r.start <= hit.start + 1 and hit.start < r.end for r in self._of("reported")):
                    continue
                if (
                    hit.start < mention.start
                    and not self._inside(hit, mention)
                    and not self._states_anew(hit, mention)
                ):
                    return True
        for hit in self._of("whatif_after"):
            gap = self.stems[mention.end : hit.start]
            if (
                hit.start >= mention.end
                and len(gap) <= 1
                and all(w in SKIPPED or w in {"foot", "and"} for w in gap)
            ):
                return True
        if (
            self._found("general")
            and self._found("general")[0].start == 0
            and not self._found("about_a_person")
        ):
            return not self.sides
        return False

    def _states_anew(self, hit: Hit[str], mention: Mention) -> bool:
        """ "Leaflet on falls given, no fall so far": a later clause that denies is a statement."""
        number = self.sentence.segment_of(mention.start)
        if self.stems[hit.start] in _IFS or self.sentence.segment_of(hit.start) == number:
            return False
        start, _, _ = self.sentence.segments[number]
        return any(h.start == start for h in self._of("negation_before"))

    def _is_of_others(self, mention: Mention) -> bool:
        if self._found("family") and not self._turn_between(self._found("family")[0].end, mention.start):
            return True
        for person in self._found("people"):
            if person.start >= mention.start or self._turn_between(person.end, mention.start):
                continue
            if any(person.end <= h.start <= person.end + 3 for h in self._found("helps")):
                continue
            between = self.stems[person.end : mention.start]
            if len([w for w in between if w not in SKIPPED]) <= 1:
                return not ({",", ":"} & set(between))
            if any(person.end <= h.start <= person.end + 2 for h in self._found("has")):
                first_comma = next(
                    (i for i in range(person.end, mention.start) if self.stems[i] == ","), None
                )
                follow = self.stems[first_comma + 1 : first_comma + 3] if first_comma is not None else []
                return not {"he", "she", "i", "patient", "pt", "so", "her", "his"}.intersection(follow)
        return False

    # unknown

    def _unknown(self, mention: Mention) -> str:
        start, end = self.sentence.bounds(mention.start)
        before = mention.start - 1
        while before >= start and self.stems[before] in SKIPPED:
            before -= 1
        if before >= 0 and self.stems[before] == "?" and before >= start - 1:
            return "?"
        for hit in self._of("unknown_before"):
            if (
                start <= hit.start
                and hit.end <= mention.start <= hit.end + 6
                and not self._inside(hit, mention)
            ):
                return self._text(hit.start, hit.end)
        for hit in self._of("unknown_after"):
            if (
                start <= hit.start < end + 2
                and hit.start >= mention.end
                and self._reaches_back(hit.start, mention)
                and (hit.start < end or self.sentence.tokens[end].norm in ":-")
            ):
                return self._text(hit.start, hit.end)
            leads = start <= hit.start and hit.end <= mention.start <= hit.end + 3
            if leads and not any(start <= m.start and m.end <= hit.start for m in self.mentions):
                return self._text(hit.start, hit.end)
        return ""

    # what a topic is judged to be

    def judgement(self, mention: Mention, segment: tuple[int, int] | None = None) -> tuple[str, str]:
        """Yes or no by the words for good and bad in the clause of `mention`, and those words."""
        start, end = segment or self.sentence.bounds(mention.start)
        if segment is None and end < len(self.tokens) and self.tokens[end].norm in ":-":
            end = self.sentence.bounds(end + 1)[1] if end + 1 < len(self.tokens) else end
        best: tuple[int, int, str, str] | None = None
        for value, hit in self._judging_hits(mention.id):
            if not start <= hit.start < end:
                continue
            if segment is None:
                inside = hit.start >= mention.start and hit.end <= mention.end
                between = self._between(mention.end, hit.start, mention)
                gap = hit.start - mention.end if hit.start >= mention.end else 3 + mention.start - hit.end
                if (
                    inside
                    or (between and hit.start > mention.end)
                    or (hit.end <= mention.start and gap > 5)
                    or gap > 9
                ):
                    continue
            else:
                gap = hit.start - start
            if self._negated_closely(hit.start):
                value = FLIPPED[value]
            rank = (gap, hit.start - hit.end, value, self._text(hit.start, hit.end))
            if best is None or rank < best:
                best = rank
        return (best[2], best[3]) if best else ("", "")

    def is_generic(self, term_id: str, segment: tuple[int, int]) -> bool:
        """Whether only words that hold for anything judge in `segment`: "R foot normal"."""
        start, end = segment
        special = (
            {h.phrase for v, h in self._judging_hits(term_id)}
            - set(self.cues.lists["good"])
            - set(self.cues.lists["bad"])
        )
        hits = [h for _, h in self._judging_hits(term_id) if start <= h.start < end]
        return not any(h.phrase in special for h in hits)

    def _between(self, start: int, end: int, mention: Mention) -> list[Mention]:
        """Mentions from `start` to `end`, but none where they only stand in a list with `mention`."""
        inside = [m for m in self.mentions if m is not mention and start <= m.start < end]
        taken = {i for m in inside for i in range(m.start, m.end)}
        listed = {"and", "or", ",", "&", "both", "all", "is", "are"}
        loose = any(
            i not in taken and self.stems[i] not in listed and self.stems[i] not in SKIPPED
            for i in range(start, end)
        )
        return inside if loose or any(m.role != "about" for m in inside) else []

    def _judging_hits(self, term_id: str) -> list[tuple[str, Hit[str]]]:
        judgements = self.lexicon.judgements.get(term_id)
        if judgements is None:
            return []
        hits: list[tuple[str, Hit[str]]] = []
        for name, value, own in (("good", NO, judgements.no_if), ("bad", YES, judgements.yes_if)):
            key = f"{name} {term_id}"
            if key not in self.phrase_hits:
                phrases = self.cues.sets.get(key)
                if phrases is None:
                    phrases = self.cues.sets[key] = Phrases([(p, name) for p in own])
                self.phrase_hits[key] = phrases.find(self.tokens, self.stems)
            hits += [(value, h) for h in self.phrase_hits[key]]
            if judgements.generic:
                hits += [(value, h) for h in self._found(name)]
        return [(v, h) for v, h in hits if not any(o.covers(h) for _, o in hits)]

    def _negated_closely(self, start: int) -> bool:
        for i in range(start - 1, max(-1, start - 3), -1):
            if self.stems[i] in {"not", "never", "no"}:
                return True
            if self.stems[i] not in SKIPPED and self.stems[i] not in {
                "very",
                "so",
                "too",
                "quite",
                "all",
                "really",
                "is",
            }:
                return False
        return False

    # answers: "fever: no", "bunion +", "corns - nil"

    def _answer(self, mention: Mention) -> tuple[str, str] | None:
        i = mention.end
        while i < len(self.stems) and self.stems[i] in {
            "left",
            "right",
            "l",
            "r",
            "lt",
            "rt",
            "both",
            "(",
            ")",
            "now",
            "bilateral",
        }:
            i += 1
        if i >= len(self.tokens):
            return None
        token = self.tokens[i]
        after = self.tokens[i + 1] if i + 1 < len(self.tokens) else None
        closes = after is None or (after.kind == "mark" and after.norm in ",;.)")
        if token.norm in "+-" and token.kind == "mark" and (not token.spaced or token.norm == "+" or closes):
            if after is not None and after.norm == "ve":
                return (YES if token.norm == "+" else NO), token.norm
            if after is None or after.spaced or after.kind == "mark":
                return (YES if token.norm == "+" else NO), token.norm
            return None
        if token.norm not in {":", "-", "=", "?", "("}:
            return None
        j = i + 1
        for name, value in (("unknown_words", UNKNOWN), ("no_words", NO), ("yes_words", YES)):
            for hit in self._found(name):
                if hit.start == j and self._closed(hit.end):
                    return value, self._text(hit.start, hit.end)
        return None

    def _closed(self, i: int) -> bool:
        if i >= len(self.tokens) or self.tokens[i].kind == "mark":
            return True
        return (
            any(s.start == i for s in self.sides) or self.stems[i] in _TURNS or self.stems[i] in {"on", "and"}
        )

    # negation

    def _negation(self, mention: Mention) -> str:
        own = self._negates_itself(mention)
        for hit in self._of("still_there"):
            if hit.start >= mention.end and self._reaches_back(hit.start, mention):
                return ""
        if own:
            return ""
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
            if near < place - 1 or not lone or sided or end - cue_start > _LONE_CUE:
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
            if (
                consumed
                and i not in self.covered
                and self.stems[i] not in SKIPPED
                and self.stems[i] not in {"or", "nor"}
            ):
                inner = next(m for m in self.mentions if m.start <= hit.start and hit.end <= m.end)
                if i >= inner.end:
                    return i
        return end

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

    # small looks around

    def _is_place(self, mention: Mention) -> bool:
        judgements = self.lexicon.judgements.get(mention.id)
        return mention.role == "about" and judgements is not None and judgements.place

    def _shares_negation(self, hit: Hit[str], mention: Mention) -> bool:
        """Whether the negation of a cue is a word of the mention itself: "reports no loss of feeling"."""
        shared = self.stems[mention.start : hit.end] if hit.end > mention.start else []
        return bool(_NEGATING.intersection(shared))

    def _negates_itself(self, mention: Mention) -> bool:
        return mention.role == YES and bool(_NEGATING.intersection(self.stems[mention.start : mention.end]))

    def _of(self, kind: str) -> list[Hit[str]]:
        return self.hits.get(kind, [])

    def _found(self, name: str) -> list[Hit[str]]:
        if name not in self.phrase_hits:
            self.phrase_hits[name] = self.cues.sets[name].find(self.tokens, self.stems)
        return self.phrase_hits[name]

    def _inside(self, hit: Hit[str], mention: Mention) -> bool:
        return mention.start <= hit.start < mention.end

    def _turn_between(self, start: int, end: int) -> bool:
        return any(w in _TURNS or w == ";" for w in self.stems[start:end])

    def _gap(self, start: int, end: int) -> int:
        return sum(w not in SKIPPED and w not in _LIGHT for w in self.stems[start:end])

    def _text(self, start: int, end: int) -> str:
        return " ".join(t.norm for t in self.tokens[start:end])
