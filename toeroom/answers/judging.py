"""Whether a finding that is named is there, is not, is not known, or is not spoken of at all."""

from __future__ import annotations

from collections.abc import Sequence

from toeroom.answers.clauses import Sentence
from toeroom.answers.cues import Cues
from toeroom.answers.lexicon import Lexicon
from toeroom.answers.looking import TURNS
from toeroom.answers.mentions import FLIPPED, NO, UNKNOWN, YES, Mention
from toeroom.answers.negating import Negating
from toeroom.answers.patterns import SKIPPED, Hit, Phrases
from toeroom.answers.quantities import UNITS
from toeroom.answers.sides import SideHit

_UNLOOKED = {"not noted", "not seen", "not reported"}
"""Said of a test or a topic, these leave it open; said of a finding they deny it."""
_TESTS = {"test", "check", "exam", "result", "report", "testing", "examination"}
_AMOUNTS = {"half", "bit", "deal", "few", "many", "finger", "thumb", "hour", "minute", "way", "inch", "third"}
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


class Judge(Negating):
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
        super().__init__(sentence, mentions, hits, sides, cues, lexicon)
        doubts = [
            h
            for h in self._of("unknown_before")
            if not any(h.end <= m.start <= h.end + 6 for m in mentions)
            or any(m.end == h.start for m in mentions)
        ]
        self.hits.setdefault("unknown_after", []).extend(doubts)

    def judge(self, *, supposed: bool = False) -> None:
        """Sets `value` and `cue` of every mention; a mention that says nothing keeps "".

        `supposed`: what is only supposed counts as stated.
        """
        for mention in self.mentions:
            if (not supposed and self._is_supposed(mention)) or self._is_of_others(mention):
                continue
            if mention.presupposed:
                mention.value = YES
            elif not self._was_believed(mention):
                self._judge(mention)

    def _judge(self, mention: Mention) -> None:
        unknown = self._headed_unknown(mention)
        if not unknown and not self._is_place(mention):
            unknown = self._unknown(mention)
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
            if value == YES and (cue := self._negation(mention)):
                # "No seam over the joint: true": it agrees with what is said.
                value, mention.cue = NO, cue
            mention.value = (
                value
                if mention.role == YES or value == UNKNOWN
                else (FLIPPED[value] if not self.negates_itself(mention) and value == NO else mention.role)
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

    def _was_believed(self, mention: Mention) -> bool:
        """ "Thought there was a wound; it was fluff": what was only taken for it says nothing."""
        return any(
            hit.end <= mention.start and not self._turn_between(hit.end, mention.start)
            for hit in self._of("believed")
        )

    def _is_supposed(self, mention: Mention) -> bool:
        for hit in self._of("whatif_before"):
            # "Told never to go barefoot": the finding may begin inside the cue.
            before = hit.end <= mention.start or hit.start < mention.start < hit.end < mention.end
            if before and not self._turn_between(hit.end, mention.start):
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
            helps = [h for h in self._found("helps") if person.end <= h.start <= person.end + 3]
            if any(not self._negated_closely(h.start) for h in helps):
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

    def _headed_unknown(self, mention: Mention) -> str:
        """ "Not asked: allergies, falls", "falls, allergies: not asked"."""
        segments = self.sentence.segments
        if len(segments) < 2 or segments[1][2] != ":":
            return ""
        start, end, _ = segments[0] if mention.start >= segments[1][0] else segments[1]
        heads = [h for h in self._of("unknown_after") if h.start == start and h.end >= end]
        return self._text(heads[0].start, heads[0].end) if heads and not self._is_place(mention) else ""

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
        if mention.role == "about" and self._is_no_test(mention):
            return "no"
        unlooked = [
            h for h in self._of("negation_after") if h.phrase in _UNLOOKED and mention.role == "about"
        ]
        for hit in (*self._of("unknown_after"), *unlooked):
            if (
                start <= hit.start < end + 4
                and hit.start >= mention.end
                and self._reaches_back(hit.start, mention)
                and (hit.start < end or self.sentence.tokens[end].norm in ":-")
            ):
                return self._text(hit.start, hit.end)
            leads = start <= hit.start and hit.end <= mention.start <= hit.end + 3
            if leads and not any(start <= m.start and m.end <= hit.start for m in self.mentions):
                return self._text(hit.start, hit.end)
        return ""

    def _is_no_test(self, mention: Mention) -> bool:
        """ "No filament test on file", "no pulse check done": what was not tested is not known."""
        before = self.stems[mention.start - 1] if mention.start else ""
        if before == "no" and self.stems[mention.end - 1] in _TESTS:
            return True
        after = [w for w in self.stems[mention.end : mention.end + 4] if w not in SKIPPED]
        if after[:1] and after[0] in _TESTS:
            return before == "no"
        return before == "no" and any(
            after[: len(words)] == words for words in (["on", "file"], ["on", "record"], ["done"], ["taken"])
        )

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
        hits = [(v, h) for v, h in hits if not self._measures_out(h)]
        return [(v, h) for v, h in hits if not any(o.covers(h) for _, o in hits)]

    def _measures_out(self, hit: Hit[str]) -> bool:
        """ "A good centimetre", "a good half hour": there "good" only says how much."""
        if self._text(hit.start, hit.end) != "good" or self.stems[hit.start - 1 : hit.start] != ["a"]:
            return False
        after = self.stems[hit.end : hit.end + 1]
        return bool(after) and (after[0] in UNITS or after[0] in _AMOUNTS or after[0][0].isdigit())

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
            any(s.start == i for s in self.sides) or self.stems[i] in TURNS or self.stems[i] in {"on", "and"}
        )
