"""What one clause or sentence leaves to another: answers, ellipses, corrections, a side on its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from toeroom.answers.clauses import Sentence
from toeroom.answers.cues import Cues
from toeroom.answers.judging import Judge
from toeroom.answers.lexicon import Lexicon
from toeroom.answers.mentions import NO, UNKNOWN, YES, Mention
from toeroom.answers.patterns import COUNTING, SKIPPED, Hit
from toeroom.answers.sides import BOTH, OPPOSITE, UNSAID, SideHit

STIFF_UNDER = 10.0
"""Degrees of dorsiflexion: "ankle bends 4 deg L, R 15" goes by the question of the vocabulary."""
_ASKING = {
    "any",
    "is",
    "are",
    "there",
    "has",
    "have",
    "you",
    "she",
    "he",
    "on",
    "in",
    "at",
    "of",
    "foot",
    "both",
}
"""Words that with a finding make a mere question: "is there any wound on the left?"."""
_OF_A_FOOT = {":", ",", "foot", "shoe", "side", "leg", "has", "have", "show", "with", "on"}


def _names_nothing_of(words: Sequence[str]) -> bool:
    """ "Right: neither", "left shoe: none of those": all that was found on the other foot is not there."""
    said = [w for w in words if w not in SKIPPED and w not in _OF_A_FOOT]
    return said[:1] in (["neither"], ["none"]) and set(said[1:]) <= {"of", "them", "it"} and len(words) <= 7


@dataclass
class Said:
    """A mention with its place in the whole text."""

    mention: Mention
    first: int
    last: int
    sentence: int


def _denied(
    told: Sequence[Mention], sides: Sequence[SideHit], sentence: Sentence, place: tuple[int, int], number: int
) -> list[Said]:
    """ "L has a bunion and a corn. R: neither": what is told of one foot, denied of the other by `place`."""
    side = next((s.side for s in sides if s.side != BOTH), "")
    start, end = place
    return [
        Said(
            replace(m, value=NO, side=side, start=start, end=end),
            sentence.offset + start,
            sentence.offset + end,
            number,
        )
        for m in told
        if side and m.value == YES and m.role == YES and m.sided
    ]


class Following:
    """Reads what later clauses say of earlier ones; `said` is filled by the reader of the text."""

    def __init__(self, sentences: Sequence[Sentence], cues: Cues, lexicon: Lexicon, supposed: bool) -> None:
        self.sentences, self.cues, self.lexicon, self.supposed = sentences, cues, lexicon, supposed
        self.said: list[Said] = []
        self.asked: list[Said] = []

    def ask_and_answer(
        self,
        number: int,
        sentence: Sentence,
        mentions: list[Mention],
        hits: Sequence[Hit[str]],
        sides: Sequence[SideHit],
    ) -> None:
        """ "Any numbness? No." and "Medicare? Didn't ask."; a lone "bunion?" is unknown."""
        if self.asked:
            answer = self._answer(sentence, hits)
            if answer:
                for earlier in self.asked:
                    earlier.mention.value = answer
                    if earlier.mention.sided and sides:
                        earlier.mention.side = sides[0].side
        self.asked = []
        supposes = any(h.meaning == "whatif_before" for h in hits)
        asks = sentence.ends_with == "?" and not self.supposed and not supposes
        if asks and mentions and len(sentence.tokens) - mentions[-1].end <= 3:
            said = [Said(m, sentence.offset + m.start, sentence.offset + m.end, number) for m in mentions]
            words = [w for w in sentence.stems if w not in SKIPPED and w not in _ASKING]
            covered = sum(m.end - m.start for m in mentions)
            following = self.sentences[number + 1] if number + 1 < len(self.sentences) else None
            replied = following is not None and bool(
                self._answer(following, self.cues.hits(following.tokens, following.stems))
            )
            if replied or len(words) - covered <= 1:
                for mention in mentions:
                    if mention.role == YES or (mention.role == "about" and not self._is_place(mention.id)):
                        mention.value = UNKNOWN
                self.asked = [s for s in said if s.mention.value] if replied else []

    def _is_place(self, term_id: str) -> bool:
        judgements = self.lexicon.judgements.get(term_id)
        return judgements is not None and judgements.place

    def _answer(self, sentence: Sentence, hits: Sequence[Hit[str]]) -> str:
        if any(h.meaning == "unknown_after" and h.start <= 4 for h in hits):
            return UNKNOWN
        for name, value in (("unknown_words", UNKNOWN), ("no_words", NO), ("yes_words", YES)):
            for hit in self.cues.sets[name].find(sentence.tokens, sentence.stems):
                if (
                    hit.end == len(sentence.tokens) <= 6
                    and hit.start
                    and sentence.tokens[hit.start - 1].norm == ","
                ):
                    return value
                closed = hit.end >= len(sentence.tokens) or sentence.tokens[hit.end].kind == "mark"
                if hit.start == 0 and (closed or len(sentence.tokens) <= 4):
                    return value
        return ""

    def ellipses(
        self,
        number: int,
        sentence: Sentence,
        mentions: Sequence[Mention],
        hits: Sequence[Hit[str]],
        sides: Sequence[SideHit],
        judge: Judge,
    ) -> list[Said]:
        """ "Pulses felt on right, absent on left": a clause with a side and a judgement but no finding."""
        added: list[Said] = []
        if not mentions and _names_nothing_of(sentence.stems):
            told = [s.mention for s in self.said if s.sentence == number - 1]
            return _denied(told, sides, sentence, (0, len(sentence.tokens)), number)
        for place, (start, end, _) in enumerate(sentence.segments):
            here = [s for s in sides if start <= s.start < end]
            if not here or any(start <= m.start < end and (m.value or m.role != "about") for m in mentions):
                continue
            if not place and here[0].side == BOTH:
                continue
            words = sentence.stems[start:end]
            if place and "neither" in words and _names_nothing_of(words):
                told = [m for m in mentions if m.end <= start]
                added += _denied(told, here, sentence, (start, end), number)
                continue
            last = self._last_said(number, sentence, mentions, place)
            for mention in [*last]:
                value = self._elliptic_value(sentence, mention, (start, end), hits, judge)
                if value:
                    self._heads_a_list(sentence, mention, sides)
                    clone = replace(mention, value=value, side=here[0].side, start=start, end=end)
                    if value == "past":
                        clone.id, clone.value = self.cues.past_becomes.get(mention.id, mention.id), YES
                    if clone.sided:
                        added.append(Said(clone, sentence.offset + start, sentence.offset + end, number))
        return added

    def _heads_a_list(self, sentence: Sentence, mention: Mention, sides: Sequence[SideHit]) -> None:
        """ "Bunion: L yes, R no": the word before the colon only names what is told of each foot."""
        _, end = sentence.bounds(mention.start)
        colon = end < len(sentence.tokens) and sentence.tokens[end].norm in ":-"
        if colon and mention.segment == 0 and not any(s.start < end for s in sides):
            mention.value = ""

    def _last_said(
        self, number: int, sentence: Sentence, mentions: Sequence[Mention], place: int
    ) -> list[Mention]:
        for earlier in range(place - 1, -1, -1):
            inside = [m for m in mentions if m.segment == earlier]
            if inside:
                headed = sentence.segments[earlier + 1][2] in {":", "-"}
                return [m for m in inside if m.value or m.role == "about" or headed]
        first, after, _ = sentence.segments[0]
        short = after - first <= 8 and len(sentence.tokens) <= 12 and place == 0
        if short and self.said and self.said[-1].sentence == number - 1 and not mentions:
            last = [s.mention for s in self.said if s.sentence == number - 1]
            here = [m for m in last if m.segment == last[-1].segment]
            return ([m for m in here if m.value] or [m for m in here if m.role == "about"])[-1:]
        return []

    def _elliptic_value(
        self,
        sentence: Sentence,
        mention: Mention,
        bounds: tuple[int, int],
        hits: Sequence[Hit[str]],
        judge: Judge,
    ) -> str:
        start, end = bounds
        inside = [h for h in hits if start <= h.start < end]
        if self._is_another_past(mention, sentence.stems[start:end], inside):
            return "past"
        barred = {"history_before"} if self.supposed else {"whatif_before", "history_before"}
        if any(h.meaning in barred for h in inside):
            return ""
        if any(h.meaning in {"unknown_after", "unknown_before"} for h in inside):
            return UNKNOWN
        if any(h.meaning == "still_there" for h in inside) and mention.role == YES:
            return YES
        value, _ = judge.judgement(mention, bounds)
        if value and mention.topical and not judge.is_generic(mention.id, bounds):
            return value
        degrees = [t for t in sentence.tokens[start:end] if t.kind == "figure"]
        if mention.id == "stiff_ankle" and mention.value and len(degrees) == 1 and end - start <= 4:
            return NO if float(degrees[0].norm) >= STIFF_UNDER else YES
        for name, said in (("yes_words", YES), ("no_words", NO)):
            found = self.cues.sets[name].find(sentence.tokens[start:end], sentence.stems[start:end])
            if found and end - start <= 4 and mention.role == YES and "not" not in sentence.stems[start:end]:
                return said
        same_thing = mention.topical or bool({"one", "ones"} & set(sentence.stems[start:end]))
        if value and (same_thing or not judge.is_generic(mention.id, bounds)):
            return value
        return (
            "" if mention.role == "about" else self._elliptic_words(sentence, mention, bounds, inside, judge)
        )

    def _is_another_past(self, mention: Mention, words: Sequence[str], inside: Sequence[Hit[str]]) -> bool:
        """ "Ulcer L healed. Had one on the right in 2015": one more of the same, long ago."""
        past = mention.id in set(self.cues.past_becomes.values())
        told = any(h.meaning in {"history_before", "history_after"} for h in inside)
        return past and told and "one" in words and not {"no", "not", "never"} & set(words)

    def _elliptic_words(
        self,
        sentence: Sentence,
        mention: Mention,
        bounds: tuple[int, int],
        inside: Sequence[Hit[str]],
        judge: Judge,
    ) -> str:
        """What "gone", "not so", "big one", "none", "does" or "too" in a clause say of `mention`."""
        start, end = bounds
        tokens, words = sentence.tokens[start:end], sentence.stems[start:end]
        stated = mention.role == YES
        if any(h.meaning == "gone_after" for h in inside) and mention.id in self.cues.past_becomes and stated:
            return "past"
        if any(h.meaning in {"negation_after", "negation_short", "gone_after"} for h in inside):
            return NO if stated or mention.value == YES else YES
        plain = "one" in words and not {"no", "not", "that", "never"} & set(words) and len(words) <= 5
        if plain and mention.value in {YES, NO}:
            return YES if self.cues.sets["one_words"].find(tokens, words) else ""
        if {"not", "never"} & set(words) or (
            words and words[-1] in {"no", "none", "nil", "clear", "without"}
        ):
            return NO if mention.value in {YES, UNKNOWN} else YES if mention.value == NO else ""
        turned = (words[:1] == ["but"] and len(words) <= 4) or words[-1:] in (["does"], ["has"], ["is"])
        if mention.value == NO and stated and turned:
            return YES
        if mention.value == YES and stated and words[-1:] == ["does"]:
            return NO if judge.negates_itself(mention) else YES
        headed = start > 0 and sentence.tokens[start - 1].norm == ":"
        if headed and stated and len(words) <= 4 and (tokens[0].kind == "figure" or words[0] in COUNTING):
            return NO if words[0] in {"0", "zero"} else YES
        same = self.cues.sets["same_words"].find(tokens, words)
        return mention.value if same and len(words) <= 8 else ""

    def corrections(
        self, sentence: Sentence, stated: list[Said], hits: Sequence[Hit[str]], sides: Sequence[SideHit]
    ) -> None:
        """ "Bunion R, sorry, L" moves a side; "ulcer, no, closed now" takes a finding back."""
        self._restated(sentence, stated, hits, sides)
        for place, (start, end, _) in enumerate(sentence.segments):
            words = sentence.stems[start:end]
            marked = [h for h in hits if h.meaning == "corrections" and start <= h.start < end]
            taken_back = bool(marked) or words[:1] in (["no"], ["wrong"])
            if not taken_back or not place:
                continue
            before = [s for s in stated if s.mention.value and s.mention.segment < place]
            later_sides = [s for s in sides if s.start >= start]
            own = [s for s in stated if s.mention.start >= start and s.mention.segment == place]
            if words in (["no"], ["wrong"]) and not own:
                self._take_back(sentence, place, before, later_sides)
            elif later_sides and before and not own and len(words) <= 5:
                last = before[-1].mention
                last.side = later_sides[0].side
                if last.cue == "not" and last.role == YES:
                    # "Bunion not L, I meant R": only the side was denied.
                    last.value = YES

    def _moved(self, sentence: Sentence, sides: Sequence[SideHit]) -> None:
        """ "Blister R heel. Sorry, it is the left one": what was said last is on the other foot."""
        last = max((s.sentence for s in self.said if s.first < sentence.offset), default=-1)
        for said in self.said:
            other = OPPOSITE.get(said.mention.side)
            if said.sentence == last and other and sides[0].side == other:
                said.mention.side = other

    def _restated(
        self,
        sentence: Sentence,
        stated: Sequence[Said],
        hits: Sequence[Hit[str]],
        sides: Sequence[SideHit],
    ) -> None:
        """ "Right bunion. Correction: it is the left": what is said anew was wrong before."""
        if not any(h.meaning == "corrections" and h.start == 0 for h in hits):
            return
        if sides and not any(s.mention.value == YES for s in stated):
            self._moved(sentence, sides)
        if not stated:
            return
        anew, number = {s.mention.id for s in stated if s.mention.value}, stated[0].sentence
        for earlier in self.said:
            if earlier.sentence == number - 1 and earlier.mention.id in anew:
                earlier.mention.value = ""

    def _take_back(
        self, sentence: Sentence, place: int, before: list[Said], later_sides: Sequence[SideHit]
    ) -> None:
        if not before:
            return
        last = before[-1].mention
        following = sentence.segments[place + 1] if place + 1 < len(sentence.segments) else None
        words = sentence.stems[following[0] : following[1]] if following else []
        if later_sides and len(words) <= 4:
            last.side, last.value = later_sides[0].side, YES if last.role == YES else last.role
            return
        healed = self.cues.sets_gone(words)
        becomes = self.cues.past_becomes.get(last.id)
        last.value = NO
        if healed and becomes:
            before.append(
                Said(
                    replace(last, id=becomes, value=YES),
                    before[-1].first,
                    before[-1].last,
                    before[-1].sentence,
                )
            )
            self.said.append(before[-1])

    def side_afterwards(self, number: int, sentence: Sentence, sides: Sequence[SideHit]) -> None:
        """ "Charcot quiet. R foot.": a sentence that is only a side belongs to what stands before it."""
        named = {i for s in sides for i in range(s.start, s.end)}
        rest = {w for i, w in enumerate(sentence.stems) if i not in named}
        if rest <= {"foot", "side", "only", "the", "on", ",", "leg"} and len({s.side for s in sides}) == 1:
            for said in self.said:
                if said.sentence == number - 1 and said.mention.sided and said.mention.side == UNSAID:
                    said.mention.side = sides[0].side
