"""Understanding a text: the findings and numbers it states, each with side, value and its words.

Deterministic and offline: phrases of the vocabulary and of kb/lexicon.yaml are looked for, then cues
(kb/cues.yaml) say whether each is there, is not, is not known, or is not about this person at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from toeroom.answers.attributing import Memory, attribute_sides
from toeroom.answers.clauses import Sentence, cut_into_segments, sentences
from toeroom.answers.cues import Cues
from toeroom.answers.figures import Figure, Figures
from toeroom.answers.following import Following, Said
from toeroom.answers.judging import Judge
from toeroom.answers.lexicon import Lexicon
from toeroom.answers.mentions import NO, UNKNOWN, YES, Mention, find_mentions, is_of_a_foot
from toeroom.answers.past import put_in_the_past
from toeroom.answers.patterns import Hit
from toeroom.answers.sides import BOTH, OPPOSITE, PERSON, UNSAID, find_sides
from toeroom.answers.timing import clock_of_measuring, posture_of_measuring
from toeroom.answers.tokens import Token, tokenise
from toeroom.vocabulary import Vocabulary

_MEASURED = {"foot_length_mm", "ball_length_mm", "ball_width_mm", "ball_girth_mm", "instep_girth_mm"}


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


def understand(text: str, vocabulary: Vocabulary, cues: Cues, *, supposed: bool = False) -> list[Understood]:
    """What `text` states, in the order of the text; the same text gives the same list.

    `supposed` reads a what-if as if it were so: "if there is a wound on the left?" gives the wound,
    where otherwise it gives nothing. What is denied, unknown or another person's stays that.
    """
    return _Reader(text, vocabulary, cues, supposed).read()


class _Reader:
    """Reads one text, sentence by sentence, and keeps what later sentences refer back to."""

    def __init__(self, text: str, vocabulary: Vocabulary, cues: Cues, supposed: bool) -> None:
        self.text, self.vocabulary, self.cues, self.supposed = text, vocabulary, cues, supposed
        self.lexicon: Lexicon = cues.lexicon(vocabulary)
        self.tokens = tokenise(text)
        stems = [self.lexicon.speller.mend(t.stem) for t in self.tokens]
        if supposed:
            stems = _as_if_now(stems)
        self.sentences = sentences(self.tokens, stems)
        self.memory = Memory()
        self.following = Following(self.sentences, cues, self.lexicon, supposed)
        self.said = self.following.said
        self.figures = Figures(vocabulary, self.lexicon)
        self.numbers: list[tuple[Figure, int]] = []

    def read(self) -> list[Understood]:
        for number, sentence in enumerate(self.sentences):
            self._sentence(number, sentence)
        lengths = any(figure.id in _MEASURED for figure, _ in self.numbers)
        clock = clock_of_measuring(self.sentences, self.said_ids("measured_morning"), lengths)
        posture = posture_of_measuring(self.sentences) if lengths else None
        found = [self._understood(s) for s in self.said if s.mention.value]
        found += [self._number(figure, offset) for figure, offset in self.numbers]
        for term_id, how in (("measured_morning", clock), ("measured_sitting", posture)):
            if how is not None and term_id in self.vocabulary.findings and not self.said_ids(term_id):
                found.append(self._entry(term_id, PERSON, *how))
        found = [self._placed(entry, found) for entry in found]
        return _settled([*found, *self._implied(found)])

    def _placed(self, entry: Understood, found: Sequence[Understood]) -> Understood:
        """ "Open sore L 4th toe. No pus.": the pus that is not there is denied of that foot."""
        at = self.lexicon.lies_at.get(entry.id, ())
        sides = {f.side for f in found if f.id in at and f.state == YES and f.start < entry.start}
        if entry.side != UNSAID or len(sides) != 1:
            return entry
        return replace(entry, side=sides.pop())

    def said_ids(self, term_id: str) -> bool:
        return any(s.mention.id == term_id and s.mention.value for s in self.said)

    def _sentence(self, number: int, sentence: Sentence) -> None:
        hits = self.cues.hits(sentence.tokens, sentence.stems)
        mentions = find_mentions(sentence, self.lexicon, self.vocabulary)
        cut_into_segments(sentence, [h for h in hits if h.meaning == "but" and not _in_mention(h, mentions)])
        for mention in mentions:
            mention.segment = sentence.segment_of(mention.start)
        sides = find_sides(sentence.tokens, sentence.stems, self.memory.last)
        mentions = [m for m in mentions if not is_of_a_foot(m, sentence, sides)]
        if sides and not mentions:
            self.following.side_afterwards(number, sentence, sides)
        judge = Judge(sentence, mentions, hits, sides, self.cues, self.lexicon)
        judge.judge(supposed=self.supposed)
        backs = self.cues.sets["same_place"].find(sentence.tokens, sentence.stems)
        back = bool(backs)
        header = self.memory.header
        attribute_sides(sentence, [m for m in mentions if m.value], sides, self.memory, backs)
        put_in_the_past(sentence, mentions, hits, self.cues)
        self.following.ask_and_answer(number, sentence, mentions, hits, sides)
        stated = [Said(m, sentence.offset + m.start, sentence.offset + m.end, number) for m in mentions]
        stated += self.following.ellipses(number, sentence, mentions, hits, sides, judge)
        self.following.corrections(sentence, stated, hits, sides)
        self.said += stated
        figures = self.figures.read(sentence, sides, self.memory, header, back)
        self.numbers += [(figure, sentence.offset) for figure in figures]
        self._counted(sentence, stated, figures)
        if sides:
            self.memory.last = (
                sides[-1].side if sides[-1].side in OPPOSITE else self.memory.last or sides[-1].side
            )
            self.memory.last_sided = sides[-1].side

    def _counted(self, sentence: Sentence, stated: Sequence[Said], figures: Sequence[Figure]) -> None:
        """ "Filament felt at 8 of 10": the count speaks, not the word "felt"."""
        missed = [f for f in figures if f.id == "filament_sites_missed" and f.value]
        clauses = {sentence.segment_of(f.end - 1) for f in missed}
        for said in stated:
            mention = said.mention
            if mention.id != "sensation_lost" or mention.value != NO:
                continue
            if mention.segment in clauses or any(mention.side in {f.side, UNSAID} for f in missed):
                mention.value = ""

    def _understood(self, said: Said) -> Understood:
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


def _as_if_now(stems: Sequence[str]) -> list[str]:
    """ "If she had a wound" supposes one now: there "had" is no past."""
    return [
        "has" if word == "had" and (not i or stems[i - 1] not in {"has", "have", "once"}) else word
        for i, word in enumerate(stems)
    ]


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
