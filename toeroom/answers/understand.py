"""Understanding a text: the findings and numbers it states, each with side, value and its words.

Deterministic and offline: phrases of the vocabulary and of kb/lexicon.yaml are looked for, then cues
(kb/cues.yaml) say whether each is there, is not, is not known, or is not about this person at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from toeroom.answers.attributing import Memory, attribute_sides
from toeroom.answers.clauses import Sentence, cut_into_segments, sentences
from toeroom.answers.cues import Cues
from toeroom.answers.figures import Figure, Figures
from toeroom.answers.judging import NO, UNKNOWN, YES, Judge, Mention
from toeroom.answers.lexicon import Lexicon, Meaning
from toeroom.answers.patterns import Hit
from toeroom.answers.sides import BOTH, OPPOSITE, PERSON, UNSAID, SideHit, find_sides
from toeroom.answers.timing import clock_of_measuring
from toeroom.answers.tokens import Token, tokenise
from toeroom.vocabulary import Vocabulary


@dataclass(frozen=True, slots=True)
class Understood:
    """One thing a text states.

    For a finding `state` is yes, no or unknown and `value` is None; for a measure `state` is "" and
    `value` is in the unit of its id. `text` are the words it came from, from place `start` to `end`
    of the text; `cue` are the words that made it no or unknown, if any.
    """

    id: str
    side: str
    state: str
    value: float | None
    text: str
    start: int
    end: int
    cue: str = ""

    def as_json(self) -> dict[str, object]:
        """An entry of `understood` as in the contract."""
        if self.value is not None:
            return {"measure": self.id, "side": self.side, "value": self.value, "text": self.text}
        return {"finding": self.id, "side": self.side, "is": self.state, "text": self.text}


def understand(text: str, vocabulary: Vocabulary, cues: Cues) -> list[Understood]:
    """What `text` states, in the order of the text; the same text gives the same list."""
    return _Reader(text, vocabulary, cues).read()


@dataclass
class _Said:
    """A mention with its place in the whole text."""

    mention: Mention
    first: int
    last: int
    sentence: int


class _Reader:
    """Reads one text, sentence by sentence, and keeps what later sentences refer back to."""

    def __init__(self, text: str, vocabulary: Vocabulary, cues: Cues) -> None:
        self.text, self.vocabulary, self.cues = text, vocabulary, cues
        self.lexicon: Lexicon = cues.lexicon(vocabulary)
        self.tokens = tokenise(text)
        stems = [self.lexicon.speller.mend(t.stem) for t in self.tokens]
        self.sentences = sentences(self.tokens, stems)
        self.memory = Memory()
        self.said: list[_Said] = []
        self.figures = Figures(vocabulary, self.lexicon)
        self.numbers: list[tuple[Figure, int]] = []
        self.asked: list[_Said] = []

    def read(self) -> list[Understood]:
        for number, sentence in enumerate(self.sentences):
            self._sentence(number, sentence)
        clock = clock_of_measuring(self.sentences, self.said_ids("measured_morning"))
        found = [self._understood(s) for s in self.said if s.mention.value]
        found += [self._number(figure, offset) for figure, offset in self.numbers]
        if clock is not None and "measured_morning" in self.vocabulary.findings:
            state, first, last = clock
            found.append(self._entry("measured_morning", PERSON, state, first, last))
        return _settled([*found, *self._implied(found)])

    def said_ids(self, term_id: str) -> bool:
        return any(s.mention.id == term_id and s.mention.value for s in self.said)

    # one sentence

    def _sentence(self, number: int, sentence: Sentence) -> None:
        hits = self.cues.hits(sentence.tokens, sentence.stems)
        mentions = self._mentions(sentence)
        cut_into_segments(sentence, [h for h in hits if h.meaning == "but" and not _in_mention(h, mentions)])
        for mention in mentions:
            mention.segment = sentence.segment_of(mention.start)
        sides = find_sides(sentence.tokens, sentence.stems, self.memory.last)
        judge = Judge(sentence, mentions, hits, sides, self.cues, self.lexicon)
        judge.judge()
        back = bool(self.cues.sets["same_place"].find(sentence.tokens, sentence.stems))
        header = self.memory.header
        attribute_sides(sentence, [m for m in mentions if m.value], sides, self.memory, back)
        self._history(sentence, mentions, hits)
        self._ask_and_answer(number, sentence, mentions, hits, sides)
        stated = [_Said(m, sentence.offset + m.start, sentence.offset + m.end, number) for m in mentions]
        stated += self._ellipses(number, sentence, mentions, hits, sides, judge)
        self._corrections(sentence, stated, hits, sides)
        self.said += stated
        figures = self.figures.read(sentence, sides, self.memory, header, back)
        self.numbers += [(figure, sentence.offset) for figure in figures]
        self._counted(sentence, stated, figures)
        if sides:
            self.memory.last = (
                sides[-1].side if sides[-1].side in OPPOSITE else self.memory.last or sides[-1].side
            )
            self.memory.last_sided = sides[-1].side

    def _mentions(self, sentence: Sentence) -> list[Mention]:
        hits = sorted(
            self.lexicon.findings.find(sentence.tokens, sentence.stems), key=lambda h: (h.start, -h.end)
        )
        labels = [
            h for h in self.lexicon.measures.find(sentence.tokens, sentence.stems) if h.end - h.start > 1
        ]
        kept: list[Mention] = []
        for hit in hits:
            if hit.meaning.role == "nothing":
                continue
            if hit.meaning.role == "about" and any(h.start <= hit.start < h.end for h in labels):
                continue
            inside = self._holds(
                hit, [h for h in hits if h.start <= hit.end and h.end >= hit.start and h is not hit]
            )
            if inside is None:
                continue
            mention = Mention(hit.meaning.id, hit.meaning.role, hit.start, hit.end, presupposed=inside)
            mention.topical = any(
                h.meaning == Meaning(mention.id, "about") and hit.start <= h.start < hit.end for h in hits
            )
            mention.sided = self.vocabulary.by_id[mention.id].scope == "foot"
            mention.side = UNSAID if mention.sided else PERSON
            if not any(m.id == mention.id and m.start < mention.end and mention.start < m.end for m in kept):
                kept.append(mention)
        return kept

    def _holds(self, hit: Hit[Meaning], rivals: Iterable[Hit[Meaning]]) -> bool | None:
        """None where a longer phrase takes the words of `hit`; True where one presupposes it."""
        presupposed = False
        for rival in rivals:
            weak = rival.meaning.role == "about" and hit.meaning.role != "about"
            overlaps = rival.start < hit.end and hit.start < rival.end
            if hit.meaning.role == "about" and rival.meaning.role != "about" and overlaps:
                return None
            if weak:
                continue
            if rival.meaning.id == hit.meaning.id:
                if overlaps and (rival.end - rival.start) > (hit.end - hit.start):
                    return None
                continue
            if not rival.covers(hit):
                continue
            if hit.meaning.id not in self.lexicon.within.get(rival.meaning.id, ()):
                return None
            presupposed = presupposed or rival.meaning.id in self.lexicon.presupposed
        return presupposed

    def _counted(self, sentence: Sentence, stated: Sequence[_Said], figures: Sequence[Figure]) -> None:
        """ "Filament felt at 8 of 10": the count speaks, not the word "felt"."""
        missed = [f for f in figures if f.id == "filament_sites_missed" and f.value]
        clauses = {sentence.segment_of(f.end - 1) for f in missed}
        for said in stated:
            mention = said.mention
            if mention.id != "sensation_lost" or mention.value != NO:
                continue
            if mention.segment in clauses or any(mention.side in {f.side, UNSAID} for f in missed):
                mention.value = ""

    # the past

    def _history(self, sentence: Sentence, mentions: Sequence[Mention], hits: Sequence[Hit[str]]) -> None:
        lasting = self.cues.lists["lasting"]
        for mention in mentions:
            if mention.value not in {YES, NO} or mention.role != YES:
                continue
            becomes = self.cues.past_becomes.get(mention.id)
            if becomes and self._healed(sentence, mention, mentions, hits):
                mention.id, mention.value = becomes, YES
                continue
            if mention.value == YES and mention.id not in lasting and self._is_past(sentence, mention, hits):
                mention.id = becomes or mention.id
                mention.value = YES if becomes else ""

    def _healed(
        self, sentence: Sentence, mention: Mention, mentions: Sequence[Mention], hits: Sequence[Hit[str]]
    ) -> bool:
        if any(
            m.id in {"past_ulcer", "ulcer_healed_recently"} and m.role == YES and m.start > mention.start
            for m in mentions
        ):
            between = sentence.stems[mention.end :]
            if mention.value == YES and "not" not in between[:4]:
                return True
        for hit in hits:
            if hit.meaning == "gone_after" and hit.start >= mention.end and mention.value == NO:
                words = " ".join(t.norm for t in sentence.tokens[hit.start : hit.end])
                return mention.cue == words and "no" not in sentence.stems[mention.end : hit.start]
        return False

    def _is_past(self, sentence: Sentence, mention: Mention, hits: Sequence[Hit[str]]) -> bool:
        start, end = sentence.bounds(mention.start)
        still = self.cues.sets["still"].find(
            sentence.tokens[mention.end : end], sentence.stems[mention.end : end]
        )
        if still:
            return False
        for hit in hits:
            if (
                hit.meaning == "history_before"
                and start <= hit.start
                and hit.end <= mention.start <= hit.end + 3
            ):
                return True
            if hit.meaning == "history_before" and hit.start == 0 and hit.end <= mention.start:
                follow = sentence.tokens[hit.end].norm if hit.end < len(sentence.tokens) else ""
                if follow == ":":
                    return True
            if hit.meaning == "history_after" and mention.end <= hit.start <= min(end, mention.end + 7):
                return True
        return False

    # questions and answers, ellipses, corrections

    def _ask_and_answer(
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
        if sentence.ends_with == "?" and mentions and len(sentence.tokens) - mentions[-1].end <= 3:
            said = [_Said(m, sentence.offset + m.start, sentence.offset + m.end, number) for m in mentions]
            words = [w for w in sentence.stems if w not in {"any", "the", "a", "an"}]
            covered = sum(m.end - m.start for m in mentions)
            following = self.sentences[number + 1] if number + 1 < len(self.sentences) else None
            replied = following is not None and bool(
                self._answer(following, self.cues.hits(following.tokens, following.stems))
            )
            if replied or len(words) - covered <= 1:
                for mention in mentions:
                    if mention.role in {YES, "about"}:
                        mention.value = UNKNOWN
                self.asked = said if replied else []

    def _answer(self, sentence: Sentence, hits: Sequence[Hit[str]]) -> str:
        if any(h.meaning == "unknown_after" and h.start <= 2 for h in hits):
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

    def _ellipses(
        self,
        number: int,
        sentence: Sentence,
        mentions: Sequence[Mention],
        hits: Sequence[Hit[str]],
        sides: Sequence[SideHit],
        judge: Judge,
    ) -> list[_Said]:
        """ "Pulses felt on right, absent on left": a clause with a side and a judgement but no finding."""
        added: list[_Said] = []
        for place, (start, end, _) in enumerate(sentence.segments):
            here = [s for s in sides if start <= s.start < end]
            if not here or any(start <= m.start < end and (m.value or m.role != "about") for m in mentions):
                continue
            if not place and here[0].side == BOTH:
                continue
            last = self._last_said(number, sentence, mentions, place)
            for mention in [*last]:
                value = self._elliptic_value(sentence, mention, (start, end), hits, judge)
                if value:
                    self._heads_a_list(sentence, mention, sides)
                    clone = replace(mention, value=value, side=here[0].side, start=start, end=end)
                    if value == "past":
                        clone.id, clone.value = self.cues.past_becomes[mention.id], YES
                    if clone.sided:
                        added.append(_Said(clone, sentence.offset + start, sentence.offset + end, number))
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
        short = len(sentence.tokens) <= 8 and place == 0
        if short and self.said and self.said[-1].sentence == number - 1 and not mentions:
            last = [s.mention for s in self.said if s.sentence == number - 1]
            return [m for m in last if m.segment == last[-1].segment and m.value][-1:]
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
        if any(h.meaning in {"whatif_before", "history_before"} for h in inside):
            return ""
        if any(h.meaning in {"unknown_after", "unknown_before"} for h in inside):
            return UNKNOWN
        if any(h.meaning == "still_there" for h in inside) and mention.role == YES:
            return YES
        for name, said in (("yes_words", YES), ("no_words", NO)):
            found = self.cues.sets[name].find(sentence.tokens[start:end], sentence.stems[start:end])
            if found and end - start <= 4 and mention.role == YES and "not" not in sentence.stems[start:end]:
                return said
        value, _ = judge.judgement(mention, bounds)
        if value and (mention.topical or not judge.is_generic(mention.id, bounds)):
            return value
        if mention.role == "about":
            return ""
        if (
            any(h.meaning == "gone_after" for h in inside)
            and mention.id in self.cues.past_becomes
            and mention.role == YES
        ):
            return "past"
        if any(h.meaning in {"negation_after", "negation_short", "gone_after"} for h in inside):
            return NO if mention.role == YES or mention.value == YES else YES
        words = sentence.stems[start:end]
        if (
            "one" in words
            and not {"no", "not", "that"} & set(words)
            and len(words) <= 5
            and mention.value in {YES, NO}
        ):
            return YES if self.cues.sets["one_words"].find(sentence.tokens[start:end], words) else ""
        if "not" in words or (words and words[-1] in {"no", "none", "nil", "clear"}):
            return NO if mention.value in {YES, UNKNOWN} else YES if mention.value == NO else ""
        same = self.cues.sets["same_words"].find(sentence.tokens[start:end], words)
        if same and len(words) <= 8:
            return mention.value
        return ""

    def _corrections(
        self, sentence: Sentence, stated: list[_Said], hits: Sequence[Hit[str]], sides: Sequence[SideHit]
    ) -> None:
        """ "Bunion R, sorry, L" moves a side; "ulcer, no, closed now" takes a finding back."""
        for place, (start, end, _) in enumerate(sentence.segments):
            words = sentence.stems[start:end]
            marked = [h for h in hits if h.meaning == "corrections" and start <= h.start < end]
            taken_back = bool(marked) or words[:1] == ["no"]
            if not taken_back or not place:
                continue
            before = [s for s in stated if s.mention.value and s.mention.segment < place]
            later_sides = [s for s in sides if s.start >= start]
            own = [s for s in stated if s.mention.start >= start and s.mention.segment == place]
            if words == ["no"] and not own:
                self._take_back(sentence, place, before, later_sides)
            elif later_sides and before and not own and len(words) <= 5:
                before[-1].mention.side = later_sides[0].side

    def _take_back(
        self, sentence: Sentence, place: int, before: list[_Said], later_sides: Sequence[SideHit]
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
                _Said(
                    replace(last, id=becomes, value=YES),
                    before[-1].first,
                    before[-1].last,
                    before[-1].sentence,
                )
            )
            self.said.append(before[-1])

    # results

    def _understood(self, said: _Said) -> Understood:
        mention = said.mention
        return replace(
            self._entry(mention.id, mention.side, mention.value, said.first, said.last), cue=mention.cue
        )

    def _entry(self, term_id: str, side: str, state: str, first: int, last: int) -> Understood:
        start, end = _span(self.tokens, first, last)
        side = side if self.vocabulary.by_id[term_id].scope == "foot" else PERSON
        return Understood(term_id, side, state, None, self.text[start:end], start, end)

    def _number(self, figure: Figure, offset: int) -> Understood:
        start, end = _span(self.tokens, offset + figure.start, offset + figure.end)
        return Understood(figure.id, figure.side, "", figure.value, self.text[start:end], start, end)

    def _implied(self, found: Sequence[Understood]) -> list[Understood]:
        more = []
        for entry in found:
            for other in self.lexicon.implies.get(entry.id, ()) if entry.state == YES else ():
                blister = other == "open_wound" and any(
                    f.id == "blister" and f.state == YES and f.start < entry.end and entry.start < f.end
                    for f in found
                )
                if not blister:
                    more.append(replace(entry, id=other))
        return more


def _in_mention(hit: Hit[str], mentions: Sequence[Mention]) -> bool:
    return any(m.start <= hit.start < m.end for m in mentions)


def _span(tokens: Sequence[Token], first: int, last: int) -> tuple[int, int]:
    while last - 1 > first and tokens[last - 1].kind == "mark" and tokens[last - 1].norm in ",;:(":
        last -= 1
    return tokens[first].start, tokens[last - 1].end


_RANK = {YES: 2, UNKNOWN: 1, NO: 0}


def _settled(found: Sequence[Understood]) -> list[Understood]:
    """Each id and side once: yes before unknown before no, so that a stop is never talked away.

    What is said without a side gives way to the same thing said with one.
    """
    best: dict[tuple[str, str], Understood] = {}
    for entry in found:
        key = (entry.id, entry.side)
        known = best.get(key)
        if known is None or (entry.value is None and _RANK[entry.state] > _RANK[known.state]):
            best[key] = entry
    kept = []
    for (term_id, side), entry in best.items():
        same = [e for (i, s), e in best.items() if i == term_id and s != side]
        if side == UNSAID and any(
            e.state == entry.state or (entry.state == NO and e.state == YES) for e in same
        ):
            continue
        if (
            side == BOTH
            and entry.value is None
            and {e.side for e in same if e.side in OPPOSITE} == {"left", "right"}
        ):
            continue
        if side in OPPOSITE and any(
            e.side == BOTH and e.state == entry.state and e.value is None for e in same
        ):
            continue
        kept.append(entry)
    return sorted(kept, key=lambda e: (e.start, e.end, e.id, e.side))
